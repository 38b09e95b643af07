"""The verb `find`: one question over everything that is kept.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from steadyrest.cli.shared import Verb, out
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from steadyrest.cli.answers import Json
    from steadyrest.desk.books.find import Found, FoundRow


def find_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("more", nargs="*", metavar="WORD", help="words, or how they begin; each must stand there")
    one.add_argument(
        "--only", default="", metavar="KIND",
        help="jobs, customers, parts, pieces, notes, programs, invoices or rules, told at length",
    )  # fmt: skip
    one.add_argument("--anew", action="store_true", help="first make the index anew from the rows it is made of")


def find(asked: argparse.Namespace) -> int:
    from steadyrest.desk.books import find as desk
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name the shop's.")
    if not asked.more and not asked.anew:
        raise BadInput(
            where="steadyrest find", what="no word was given.", do="Say what to find, such as a heat number."
        )
    place = open_place(asked.data, asked.shop)
    try:
        if asked.anew:
            desk.index_anew(place.store)
        found = desk.find(place.store, place.said.shop, " ".join(asked.more), only=asked.only)
    finally:
        place.close()
    if asked.json:
        out(find_answer(found))
    else:
        print("\n".join(find_lines(found)) or "the index is made anew")
    return 0


def find_answer(found: Found) -> Json:
    """What was found as one document."""
    return {
        "asked": found.asked,
        "groups": [
            {"kind": group.kind, "more": group.more, "hits": [hit_answer(row) for row in group.rows]}
            for group in found.groups
        ],
        "instead": [{"word": word, "looked_for": list(tried)} for word, tried in found.instead],
        "alone": list(found.alone),
    }


def hit_answer(row: FoundRow) -> Json:
    """One thing found."""
    where: list[Json] = [{"what": one.what, "words": "".join(text for text, _ in one.bits)} for one in row.where]
    return {"title": row.title, "address": row.address, "where": where}


def find_lines(found: Found) -> Iterator[str]:
    """What was found as lines; where nothing was, how to look further."""
    for word, tried in found.instead:
        yield f"nothing has {word}; this looks for {' or '.join(tried)}"
    for group in found.groups:
        yield f"{group.kind}:"
        for row in group.rows:
            yield f"  {row.title}"
            for one in row.where:
                yield f"    {one.what}: {''.join(f'[{text}]' if on else text for text, on in one.bits)}"
        if group.more:
            yield f"  more: --only {group.kind}"
    if found.alone:
        yield f"nothing has all of these words; by itself: {', '.join(found.alone)}"
    elif found.asked and not found.groups:
        yield "nothing has that; try the beginning of a word, or a size as the drawing shows it"


FIND = (
    Verb(
        "find",
        "Find jobs, customers, parts, pieces, notes, programs, invoices and rules by words, sizes or numbers.",
        "steadyrest find heat 88412 --data shop-data",
        find_flags,
        find,
    ),
)
