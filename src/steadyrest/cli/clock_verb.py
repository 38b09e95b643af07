"""The verb `clock`: start on a job, stop, who is on what now, corrections, what the clock holds.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.cli.shared import Verb, out
from steadyrest.cli.typed import moment
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from steadyrest.desk.floor.clock import Fix, Kind, Said

WHAT = ("start", "stop", "note", "now", "list", "fix")
WHAT_HELP = (
    "start JOB [STEP]: begin, and stop what ran; stop [JOB [STEP]]: everything, or that; note WORDS; now: who is on "
    "what; list: entries and what they come to; fix ENTRY: correct one"
)


def clock_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("what", choices=WHAT, help=WHAT_HELP)
    one.add_argument("more", nargs="*", metavar="JOB STEP", help="the job's number and the step's; or an entry's")
    one.add_argument("--person", metavar="P", help="whose time it is, as the shop file calls them")
    one.add_argument("--by", metavar="P", help="who says so, if it is somebody else")
    one.add_argument("--at", type=moment, metavar="MOMENT", help="when it happened; default now")
    one.add_argument("--beside", action="store_true", help="start: beside what runs; the time is shared")
    one.add_argument("--done", action="store_true", help="stop: this step is finished")
    one.add_argument("--note", default="", metavar="WORDS", help="a note; fix: why")
    one.add_argument("--photo", type=Path, metavar="FILE", help="a photo, JPEG or PNG")
    one.add_argument("--job", type=int, metavar="N", help="list: only this job; fix: it was this job; note: about it")
    one.add_argument("--step", type=int, metavar="N", help="fix: it was this step")
    one.add_argument("--strike", action="store_true", help="fix: it never happened")
    one.add_argument("--since", type=moment, metavar="MOMENT", help="list: from here on")


def clock(asked: argparse.Namespace) -> int:
    from steadyrest.cli import clock_words as words
    from steadyrest.desk.floor import clock as desk
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="there is no data folder to write it down in.", do="Name one.")
    if asked.what in ("now", "list") and asked.more:
        raise BadInput(where="steadyrest clock", what=f"{asked.more[0]!r} is too much.", do="Use --job and --person.")
    place = open_place(asked.data, asked.shop)
    shop, store = place.said.shop, place.store
    try:
        if asked.what == "now":
            people = desk.people_now(store, shop, now=asked.now)
            document, lines = words.now_answer(people, shop), words.now_lines(people, shop)
        elif asked.what == "list":
            held = desk.listed(store, shop, job=asked.job, person=asked.person, since=asked.since, now=asked.now)
            document, lines = words.list_answer(held), words.list_lines(held, shop)
        else:
            entry = desk.fix(store, shop, to_fix(asked), now=asked.now) if asked.what == "fix" else None
            entry = entry or desk.tell(store, shop, to_tell(asked), now=asked.now)
            people = desk.people_now(store, shop, now=asked.now)
            document = words.entry_answer(entry, people, shop)
            lines = (words.entry_line(entry, shop), *words.now_lines(people, shop))
    finally:
        place.close()
    if asked.json:
        out(document)
    else:
        print("\n".join(lines))
    return 0


def to_tell(asked: argparse.Namespace) -> Said:
    """What is told, from the flags."""
    from steadyrest.desk.floor import clock as desk

    more = list(asked.more)
    words = " ".join(more) if asked.what == "note" else asked.note
    job, step = (asked.job, asked.step) if asked.what == "note" else numbers(more, asked.what)
    if asked.what == "note" and not words and asked.photo is None:
        raise BadInput(where="steadyrest clock note", what="there is nothing to note.", do="Write words, or --photo.")
    kind: Kind = "note"
    if asked.what != "note":
        kind = ("beside" if asked.beside else "start") if asked.what == "start" else "done" if asked.done else "stop"
    photo, name = desk.photo_from(asked.photo)
    return desk.Said(
        kind, named(asked.person, "--person"), job=job, step=step, at=asked.at, words=words, who=asked.by or "",
        photo=photo, photo_name=name,
    )  # fmt: skip


def to_fix(asked: argparse.Namespace) -> Fix:
    """What is corrected, from the flags."""
    from steadyrest.desk.floor import clock as desk

    entry, rest = numbers(list(asked.more), "fix")
    if entry is None or rest is not None:
        raise BadInput(where="steadyrest clock fix", what="no entry is named.", do="`steadyrest clock list` has them.")
    return desk.Fix(
        entry, named(asked.by or asked.person), at=asked.at, job=asked.job, step=asked.step, strike=asked.strike,
        why=asked.note,
    )  # fmt: skip


def named(person: str | None, flag: str = "--by") -> str:
    if not person:
        raise BadInput(where=flag, what="nobody is named.", do="Say who, as the shop file calls them.")
    return person


def numbers(more: list[str], what: str) -> tuple[int | None, int | None]:
    """One or two whole numbers, or none."""
    found: list[int | None] = []
    for word in more:
        if not (word.isascii() and word.isdecimal() and len(word) < 10):
            raise BadInput(where=f"steadyrest clock {what}", what=f"{word[:40]!r} is no number.", do="See --help.")
        found.append(int(word))
    if len(found) > 2:
        raise BadInput(where=f"steadyrest clock {what}", what="too many numbers.", do="Give a job and a step.")
    job, step = [*found, None, None][:2]
    return job, step


CLOCK = (
    Verb(
        "clock",
        "Hours: start on a job, stop, who is on what now; what was forgotten is asked about, a correction is an entry.",
        "steadyrest clock start 101 2 --person ines --data shop-data",
        clock_flags,
        clock,
    ),
)
