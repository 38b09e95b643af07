"""The rack's side of the verb `stock`: list, add, show, move, use, scrap, count, labels, paper.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.cli.clock_verb import named
from steadyrest.cli.shared import out
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable

    from steadyrest.cli.answers import Json
    from steadyrest.desk.place import Place
    from steadyrest.units.lengths import LengthUnit

USAGE = "steadyrest stock"


def rack_flags(one: argparse.ArgumentParser) -> None:
    """The flags that the rack needs."""
    one.add_argument("--by", metavar="P", help="who says so, as the shop file calls them")
    one.add_argument("--place", default="", metavar="PLACE", help="where it lies; list: only there")
    one.add_argument("--material", default="", metavar="M", help="its metal; list: only of this metal")
    one.add_argument("--yields", default="", metavar="SIZE", help='list: could yield "40 x 120" or "30 x 20 x 100"')
    one.add_argument("--length", default="", metavar="L", help="add: how long it is; use: how much of it")
    one.add_argument("--label", default="", metavar="L", help="add: what is written on it; default: the next number")
    one.add_argument("--condition", default="not known", metavar="C", help="add: such as hot rolled, bright drawn")
    one.add_argument("--heat", default="", metavar="N", help="add: its heat number")
    one.add_argument("--certificate", default="", metavar="N", help="add: its certificate")
    one.add_argument("--cost", default="0", metavar="AMOUNT", help="add: what was paid for it")
    one.add_argument("--owner", default="", metavar="NAME", help="add: whose it is, if a customer's own")
    one.add_argument("--damage", default="", metavar="WORDS", help="add: what is wrong with it")
    one.add_argument("--camber", default="", metavar="L", help="add: out of straight, over its length")
    one.add_argument("--bad-end", dest="bad", default="", metavar="L", help="add: how much of it is no use")
    one.add_argument("--whole", action="store_true", help="use: all of it")
    one.add_argument("--kerf", default="", metavar="L", help="use: what the cut takes; default: the saw's")
    one.add_argument("--job", type=int, metavar="N", help="use: for which job; it is charged with it")
    one.add_argument("--file", type=Path, metavar="FILE", help="paper: a PDF, JPEG or PNG to keep with it")
    one.add_argument("--photo-of", dest="photo_of", action="store_true", help="paper: a photo, not its certificate")
    one.add_argument("--seen", type=int, metavar="N", help="use, move: the turn you saw; refused if it is another now")
    one.add_argument("--why", default="", metavar="WORDS", help="scrap: why")
    one.add_argument("--write", action="store_true", help="count: set the book right by it")
    one.add_argument("--sheet", default="70x37", metavar="S", help="labels: which sheet; 70x37, 99x38, 67x25")
    one.add_argument("--skip", type=int, default=0, metavar="N", help="labels: so many are used up already")
    one.add_argument("--out", type=Path, metavar="FILE.pdf", help="labels: write them here")
    one.add_argument("--link", default="", metavar="ADDRESS", help="labels: where the app is, for the code")


def rack(asked: argparse.Namespace) -> int:
    """One of the rack's verbs."""
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name the shop's.")
    if asked.what in ("show", "move", "use", "scrap", "paper") and len(asked.more) != 1:
        raise BadInput(where=f"{USAGE} {asked.what}", what="name one piece.", do="Give its label.")
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


def listed(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import rack_words as words
    from steadyrest.desk.pieces import rack as desk
    from steadyrest.desk.pieces.left_out import left_out

    if asked.more:
        raise BadInput(where=f"{USAGE} list", what=f"{asked.more[0]!r} is too much.", do="Use --place, --yields.")
    shop = place.said.shop
    unit: LengthUnit = "in" if (asked.unit or shop.unit) == "in" else "mm"
    there = desk.pieces(place.store, shop)
    sought = {"place": asked.place, "metal": asked.material, "yields": asked.yields}
    found = desk.find(there, **sought, unit=unit, shop=shop)
    without = left_out(there, **sought, unit=unit, shop=shop)
    return words.list_answer(found, shop, without), words.list_lines(found, shop, without)


def judged_by_book(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    """Keep or scrap, by the shop's own book."""
    from steadyrest.cli import rack_words as words
    from steadyrest.desk.pieces import keep_or_scrap, rack

    shop = place.said.shop
    there = rack.pieces(place.store, shop)
    found = tuple(keep_or_scrap.judged(place.store, shop, there, now=asked.now).values())
    return words.rack_keep_answer(found, shop), words.rack_keep_lines(found, shop)


def added(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import rack_words as words
    from steadyrest.desk.pieces import piece_in as desk

    shop = place.said.shop
    if len(asked.more) < 2:
        raise BadInput(where=f"{USAGE} add", what="say its shape and sizes.", do="Such as: add round 40 --length 3000.")
    shape, *size = asked.more
    new = desk.New(
        shape, tuple(size), asked.length, asked.material, asked.place, named(asked.by), label=asked.label,
        condition=asked.condition, heat_number=asked.heat, certificate=asked.certificate, cost=asked.cost,
        owner=asked.owner, damage=asked.damage, camber=asked.camber, bad=asked.bad,
    )  # fmt: skip
    made = desk.come(place.store, shop, new, unit=asked.unit or shop.unit, now=asked.now)
    return words.piece_answer(made, shop), words.piece_lines(made, shop)


def shown(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import rack_words as words
    from steadyrest.desk.pieces import rack as desk

    story = desk.story(place.store, place.said.shop, asked.more[0])
    return words.story_answer(story, place.said.shop), words.story_lines(story, place.said.shop)


def moved(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import rack_words as words
    from steadyrest.desk.pieces import piece_moves as desk

    if not asked.place.strip():
        raise BadInput(where="--place", what="it is not said where to.", do="Name the place.")
    done = desk.change(
        place.store, place.said.shop, asked.more[0], "moved", {"place": asked.place.strip()}, who=named(asked.by),
        now=asked.now, seen=asked.seen,
    )  # fmt: skip
    return words.piece_answer(done, place.said.shop), words.piece_lines(done, place.said.shop)


def used(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import rack_words as words
    from steadyrest.desk.pieces import piece_moves as desk

    shop = place.said.shop
    cut = desk.Cut(
        asked.more[0], named(asked.by), length=asked.length, whole=asked.whole, kerf=asked.kerf, job=asked.job,
        seen=asked.seen,
    )  # fmt: skip
    done = desk.cut(place.store, shop, cut, unit=asked.unit or shop.unit, now=asked.now)
    return words.piece_answer(done, shop), words.piece_lines(done, shop)


def scrapped(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import rack_words as words
    from steadyrest.desk.pieces import piece_moves as desk

    done = desk.change(
        place.store, place.said.shop, asked.more[0], "gone", {"why": asked.why, "length_mm": 0.0},
        who=named(asked.by), now=asked.now, seen=asked.seen,
    )  # fmt: skip
    return words.piece_answer(done, place.said.shop), words.piece_lines(done, place.said.shop)


def kept(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import rack_words as words
    from steadyrest.desk.floor.clock import photo_from
    from steadyrest.desk.pieces.piece_papers import PieceFile, keep_paper

    if asked.file is None:
        raise BadInput(where="--file", what="it is not said which paper.", do="Name a PDF, JPEG or PNG file.")
    data, name = photo_from(asked.file)
    what = "photo" if asked.photo_of else "certificate"
    one = PieceFile(asked.more[0], what, data, name, named(asked.by), number=asked.certificate)
    done = keep_paper(place.store, place.said.shop, one, now=asked.now)
    return words.piece_answer(done, place.said.shop), words.piece_lines(done, place.said.shop)


def counted(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import rack_words as words
    from steadyrest.desk.pieces import stocktake as desk

    if not asked.more:
        raise BadInput(where=f"{USAGE} count", what="name the place first.", do='Such as: count "rack 2" P7 P9=412.')
    where, *seen = asked.more
    shop = place.said.shop
    found = desk.count(
        place.store, shop, where, seen, who=named(asked.by), write=asked.write, unit=asked.unit or shop.unit,
        now=asked.now,
    )  # fmt: skip
    return words.count_answer(found), words.count_lines(found)


def labelled(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    from steadyrest.cli import rack_words as words
    from steadyrest.cli.record_verb import write
    from steadyrest.desk.pieces import piece_labels

    if asked.out is None:
        raise BadInput(where="--out", what="it is not said where to write them.", do="Name a PDF file.")
    made = piece_labels.labels(
        place.store, place.said.shop, asked.more, sheet=asked.sheet, skip=asked.skip, link=asked.link, now=asked.now
    )
    write(asked.out, made.pdf)
    return words.labels_answer(made, asked.out), words.labels_lines(made, asked.out)


ACTS = {
    "list": listed, "add": added, "show": shown, "move": moved, "use": used, "scrap": scrapped, "count": counted,
    "labels": labelled, "paper": kept, "keep": judged_by_book,
}  # fmt: skip
