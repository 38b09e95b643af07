"""What was done on a job: `paper record`, `invoice` and `receipt`, `spent` for what it cost besides hours, `taxed`.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from steadyrest.cli.clock_verb import named
from steadyrest.cli.shared import Verb, out
from steadyrest.cli.typed import moment
from steadyrest.trouble import BadInput


def job_number(text: str, where: str) -> int:
    """A job's number as typed."""
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise BadInput(where=where, what=f"{text[:40]!r} is no number of a job.", do="Write it as 101.")
    return int(text)


def paper(asked: argparse.Namespace) -> int:
    """`paper record`, `paper invoice` and `paper receipt`."""
    from steadyrest.cli import record_words as words
    from steadyrest.desk.accounts import charging
    from steadyrest.desk.accounts.work_record import work_record
    from steadyrest.desk.incoming.receipt import receipt_paper
    from steadyrest.desk.place import open_place

    number = job_number(asked.of, f"steadyrest paper {asked.what}")
    if asked.data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name the shop's.")
    place = open_place(asked.data, asked.shop)
    store, said = place.store, place.said
    try:
        if asked.what == "record":
            record = work_record(store, said, number, now=asked.now)
            if asked.out:
                write(asked.out, charging.record_paper(store, said, number, now=asked.now))
            document, lines = words.record_answer(record), words.record_lines(record)
        elif asked.what == "receipt":
            pdf = receipt_paper(store, said.shop, number, now=asked.now)
            if asked.out:
                write(asked.out, pdf)
            theirs = work_record(store, said, number, now=asked.now).theirs
            document, lines = words.receipt_answer(theirs, number), words.theirs_lines(theirs, said.shop)
        else:
            if asked.out:
                writable(asked.out)
            issued, pdf = charging.issue_invoice(
                store, said, number, by=named(asked.by), by_hours=asked.hours, now=asked.now, again=asked.again
            )
            if asked.out:
                write(asked.out, pdf)
            document, lines = words.invoice_answer(issued, number), words.invoice_lines(issued, number)
    finally:
        place.close()
    if asked.json:
        out(document)
    else:
        print("\n".join(lines))
    return 0


def writable(file: Path) -> None:
    """Raises: BadInput: the folder is not there; before an invoice gets its number, not after."""
    if not file.absolute().parent.is_dir():
        raise BadInput(where=str(file), what="its folder is not there.", do="Choose another.")


def write(file: Path, pdf: bytes) -> None:
    """Write a paper. Raises: BadInput: it cannot be written."""
    try:
        file.write_bytes(pdf)
    except OSError as fault:
        raise BadInput(where=str(file), what=f"cannot be written ({fault.strerror}).", do="Choose another.") from None


def spent_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("job", metavar="JOB", help="the job's number")
    one.add_argument("on", metavar="WHAT", help="what it was, in few words")
    one.add_argument("--cost", default="", metavar="AMOUNT", help="what it cost the shop")
    one.add_argument("--distance", default="", metavar="D", help="how far was driven, in the unit of [billing]")
    one.add_argument("--untaxed", action="store_true", help="no tax is owed on it")
    one.add_argument("--by", metavar="P", help="who says so")
    one.add_argument("--at", type=moment, metavar="MOMENT", help="when it was; default now")


def spent(asked: argparse.Namespace) -> int:
    from steadyrest.cli import record_words as words
    from steadyrest.desk.accounts.work_record import write_spent
    from steadyrest.desk.place import open_place

    number = job_number(asked.job, "steadyrest spent")
    if asked.data is None:
        raise BadInput(where="--data", what="there is no data folder to write it down in.", do="Name one.")
    place = open_place(asked.data, asked.shop)
    try:
        noted = write_spent(
            place.store, place.said.shop, number, what=asked.on, cost=asked.cost, distance=asked.distance,
            taxable=not asked.untaxed, by=named(asked.by), at=asked.at, now=asked.now,
        )  # fmt: skip
    finally:
        place.close()
    if asked.json:
        out(words.spent_answer(noted, number))
    else:
        print(words.spent_line(noted, number))
    return 0


def taxed_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("job", metavar="JOB", help="the job's number")
    one.add_argument("line", nargs="?", default="", metavar="LINE", help="labour, travel, price, or a number of goods")
    one.add_argument("owed", nargs="?", choices=("yes", "no"), metavar="yes|no", help="whether tax is owed on it")
    one.add_argument("--by", metavar="P", help="who says so")


def taxed(asked: argparse.Namespace) -> int:
    from steadyrest.cli import record_words as words
    from steadyrest.desk.accounts import taxed_lines
    from steadyrest.desk.accounts.work_record import work_record
    from steadyrest.desk.place import open_place

    number = job_number(asked.job, "steadyrest taxed")
    if asked.data is None:
        raise BadInput(where="--data", what="there is no data folder.", do="Name the one with the job.")
    if asked.line and asked.owed is None:
        raise BadInput(where=asked.line, what="it is not said whether tax is owed on it.", do="Say yes or no after it.")
    place = open_place(asked.data, asked.shop)
    try:
        if asked.line:
            owed, who = asked.owed == "yes", named(asked.by)
            taxed_lines.say(place.store, place.said.shop, number, asked.line, taxed=owed, who=who, now=asked.now)
        record = work_record(place.store, place.said, number, now=asked.now)
    finally:
        place.close()
    if asked.json:
        out(words.taxed_answer(record))
    else:
        print("\n".join(words.taxed_lines(record)))
    return 0


RECORD = (
    Verb(
        "taxed",
        "On which lines of a job tax is owed, and to say otherwise of one: hours, roads, the price, each of the goods.",
        "steadyrest taxed 101 labour no --by ambra --data shop-data",
        taxed_flags,
        taxed,
    ),
    Verb(
        "spent",
        "Write down what a job cost besides hours: goods at what they cost, or a road driven.",
        'steadyrest spent 101 "hire of a crane" --cost 120.00 --by ambra --data shop-data',
        spent_flags,
        spent,
    ),
)
