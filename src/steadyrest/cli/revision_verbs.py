"""Verbs about drawings: what is different between two files, a new revision of a job's.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from datetime import UTC
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.cli.clock_verb import named
from steadyrest.cli.record_verb import job_number
from steadyrest.cli.shared import Verb, never, out, progress
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from steadyrest.desk.incoming.revisions import History
    from steadyrest.desk.place import Place


def compare_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("before", type=Path, metavar="OLD", help="the file as it was")
    one.add_argument("after", type=Path, metavar="NEW", help="the file as it is now")


def compare(asked: argparse.Namespace) -> int:
    from steadyrest.cli import revision_words as words
    from steadyrest.desk.incoming import revisions

    found = revisions.two_files(asked.before, asked.after, unit=asked.unit, progress=progress, stop=never)
    if asked.json:
        out(words.difference_answer(found))
    else:
        print("\n".join(words.difference_lines(found, asked.unit)))
    return 0


def revise_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("job", metavar="JOB", help="the job's number")
    one.add_argument("file", nargs="?", type=Path, metavar="FILE", help="the changed file; without one: what there is")
    one.add_argument("--name", default="", metavar="B", help="the revision, as the drawing calls it")
    one.add_argument("--words", default="", metavar="WORDS", help="what the customer said with it")
    one.add_argument("--body", default="", metavar="N", help="which body of the file, from 1")
    one.add_argument("--plan", action="store_true", help="plan the job anew from the newest revision")
    one.add_argument("--due", default="", metavar="MOMENT", help="plan: by when; default as it was")
    one.add_argument("--strike", metavar="WHY", help="the newest revision was handed in by mistake")
    one.add_argument("--by", metavar="P", help="who says so")


def revise(asked: argparse.Namespace) -> int:
    from steadyrest.cli import revision_words as words
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="there is no data folder.", do="Name the one with the job.")
    number = job_number(asked.job, "steadyrest revise")
    place = open_place(asked.data, asked.shop)
    try:
        found = done(asked, place, number)
        unit = "in" if (asked.unit or found.kept.answer.shop.unit) == "in" else "mm"
        if asked.json:
            out(words.history_answer(found))
        else:
            print("\n".join(words.history_lines(found, unit)))
    finally:
        place.close()
    return 0


def done(asked: argparse.Namespace, place: Place, number: int) -> History:
    """Hand in, strike, plan: what is asked; then how the drawings stand."""
    from steadyrest.desk.incoming import revisions
    from steadyrest.desk.standing import as_it_stands

    store, now = place.store, asked.now
    if asked.strike is not None:
        newest = revisions.history(store, number).beside[-1].revision
        entry = str(int(newest.entry)) if newest is not None else ""
        revisions.strike(store, number, entry, asked.strike, who=named(asked.by), now=now)
    elif asked.file is not None:
        try:
            data = asked.file.read_bytes()
        except OSError as fault:
            what = f"cannot be read ({fault.strerror})."
            raise BadInput(where=str(asked.file), what=what, do="Check the name.") from None
        typed = revisions.Typed(asked.name, named(asked.by), unit=asked.unit or "", body=asked.body, words=asked.words)
        revisions.in_one_go(store, number, typed, asked.file.name, data, now=now, progress=progress, stop=never)
    if asked.plan:
        said = as_it_stands(place.said, store, now=now, but=number)
        more = {"job": number, "due": asked.due and moment_of(asked.due)}
        revisions.plan(store, more, said=said, now=now, progress=progress, stop=never)
    return revisions.history(store, number)


def moment_of(text: str) -> str:
    """A due time as it is kept. Raises: BadInput: no moment with its offset."""
    from steadyrest.cli.typed import moment

    try:
        return moment(text).astimezone(UTC).isoformat()
    except argparse.ArgumentTypeError as wrong:
        raise BadInput(where="--due", what=f"{wrong}.", do="Give it with its offset.") from None


REVISION = (
    Verb(
        "compare",
        "What is different between two files of a part: features new and gone, sizes changed, places moved.",
        "steadyrest compare bracket-a.step bracket-b.step",
        compare_flags,
        compare,
    ),
    Verb(
        "revise",
        "A new revision of a job's drawing: what changed; the older plan is stopped until it is planned anew.",
        "steadyrest revise 101 bracket-b.step --name B --plan --data shop-data",
        revise_flags,
        revise,
    ),
)
