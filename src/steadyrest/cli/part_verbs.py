"""Verbs about a part: read it, plan it, its damage, its metal.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.cli.shared import Verb, never, out, progress
from steadyrest.cli.typed import whole_number

if TYPE_CHECKING:
    from steadyrest.desk.plan.plan_part import PlanAnswer, Wanted

LISTED = ".toml"  # a parts list, not a part
PART_FILES = "STEP, STL, PLY, OBJ, 3MF or DXF"


def read_flags(one: argparse.ArgumentParser, files: str = PART_FILES) -> None:
    one.add_argument("file", type=Path, metavar="FILE", help=files)
    one.add_argument("--material", metavar="M", help="the metal, for the mass; such as C45 or 4140")
    one.add_argument("--body", type=whole_number, metavar="N", help="which of several bodies in the file, from 1")
    one.add_argument("--out", type=Path, metavar="DIR", help="write the nominal profile (DXF, STEP), sizes and picture")


def read(asked: argparse.Namespace) -> int:
    from steadyrest.cli import answers, words
    from steadyrest.desk.incoming import read_part

    part = read_part.read_part(
        asked.file, unit=asked.unit, body=asked.body, grid=asked.out is not None, progress=progress, stop=never
    )
    material = read_part.material(asked.material) if asked.material else None
    if asked.out:
        from steadyrest.desk.incoming import hand_over

        unit = "in" if asked.unit == "in" else "mm"
        hand_over.write(part, asked.out, unit=unit, progress=progress, stop=never)
    if asked.json:
        out(answers.read_answer(part, material))
    else:
        print(words.part_words(part, material))
    return 0


FINISH_HELP = (
    'how smooth, or a treatment outside: "Ra 0.8", "plated 8 um", "hardened 58 HRC", "ground S2"; may be given again'
)


def plan_flags(one: argparse.ArgumentParser) -> None:
    read_flags(one, f"{PART_FILES}; or a parts list (TOML) for several parts in one job")
    one.add_argument("--quantity", metavar="N", default="", help="how many; default 1, or as a parts list says")
    one.add_argument("--due", metavar="T", default="", help="by when: ISO 8601 with offset; a parts list may say it")
    one.add_argument("--thickness", metavar="T", default="", help=THICKNESS_HELP)
    one.add_argument("--finish", metavar="WORDS", action="append", default=[], help=FINISH_HELP)
    one.add_argument(
        "--by-the-hour", action="store_true", help="charged by the hour, up to an amount; not a fixed price"
    )


THICKNESS_HELP = 'how thick a flat drawing is: 6, "1/4 in", "10 gauge steel"'


def plan(asked: argparse.Namespace) -> int:
    several = asked.file.suffix.lower() == LISTED
    answer = planned_list(asked) if several else planned(asked)
    from steadyrest.cli import plan_answers, words

    if asked.out and not several:
        from steadyrest.desk.incoming import hand_over

        hand_over.write(answer.part, asked.out, unit=answer.shop.unit, progress=progress, stop=never)
    if several:
        from steadyrest.cli import joined_words

        if asked.json:
            out(joined_words.job_answer(answer))
        else:
            print(joined_words.job_words(answer))
    elif asked.json:
        out(plan_answers.plan_answer(answer))
    else:
        print(words.plan_words(answer))
    return 0


def planned(asked: argparse.Namespace) -> PlanAnswer:
    """The answer for one part. What reads its file loads in a process of its own while the rest loads here."""
    from steadyrest.workers.reading import about_to_read

    with closing(about_to_read(asked.file)) as workers:
        from steadyrest.desk.plan import plan_part

        return plan_part.plan_file(wanted(asked, "1"), progress=progress, stop=never, workers=workers)


def planned_list(asked: argparse.Namespace) -> PlanAnswer:
    """The answer for a job of several parts."""
    from steadyrest.desk.plan import plan_job

    return plan_job.plan_job_file(wanted(asked, ""), progress=progress, stop=never)


def wanted(asked: argparse.Namespace, quantity: str) -> Wanted:
    """What was asked; so many where nobody said how many."""
    from steadyrest.desk.plan import plan_part

    return plan_part.Wanted(
        file=asked.file,
        material=asked.material,
        quantity=asked.quantity or quantity,
        due=asked.due,
        unit=asked.unit,
        body=asked.body,
        shop_file=asked.shop,
        data=asked.data,
        now=asked.now,
        seed=asked.seed,
        finishes=tuple(asked.finish),
        thickness=asked.thickness,
        by_hours=asked.by_the_hour,
    )


def damage_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("file", type=Path, metavar="FILE", help="a scan: STL, PLY, OBJ or 3MF")
    one.add_argument("other", nargs="?", type=Path, metavar="HALF", help="the scan of the other half")


def damage(asked: argparse.Namespace) -> int:
    from steadyrest.cli import damage_words
    from steadyrest.desk.incoming import find_damage

    if asked.other is None:
        found = find_damage.on_part(asked.file, unit=asked.unit, progress=progress, stop=never)
        answer, lines = damage_words.damage_answer(found), damage_words.damage_lines(found)
    else:
        halves = find_damage.of_halves(asked.file, asked.other, unit=asked.unit, progress=progress, stop=never)
        answer, lines = damage_words.halves_answer(halves), damage_words.halves_lines(halves)
    if asked.json:
        out(answer)
    else:
        print("\n".join(lines))
    return 0


METAL_TESTS = ("weight", "scale", "in-water", "magnet", "file", "colour", "spark")

METAL_HELP = {
    "weight": "such as 2.35 kg",
    "scale": "how far the scale may be off, such as 5 g",
    "in-water": "what the scale says with the piece hung in water",
    "magnet": "strong, weak or none",
    "file": "bites, hardly or skates",
    "colour": "of a bright spot: grey, silver-white, yellow, red, dark or pale",
    "spark": "long lines, forks, bursts, orange lines, short red, white or none",
}


def metal_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("scan", nargs="?", type=Path, metavar="FILE", help="the part, for its volume")
    for test in METAL_TESTS:
        one.add_argument(f"--{test}", metavar="WORDS", default="", help=METAL_HELP[test])


def metal(asked: argparse.Namespace) -> int:
    from steadyrest.cli import metal_words
    from steadyrest.desk.incoming import read_part, which_metal

    said = which_metal.MetalSaid(
        **{test.replace("-", "_"): getattr(asked, test.replace("-", "_")) for test in METAL_TESTS}
    )
    part = read_part.read_part(asked.scan, unit=asked.unit, progress=progress, stop=never) if asked.scan else None
    answer = which_metal.which_metal(said, part=part)
    if asked.json:
        out(metal_words.metal_answer(answer))
    else:
        print("\n".join(metal_words.metal_lines(answer)))
    return 0


PART = (
    Verb(
        "read",
        "What is it: the sizes that the drawing would have shown, from a scan or a solid.",
        "steadyrest read shaft.ply --unit mm --out shaft",
        read_flags,
        read,
    ),
    Verb(
        "plan",
        "All six answers: what it is, from what and how, by when, for how much, take it or not, what to measure.",
        "steadyrest plan shaft.ply --unit mm --material C45 --quantity 1 --due 2026-11-28T18:00+01:00",
        plan_flags,
        plan,
    ),
    Verb(
        "damage",
        "What is wrong with a scanned part besides wear; or how two halves of one belong together.",
        "steadyrest damage half-a.ply half-b.ply --unit mm",
        damage_flags,
        damage,
    ),
    Verb(
        "metal",
        "Which metal it is, from what was weighed and tried, and which test to try next.",
        'steadyrest metal shaft.ply --unit mm --weight "2.16 kg" --magnet strong --file bites',
        metal_flags,
        metal,
    ),
)
