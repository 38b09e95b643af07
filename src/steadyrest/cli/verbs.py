"""The verbs of the command line: what each takes, and the desk verb it calls.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from steadyrest.cli.typed import whole_number
from steadyrest.trouble import BadInput


@dataclass(frozen=True, slots=True)
class Verb:
    name: str
    says: str
    example: str
    flags: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], int]


def progress(what: str, share: float) -> None:
    """Progress in words on standard error, where a person is looking."""
    if sys.stderr.isatty():
        print(
            f"\r\033[K{what} ({round(10 * share)} of 10)", end="\n" if share >= 1 else "", file=sys.stderr, flush=True
        )


def out(document: object) -> None:
    """The one JSON document on standard output."""
    json.dump(document, sys.stdout, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    sys.stdout.write("\n")


def read_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("file", type=Path, metavar="FILE", help="STEP, STL, PLY, OBJ, 3MF or DXF")
    one.add_argument("--material", metavar="M", help="the metal, for the mass; such as C45 or 4140")
    one.add_argument("--body", type=whole_number, metavar="N", help="which of several bodies in the file, from 1")
    one.add_argument("--out", type=Path, metavar="DIR", help="write the nominal profile (DXF, STEP), sizes and picture")


def read(asked: argparse.Namespace) -> int:
    from steadyrest.cli import answers, words
    from steadyrest.desk import read_part

    part = read_part.read_part(asked.file, unit=asked.unit, body=asked.body, progress=progress, stop=never)
    material = read_part.material(asked.material) if asked.material else None
    if asked.out:
        from steadyrest.desk import hand_over

        unit = "in" if asked.unit == "in" else "mm"
        hand_over.write(part, asked.out, unit=unit, progress=progress, stop=never)
    if asked.json:
        out(answers.read_answer(part, material))
    else:
        print(words.part_words(part, material))
    return 0


def plan_flags(one: argparse.ArgumentParser) -> None:
    read_flags(one)
    one.add_argument("--quantity", metavar="N", default="1", help="how many; default 1")
    one.add_argument("--due", metavar="T", required=True, help="by when: ISO 8601 with offset")


def plan(asked: argparse.Namespace) -> int:
    from steadyrest.cli import answers, words
    from steadyrest.desk import plan_part

    answer = plan_part.plan_file(
        plan_part.Wanted(
            file=asked.file,
            material=asked.material,
            quantity=asked.quantity,
            due=asked.due,
            unit=asked.unit,
            body=asked.body,
            shop_file=asked.shop,
            data=asked.data,
            now=asked.now,
            seed=asked.seed,
        ),
        progress=progress,
        stop=never,
    )
    if asked.out:
        from steadyrest.desk import hand_over

        hand_over.write(answer.part, asked.out, unit=answer.shop.unit, progress=progress, stop=never)
    if asked.json:
        out(answers.plan_answer(answer))
    else:
        print(words.plan_words(answer))
    return 0


def damage_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("file", type=Path, metavar="FILE", help="a scan: STL, PLY, OBJ or 3MF")
    one.add_argument("other", nargs="?", type=Path, metavar="HALF", help="the scan of the other half")


def damage(asked: argparse.Namespace) -> int:
    from steadyrest.cli import damage_words
    from steadyrest.desk import find_damage

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


def release_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("program", type=Path, metavar="PROGRAM", help="the NC program that was checked")
    one.add_argument("--machine", required=True, metavar="M", help="which machine of the shop file")
    one.add_argument("--by", required=True, metavar="PERSON", help="who releases it")
    one.add_argument("--attended", action="store_true", help="somebody stays beside it, whatever the check said")


def release(asked: argparse.Namespace) -> int:
    from steadyrest.cli import release_words
    from steadyrest.desk import leave as leaving
    from steadyrest.desk import release_program

    released = release_program.release_file(
        asked.program, machine=asked.machine, by=asked.by, attended=asked.attended,
        shop=leaving.shop_text(asked.shop, asked.data), data=asked.data, unit=asked.unit, now=asked.now,
    )  # fmt: skip
    if asked.json:
        out(release_words.release_answer(released))
    else:
        print("\n".join(release_words.release_lines(released)))
    return 0


def edge_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("tool", metavar="TOOL", help="its number, such as T4")
    one.add_argument("--machine", required=True, metavar="M", help="the machine's name in the shop file")
    one.add_argument("--had-cut", required=True, metavar="TIME", help="how long it had cut, such as 25 min")
    one.add_argument("--failed", action="store_true", help="it broke or wore out; without this: changed while good")
    one.add_argument("--by", required=True, metavar="PERSON", help="who writes it down")


def edge(asked: argparse.Namespace) -> int:
    from steadyrest.cli import release_words
    from steadyrest.desk import edge_record

    noted = edge_record.write_edge_in(
        asked.data, machine=asked.machine, tool=asked.tool, had_cut=asked.had_cut, failed=asked.failed, by=asked.by,
        now=asked.now,
    )  # fmt: skip
    if asked.json:
        out(release_words.edge_answer(noted))
    else:
        print(release_words.edge_line(noted))
    return 0


def alone_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("machine", metavar="M", help="the machine's name in the shop file")
    one.add_argument("--ran", required=True, metavar="TIME", help="how long it ran with nobody there, such as 9 h")
    one.add_argument(
        "--stopped", action="store_true", help="it stopped for chips, coolant, power, jaws: not for a tool"
    )
    one.add_argument("--by", required=True, metavar="PERSON", help="who writes it down")


def alone(asked: argparse.Namespace) -> int:
    from steadyrest.cli import release_words
    from steadyrest.desk import alone_record

    noted = alone_record.write_alone_in(
        asked.data, machine=asked.machine, ran=asked.ran, stopped=asked.stopped, by=asked.by, now=asked.now
    )
    if asked.json:
        out(release_words.alone_answer(noted))
    else:
        print(release_words.alone_line(noted))
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
    from steadyrest.desk import read_part, which_metal

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


def leave_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("program", type=Path, metavar="PROGRAM", help="an NC program to ISO 6983")
    one.add_argument("--machine", metavar="M", required=True, help="the machine's name in the shop file")
    one.add_argument(
        "--blank", metavar="WORDS", help='such as "box 0,0,-20 100,60,0" or "round 40 -80,2", mm, work coordinates'
    )
    one.add_argument(
        "--part", type=Path, metavar="FILE", help="the finished part in the program's work coordinates: STEP, STL, ..."
    )


def leave(asked: argparse.Namespace) -> int:
    from steadyrest.cli import leave_words
    from steadyrest.desk import alone_record, edge_record
    from steadyrest.desk import leave as leaving

    shop = leaving.shop_text(asked.shop, asked.data)
    answer = leaving.leave_file(
        asked.program,
        machine=asked.machine,
        shop=shop,
        blank=asked.blank,
        unit=asked.unit,
        seed=asked.seed,
        ends=edge_record.ends_in(asked.data, asked.machine),
        stops_seen=alone_record.stops_seen_in(asked.data, asked.machine),
        part=asked.part,
        progress=progress,
        stop=never,
    )
    if asked.data:
        from steadyrest.desk import release_program

        release_program.note_checked_in(asked.data, answer, now=asked.now)
    if asked.json:
        out(leave_words.leave_answer(answer, example=shop.example))
    else:
        print("\n".join(leave_words.leave_lines(answer, example=shop.example)))
    return 0


STOCK = ("cut", "nest", "carry", "keep")
STOCK_HELP = (
    "cut: bars at least cost; nest: parts on a plate; carry: a carry blank; keep: which remnants are worth keeping"
)


def stock_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("what", choices=STOCK, help=STOCK_HELP)
    one.add_argument("file", type=Path, metavar="FILE.toml", help="the request; docs/stock.md says what stands in it")
    one.add_argument("--picture", type=Path, metavar="FILE.svg", help="nest: write the picture here too")


def lacking(what: str, much: float) -> None:
    """How a search gets on, in words on standard error, where a person is looking."""
    if sys.stderr.isatty():
        print(f"\r\033[K{what} {much:.2f} mm", end="", file=sys.stderr, flush=True)


def from_the_first_look() -> Callable[[float], float]:
    """How many of so many seconds are left since somebody first asked: compiling does not count."""
    begun: list[float] = []

    def left_of(seconds: float) -> float:
        begun.extend([] if begun else [time.monotonic()])
        return seconds - (time.monotonic() - begun[0])

    return left_of


def stock(asked: argparse.Namespace) -> int:
    from steadyrest.cli import stock_words
    from steadyrest.desk import cut_stock

    if asked.what == "cut":
        begun = time.monotonic()
        plan = cut_stock.cut(asked.file, left_of=lambda seconds: seconds - (time.monotonic() - begun))
        document, lines = stock_words.cut_answer(plan), stock_words.cut_lines(plan)
    elif asked.what == "nest":
        from steadyrest.cli import nest_words

        layout = cut_stock.nest(asked.file, seed=asked.seed, left_of=from_the_first_look(), told=lacking)
        if asked.picture:
            cut_stock.draw_nest(layout, asked.picture, unit=asked.unit or "mm")
        document, lines = nest_words.nest_answer(layout), nest_words.nest_lines(layout)
    elif asked.what == "carry":
        blank = cut_stock.carry(asked.file)
        document, lines = stock_words.carry_answer(blank), stock_words.carry_lines(blank)
    else:
        rests = cut_stock.keep(asked.file)
        document, lines = stock_words.keep_answer(rests), stock_words.keep_lines(rests)
    if asked.json:
        out(document)
    else:
        print("\n".join(lines))
    return 0


def promise_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("--past", type=Path, metavar="PAST.csv", help="quotes won and lost, with their actual times")
    one.add_argument("--ask", type=Path, metavar="NEW.csv", help="jobs that were won: how many hours they will take")


def promise(asked: argparse.Namespace) -> int:
    if asked.past is None and asked.ask is None:
        return promise_week(asked)
    if asked.past is None or asked.ask is None:
        raise BadInput(where="steadyrest promise", what="lessons need two lists.", do="Give --past and --ask together.")
    from steadyrest.cli import lessons_words
    from steadyrest.desk import learn

    answer = learn.ask_past(asked.past, asked.ask, seed=asked.seed)
    if asked.json:
        out(lessons_words.lessons_answer(answer))
    else:
        print("\n".join(lessons_words.lessons_lines(answer)))
    return 0


def promise_week(asked: argparse.Namespace) -> int:
    if asked.shop is None:
        raise BadInput(
            where="steadyrest promise", what="nothing is asked.",
            do="Give a week as --shop FILE.toml, or --past PAST.csv with --ask NEW.csv.",
        )  # fmt: skip
    from steadyrest.cli import promise_words
    from steadyrest.desk import promise_week as week

    promised = week.promise_week(asked.shop, seed=asked.seed, progress=progress, stop=never)
    if asked.json:
        out(promise_words.promise_answer(promised))
    else:
        print("\n".join(promise_words.promise_lines(promised)))
    return 0


def paper_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("what", choices=("statement",), help="statement: hours, machines, travel and goods, to the cent")
    one.add_argument("file", type=Path, metavar="FILE.toml", help="docs/statement.md says what stands in it")


def paper(asked: argparse.Namespace) -> int:
    from steadyrest.cli import statement_words
    from steadyrest.desk import statement

    stated = statement.state(asked.file)
    if asked.json:
        out(statement_words.statement_answer(stated))
    else:
        print("\n".join(statement_words.statement_lines(stated)))
    return 0


def demo_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("--fine", action="store_true", help="scan the demo part with 500,000 triangles")


def demo(asked: argparse.Namespace) -> int:
    from steadyrest.demo import story

    told = story.tell(asked.data or Path("demo-shop"), seed=asked.seed, fine=asked.fine, progress=progress, stop=never)
    if asked.json:
        from steadyrest.cli import answers

        out(answers.plan_answer(told.answer))
    else:
        from steadyrest.cli import words

        print(words.demo_words(told))
    return 0


def serve_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("--port", type=int, default=8744, metavar="N", help="default 8744")


def serve(asked: argparse.Namespace) -> int:
    from steadyrest.web import serving

    serving.serve(data=asked.data, shop_file=asked.shop, port=asked.port)
    return 0


def never() -> bool:
    """Nobody asked to stop; the keyboard's interrupt ends the command itself."""
    return False


VERBS = (
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
    Verb(
        "stock",
        "From what: bars cut at least cost, parts on a plate, a carry blank, and which remnants are worth keeping.",
        "steadyrest stock cut list.toml",
        stock_flags,
        stock,
    ),
    Verb(
        "promise",
        "By when: a week's plan and the odds of each due time; or what past jobs, won and lost, say about new ones.",
        "steadyrest promise --shop week.toml",
        promise_flags,
        promise,
    ),
    Verb(
        "leave",
        "May I leave it running: an NC program read, timed, and held against the machine, its tools and the stock.",
        "steadyrest leave bush.nc --machine lathe --shop shop.toml",
        leave_flags,
        leave,
    ),
    Verb(
        "release",
        "Hand a checked program over to its machine: the very file that was checked, with a record of who and when.",
        "steadyrest release bush.nc --machine lathe --by ines --data shop-data",
        release_flags,
        release,
    ),
    Verb(
        "paper",
        "A paper from a request: a statement of hours, machines, travel and goods, to the cent.",
        "steadyrest paper statement november.toml",
        paper_flags,
        paper,
    ),
    Verb(
        "edge",
        "Write down how a tool's edge ended, so that the leaving check learns how long it lasts here.",
        'steadyrest edge T4 --machine lathe --had-cut "25 min" --failed --by ines --data shop-data',
        edge_flags,
        edge,
    ),
    Verb(
        "alone",
        "Write down how a run with nobody there ended, so that the leaving check learns how often this machine stops.",
        'steadyrest alone lathe --ran "9 h" --stopped --by ines --data shop-data',
        alone_flags,
        alone,
    ),
    Verb(
        "demo",
        "One whole rush job in an invented shop, from scan to papers, in a fresh data folder.",
        "steadyrest demo --data demo-shop",
        demo_flags,
        demo,
    ),
    Verb(
        "serve",
        "The app, on this machine.",
        "steadyrest serve --data demo-shop",
        serve_flags,
        serve,
    ),
)
