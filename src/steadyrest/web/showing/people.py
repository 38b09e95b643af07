"""The page of the people, filled."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.desk.floor.who import PersonKnown
from steadyrest.shop.floor import Shop
from steadyrest.web.at_screen import Screen
from steadyrest.web.pages.people import PeoplePage, PersonRow
from steadyrest.web.pages.top import Top
from steadyrest.web.showing.signin import MAY_NOT, ROLES, device_row
from steadyrest.wording.moments import day


def page(shop: Shop, known: Sequence[PersonKnown], screen: Screen, *, guard: str, trouble: str) -> PeoplePage:
    """The page.

    Args:
        shop: whose people they are.
        known: everybody. screen: who looks.
        guard: token for its forms.
        trouble: why the last thing was not done.
    Returns: the page.
    """
    owners = sum(one.role == "owner" for one in known)
    pins = sum(one.role is not None for one in known)
    return PeoplePage(
        top=Top("The people", shop.name),
        guard=guard,
        trouble=trouble,
        none_yet=not pins,
        rows=tuple(
            PersonRow(
                one.id,
                one.name,
                "no PIN: cannot sign in"
                if one.role is None or one.since is None
                else f"{ROLES[one.role]}; PIN of {day(one.since, shop.timezone)}",
                one.role or "",
                me=screen.who is not None and screen.who.id == one.id,
                may_take=one.role == "hand" or (one.role == "owner" and (owners > 1 or pins == 1)),
                first=not pins,
                devices=tuple(device_row(device, screen.key, shop.timezone) for device in one.devices),
            )
            for one in known
        ),
        may_not=MAY_NOT,
    )
