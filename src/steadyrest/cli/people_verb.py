"""The verb `people`: who may come in, PINs given and taken back, devices.

Whoever can write the data folder at this machine may give PINs: that is how an owner comes in again who forgot theirs.
Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from getpass import getpass
from typing import TYPE_CHECKING

from steadyrest.cli.shared import Verb, out
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from steadyrest.desk.floor.who import PersonKnown
    from steadyrest.shop.floor import Shop

WHAT = ("list", "pin", "take", "forget")
WHAT_HELP = (
    "list: everybody, their role and devices; pin PERSON: give a PIN, or another one (asked for, or the first line of "
    "standard input); take PERSON: take it back; forget DEVICE: a device has to come in anew"
)


def people_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("what", choices=WHAT, help=WHAT_HELP)
    one.add_argument("whom", nargs="?", default="", metavar="PERSON", help="as the shop file calls them; or a device")
    one.add_argument("--role", choices=("owner", "hand"), default="hand", help="what they may do; default hand")
    one.add_argument("--who", default="owner", metavar="PERSON", help="who gives or takes it; default owner")


def people(asked: argparse.Namespace) -> int:
    from steadyrest.desk.floor import who
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="there is no data folder to keep it in.", do="Name one.")
    if asked.what != "list" and not asked.whom:
        raise BadInput(where=f"steadyrest people {asked.what}", what="nobody is named.", do="See --help.")
    place = open_place(asked.data, asked.shop)
    shop, store = place.said.shop, place.store
    by, now = asked.who, asked.now
    try:
        if asked.what == "pin":
            who.give_pin(store, shop, person=asked.whom, pin=typed_pin(asked.whom), role=asked.role, by=by, now=now)
        elif asked.what == "take":
            who.take_pin(store, person=asked.whom, by=by, now=now)
        elif asked.what == "forget":
            who.take_device_back(store, key=asked.whom, by=by, now=now)
        found = who.everybody(store, shop, now=now)
    finally:
        place.close()
    if asked.json:
        out(answer(found))
    else:
        print("\n".join(lines(found, shop)))
    return 0


def typed_pin(person: str) -> str:
    """The PIN: asked for twice where a person types, never on the command line, where others can read it."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    first, again = getpass(f"PIN for {person}: "), getpass("Again: ")
    if first != again:
        raise BadInput(where="PIN", what="it was not typed twice alike.", do="Type it again.")
    return first


def answer(found: Sequence[PersonKnown]) -> object:
    """Everybody, as the one document."""
    return {
        "people": [
            {
                "person": one.id,
                "name": one.name,
                "role": one.role,
                "since": one.since.isoformat() if one.since is not None else None,
                "devices": [
                    {"device": device.key, "name": device.name, "seen": device.seen_at.isoformat()}
                    for device in one.devices
                ],
            }
            for one in found
        ]
    }


def lines(found: Sequence[PersonKnown], shop: Shop) -> tuple[str, ...]:
    """Everybody, in words."""
    from steadyrest.wording.moments import moment

    said: list[str] = []
    for one in found:
        said.append(f"{one.id}: {one.name}, {one.role or 'no PIN'}")
        said += (f"  {d.key}: {d.name}, seen {moment(d.seen_at, shop.timezone)}" for d in one.devices)
    if not any(one.role for one in found):
        said.append("Nobody has a PIN: the app is the owner's, at this machine alone.")
    return tuple(said)


PEOPLE = (
    Verb(
        "people",
        "Who may come in: PINs given and taken back, owner or hand, and the devices that are in.",
        "steadyrest people list --data shop-data",
        people_flags,
        people,
    ),
)
