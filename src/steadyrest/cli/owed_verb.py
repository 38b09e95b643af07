"""The verb `owed`: what is owed and how late, money that came, credit notes, losses, deposits, reminders, the export.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.cli.clock_verb import named
from steadyrest.cli.record_verb import writable, write
from steadyrest.cli.shared import Verb, out
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from steadyrest.cli.answers import Json
    from steadyrest.desk.place import Place

HELP = (
    "list: who owes what, and how late; show CUSTOMER: one account; pay: money came; credit: a credit note; off: write "
    "it off; back: given back; use: set held money against an invoice; deposit JOB: ask for one; strike ENTRY; remind "
    "CUSTOMER; export: CSV for the accountant"
)
KINDS = {
    "pay": "received", "credit": "credit note", "off": "written off", "back": "given back", "use": "set off",
    "deposit": "deposit asked",
}  # fmt: skip


def flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("what", choices=("list", "show", *KINDS, "strike", "remind", "export"), help=HELP)
    one.add_argument("more", nargs="*", metavar="WHO", help="a customer's name or number; a job; an entry")
    one.add_argument("--invoice", type=int, metavar="N", help="pay, credit, off, use: towards this invoice")
    one.add_argument("--job", type=int, metavar="N", help="pay, back: a deposit of this job")
    one.add_argument("--amount", default="", metavar="A", help="default: all that is open, or held, or agreed")
    one.add_argument("--on", default="", metavar="DAY", help="when it happened, 2026-12-31; default today")
    one.add_argument("--due", default="", metavar="DAY", help="deposit: by when")
    one.add_argument("--how", default="", metavar="HOW", help="pay: bank, cash, card, other")
    one.add_argument("--reference", default="", metavar="R", help="the payer's or the bank's; one counts once")
    one.add_argument("--why", default="", metavar="WORDS", help="in few words; a credit note and a strike need it")
    one.add_argument("--by", metavar="P", help="who says so, as the shop file calls them")
    one.add_argument("--since", default="", metavar="DAY", help="export: from this day on")
    one.add_argument("--until", default="", metavar="DAY", help="export: up to this day")
    one.add_argument("--sent", action="store_true", help="remind: write down that it was sent")
    one.add_argument("--out", type=Path, metavar="FILE", help="show, remind: the paper, PDF; export: the list, CSV")


def owed(asked: argparse.Namespace) -> int:
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name the shop's.")
    if asked.out is not None:
        writable(asked.out)
    place = open_place(asked.data, asked.shop)
    try:
        document, lines = ACTS[asked.what](asked, place)
    finally:
        place.close()
    if asked.json:
        out(document)
    else:
        print("\n".join(lines))
    return 0


def one_word(asked: argparse.Namespace, what: str) -> str:
    if len(asked.more) != 1:
        raise BadInput(
            where=f"steadyrest owed {asked.what}", what=f"name {what}.", do="Give one; quote a name of words."
        )
    return str(asked.more[0])


def number(text: str, where: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise BadInput(where=where, what=f"{text[:40]!r} is no number.", do="Write it as 101.")
    return int(text)


def listed(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import owed_words as words
    from steadyrest.desk.accounts import owed as desk

    if asked.more:
        raise BadInput(where="steadyrest owed list", what=f"{asked.more[0]!r} is too much.", do="Use show for one.")
    found = desk.book(place.store, place.said, now=asked.now)
    return words.book_answer(found), words.book_lines(found)


def shown(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import owed_words as words
    from steadyrest.desk.accounts import customers, reminding
    from steadyrest.desk.accounts import owed as desk

    who, day = one_word(asked, "a customer"), customers.today(place.said, asked.now)
    with place.store.reading() as session:
        found = desk.owes(session, place.said, customers.find(session, who), day=day)
    if asked.out:
        write(asked.out, reminding.account_pdf(place.store, place.said, who, now=asked.now))
    currency = place.said.shop.currency
    return words.owes_answer(found, day, currency), words.owes_lines(found, day, currency)


def moved(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import owed_words as words
    from steadyrest.desk.accounts import money

    job, who = asked.job, ""
    if asked.what == "deposit":
        job = number(one_word(asked, "the job"), "steadyrest owed deposit")
    elif asked.more:
        who = one_word(asked, "a customer")
    said = money.Said(
        KINDS[asked.what], named(asked.by), amount=asked.amount, invoice=asked.invoice, job=job, customer=who,
        on=asked.on, due=asked.due, how=asked.how, reference=asked.reference, words=asked.why,
    )  # fmt: skip
    made = money.write(place.store, place.said, said, now=asked.now)
    return [words.payment_answer(one) for one in made], map(words.payment_line, made)


def struck(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import owed_words as words
    from steadyrest.desk.accounts import money

    entry = number(one_word(asked, "the entry"), "steadyrest owed strike")
    gone = money.strike(place.store, place.said, entry, by=named(asked.by), words=asked.why, now=asked.now)
    return words.payment_answer(gone), (f"struck: {words.payment_line(gone)}",)


def reminded(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import owed_words as words
    from steadyrest.desk.accounts import reminding

    who = one_word(asked, "a customer")
    if asked.out:
        write(asked.out, reminding.account_pdf(place.store, place.said, who, now=asked.now, reminding=True))
    if asked.sent:
        found = reminding.sent(place.store, place.said, who, by=named(asked.by), words=asked.how, now=asked.now)
    else:
        found = reminding.remind(place.store, place.said, who, now=asked.now)
    return words.reminder_answer(found, place.said.shop.currency), words.reminder_lines(found)


def exported(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.desk.accounts.customers import day_of
    from steadyrest.desk.accounts.money_export import money_csv

    if asked.out is None:
        raise BadInput(where="--out", what="it is not said where to write the list.", do="Name a CSV file.")
    since, until = (
        day_of(text, f"--{name}") if text else None for name, text in (("since", asked.since), ("until", asked.until))
    )
    text = money_csv(place.store, place.said, since=since, until=until)
    write(asked.out, text.encode("utf-8-sig"))  # a spreadsheet needs the mark to know the letters
    rows = text.count("\r\n") - 1
    document: Json = {"file": str(asked.out), "rows": rows, "since": iso(since), "until": iso(until)}
    return document, (f"{rows} rows written to {asked.out}",)


def iso(day: date | None) -> str | None:
    return day.isoformat() if day else None


ACTS: dict[str, Callable[[argparse.Namespace, Place], tuple[Json, Iterable[str]]]] = {
    "list": listed, "show": shown, **dict.fromkeys(KINDS, moved), "strike": struck, "remind": reminded,
    "export": exported,
}  # fmt: skip

OWED = (
    Verb(
        "owed",
        "Money owed: who owes what and how late, money that came, credit notes, deposits, reminders, the accountant's "
        "list.",
        "steadyrest owed pay --invoice 3 --amount 120.00 --how bank --by ambra --data shop-data",
        flags,
        owed,
    ),
)
