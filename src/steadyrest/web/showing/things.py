"""The pages of the shop's things, in words that the command line says too."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.desk.floor.things import Kept, in_words, matter, story
from steadyrest.shop.floor import Shop
from steadyrest.store.things import KINDS
from steadyrest.web.pages.things import ThingPage, ThingRow, ThingsPage
from steadyrest.web.pages.top import Top
from steadyrest.wording.say import Reader, say

MANY = {"fixture": "Fixtures", "mould": "Moulds", "gauge": "Gauges", "tool": "Tools", "machine": "Machines"}


def row(one: Kept, shop: Shop) -> ThingRow:
    """A thing in few words."""
    thing = one.thing
    photo = f"/things/{int(thing.id)}/photo/{thing.photo}" if thing.photo else ""
    return ThingRow(int(thing.id), thing.kind, thing.name, matter(one), in_words(one, shop), photo)


def page(found: Sequence[Kept], shop: Shop, *, guard: str, touch: str, kind: str = "", trouble: str = "") -> ThingsPage:
    """The page of all.

    Args:
        found: every thing, those that ask for something first.
        shop: for names.
        guard: the app's form token. touch: marks the form.
        kind: chosen in the form. trouble: what went wrong, or "".
    Returns: the page.
    """
    rows = [(one, row(one, shop)) for one in found]
    return ThingsPage(
        top=Top("Things of the shop", shop.name),
        guard=guard,
        touch=touch,
        matters=tuple(each for one, each in rows if one.attention),
        others=tuple(
            (MANY[kind], mine)
            for kind in KINDS
            if (mine := tuple(each for one, each in rows if not one.attention and each.kind == kind))
        ),
        kinds=tuple(KINDS),
        kind=kind,
        people=tuple((person.id, person.name) for person in shop.people),
        names=(*(one.id for one in shop.machines), *(one.id for one in shop.gauges)),
        trouble=trouble,
    )


def one_page(one: Kept, shop: Shop, *, guard: str, touch: str, trouble: str = "") -> ThingPage:
    """The page of one thing.

    Args:
        one: the thing.
        shop: for names and units.
        guard: the app's form token. touch: a mark; each form makes its own of it.
        trouble: what went wrong, or "".
    Returns: the page.
    """
    thing = one.thing
    reader = Reader("in" if shop.unit == "in" else "mm", shop.currency)
    facts = (
        ("Place", thing.place), ("Condition", thing.condition),
        ("Next check", thing.due.isoformat() if thing.due is not None else ""),
        ("There are", str(thing.count) if thing.kind == "tool" else ""),
        ("Order at", f"{one.order_at.value:.0f}" if one.order_at is not None else ""),
        ("From", thing.supplier),
        ("Ran since it was served", f"{one.run_h:.1f} h" if one.run_h is not None else ""),
        ("Served every", f"{thing.service_h:g} h" if thing.service_h else ""), ("Note", thing.words),
    )  # fmt: skip
    return ThingPage(
        top=Top(thing.name, shop.name),
        guard=guard,
        touches=(f"{touch}-a", f"{touch}-b"),
        row=row(one, shop),
        facts=tuple((name, says) for name, says in facts if says),
        why=tuple(say(reason, reader) for reason in one.order_at.why) if one.order_at is not None else (),
        told=tuple(story(thing, shop))[::-1],
        seen=thing.turn,
        counted=thing.kind == "tool",
        served=thing.kind == "machine",
        gone=thing.gone,
        people=tuple((person.id, person.name) for person in shop.people),
        trouble=trouble,
    )
