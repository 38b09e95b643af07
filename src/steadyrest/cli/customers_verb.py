"""The verb `customer`: who they are, whom to call, what was agreed with them; every change is an entry.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.cli.clock_verb import named
from steadyrest.cli.shared import Verb, out
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from steadyrest.cli.answers import Json
    from steadyrest.desk.place import Place

# What is called how here, and the words that it takes, in the desk's names.
TELLS = {
    "address": "address", "contact": "contact", "terms": "terms", "rounding": "rounding", "tax": "tax words",
    "certificate": "certificate", "limit": "limit", "note": "note",
}  # fmt: skip
HELP = (
    "list; add NAME; show NAME; and with NAME: address LINE..; contact PERSON; terms --days N; rounding --unit-h 0.25; "
    "tax WORDS; certificate NUMBER --until DAY; limit AMOUNT; note WORDS. NAME may be the customer's number"
)
WORDS = (
    ("days", "terms: days to pay"), ("discount", "terms: per cent off when paid early"),
    ("discount-days", "terms: within how many days"), ("deposit", "terms: per cent wanted before the work"),
    ("called", "address: the name on papers"), ("phone", "contact"), ("mail", "contact"), ("role", "contact"),
    ("unit-h", "rounding: 0, 0.05, 0.1, 0.25, 0.5 or 1 hour"), ("mode", "rounding: up or nearest"),
    ("per", "rounding: entry or day"), ("minimum-labour", "rounding: least sum for labour"),
    ("until", "certificate: its last day, 2026-12-31"),
)  # fmt: skip


def flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("what", choices=("list", "add", "show", *TELLS), help=HELP)
    one.add_argument("more", nargs="*", metavar="NAME", help="the customer; then words, as above")
    for name, says in WORDS:
        one.add_argument(f"--{name}", default="", metavar="W", help=says)
    one.add_argument("--file", type=Path, metavar="FILE", help="certificate: the paper, a PDF or a photo")
    one.add_argument("--gone", action="store_true", help="contact, certificate: counts no more")
    one.add_argument("--by", metavar="P", help="who says so, as the shop file calls them")


def customer(asked: argparse.Namespace) -> int:
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name the shop's.")
    if asked.what != "list" and not asked.more:
        raise BadInput(
            where=f"steadyrest customer {asked.what}", what="name the customer.", do="Quote a name of words."
        )
    place = open_place(asked.data, asked.shop)
    try:
        document, lines = answer(asked, place)
    finally:
        place.close()
    if asked.json:
        out(document)
    else:
        print("\n".join(lines))
    return 0


def answer(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    """One of the verb's words."""
    from steadyrest.cli import customers_words as words
    from steadyrest.desk.accounts import customer_story, customers

    if asked.what == "list":
        found = customer_story.listed(place.store, place.said, now=asked.now)
        return words.list_answer(found), words.list_lines(found)
    who, more = asked.more[0], asked.more[1:]
    if asked.what == "add":
        customers.make(place.store, who)
    elif asked.what in TELLS:
        told = customers.Told(TELLS[asked.what], typed(asked, more), named(asked.by), file=file(asked))
        customers.tell(place.store, place.said, who, told, now=asked.now)
    story = customer_story.story(place.store, place.said, who, now=asked.now)
    return words.story_answer(story), words.story_lines(story)


def typed(asked: argparse.Namespace, more: list[str]) -> dict[str, str]:
    """The words by the desk's names."""
    found = {name.replace("-", "_"): str(getattr(asked, name.replace("-", "_"))) for name, _ in WORDS}
    found |= {"gone": "yes" if asked.gone else "", "lines": "\n".join(more)}
    words = " ".join(more)
    return found | {"words": words, "name": words, "number": words, "amount": words}


def file(asked: argparse.Namespace) -> tuple[str, bytes] | None:
    if asked.file is None:
        return None
    try:
        return asked.file.name, asked.file.read_bytes()
    except OSError as fault:
        raise BadInput(where=str(asked.file), what=f"cannot be read ({fault.strerror}).", do="Check it.") from None


CUSTOMERS = (
    Verb(
        "customer",
        "Who a customer is, whom to call, what was agreed: days to pay, rounding, certificates, credit; what is owed.",
        'steadyrest customer terms "the ferry office" --days 30 --deposit 20 --by ambra --data shop-data',
        flags,
        customer,
    ),
)
