"""The verb `things`: fixtures, moulds, gauges, tools, machines; where they are, what is due, what to order.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.cli.clock_verb import named
from steadyrest.cli.shared import Verb, out
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from steadyrest.cli.answers import Json
    from steadyrest.desk.floor.things import Kept
    from steadyrest.shop.floor import Shop

ACTS = ("list", "add", "show", "said", "used", "bought", "counted", "served", "gone")
WORDS = ("place", "condition", "words", "due", "count", "lead_days", "supplier", "odds", "service_h", "job")


def things_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("what", choices=ACTS, help="list; add KIND NAME; show N; or what happened to N")
    one.add_argument("more", nargs="*", metavar="N", help="the thing's number; add: its kind and name")
    one.add_argument("--place", default="", metavar="PLACE", help="where it is")
    one.add_argument("--condition", default="", metavar="WORDS", help="how it is")
    one.add_argument("--words", default="", metavar="WORDS", help="what else there is to say")
    one.add_argument("--due", default="", metavar="DAY", help="when it is to be checked next, such as 2027-03-31")
    one.add_argument("--count", default="", metavar="N", help="of tools: how many")
    one.add_argument("--lead-days", default="", metavar="D", help="of tools: how long new ones take to come")
    one.add_argument("--supplier", default="", metavar="NAME", help="of tools: from whom")
    one.add_argument("--odds", default="", metavar="P", help="of tools: how often they must last; default 0.95")
    one.add_argument("--service-h", default="", metavar="H", help="of a machine: served every so many hours")
    one.add_argument("--job", default="", metavar="N", help="for which job it was used, by its number")
    one.add_argument("--photo", type=Path, metavar="FILE", help="a JPEG or PNG")
    one.add_argument("--by", metavar="P", help="who says so")


def things(asked: argparse.Namespace) -> int:
    from steadyrest.desk.floor import things as desk
    from steadyrest.desk.floor.clock import photo_from
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name the shop's.")
    wanted = 0 if asked.what == "list" else 2 if asked.what == "add" else 1
    if len(asked.more) != wanted:
        where = f"steadyrest things {asked.what}"
        raise BadInput(where=where, what="it is not said which.", do="list; add KIND NAME; others: a number.")
    words = {name: getattr(asked, name) for name in WORDS}
    photo = photo_from(asked.photo)[0]
    place = open_place(asked.data, asked.shop)
    store, shop, now = place.store, place.said.shop, asked.now
    try:
        number = 0 if asked.what in ("list", "add") else number_of(asked.more[0])
        if asked.what == "add":
            kind, name = asked.more
            number = desk.add(store, shop, kind, name, words, photo, who=named(asked.by), now=now)
        elif asked.what not in ("list", "show"):
            desk.tell(store, number, asked.what, words, photo, seen="", who=named(asked.by), now=now)
        found = (desk.one_thing(store, number, shop, now=now),) if number else desk.all_things(store, shop, now=now)
    finally:
        place.close()
    if asked.json:
        out({"things": [answer(one) for one in found]})
        return 0
    for one in found:
        print(line(one, shop))
    if number:
        print("\n".join(f"  {told}" for told in desk.story(found[0].thing, shop)))
    return 0


def number_of(text: str) -> int:
    """A thing's number as typed."""
    if not (text.isascii() and text.isdecimal() and len(text) < 10 and int(text)):
        raise BadInput(where="steadyrest things", what=f"{text[:20]!r} is no number.", do="See things list.")
    return int(text)


def line(one: Kept, shop: Shop) -> str:
    """A thing for a person."""
    from steadyrest.desk.floor import things as desk

    matter = desk.matter(one)
    says = desk.in_words(one, shop)
    return f"{int(one.thing.id)} {one.thing.kind} {one.thing.name}: {says}" + (f". {matter}" if matter else "")


def answer(one: Kept) -> dict[str, Json]:
    """A thing as data."""
    thing = one.thing
    return {
        "thing": int(thing.id), "kind": thing.kind, "name": thing.name, "place": thing.place,
        "condition": thing.condition, "due": thing.due.isoformat() if thing.due is not None else None,
        "count": thing.count if thing.kind == "tool" else None,
        "order_at": one.order_at.value if one.order_at is not None else None, "run_h": one.run_h,
        "attention": one.attention, "gone": thing.gone,
    }  # fmt: skip


THINGS = (
    Verb(
        "things",
        "Fixtures, moulds, gauges, counted tools and machines: where they are, what is due, what to order.",
        "steadyrest things add tool drill-6.8 --count 12 --lead-days 5 --by ambra --data shop-data",
        things_flags,
        things,
    ),
)
