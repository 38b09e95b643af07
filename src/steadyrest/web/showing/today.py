"""The page of today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from steadyrest.desk.floor.things import matter
from steadyrest.desk.week.today import OpenJob, PersonToday, Today
from steadyrest.promise.answer import PlanRow, state
from steadyrest.shop.floor import Shop
from steadyrest.units import pegs, show_money, show_odds
from steadyrest.web.at_screen import money_shown
from steadyrest.web.pages.today import BuyRow, LeavesRow, PersonRow, ShakyRow, TodayPage
from steadyrest.web.pages.top import Top
from steadyrest.web.showing.revisions import stop_mark
from steadyrest.web.showing.week import holds
from steadyrest.wording.moments import day, moment, stretch
from steadyrest.wording.say import Reader, say

STATES = {"promised": "not begun", "begun": "begun", "ready": "ready to go"}


def page(today: Today, shop: Shop, *, token: str, touch: str) -> TodayPage:
    """The page.

    Args:
        today: what it asks for.
        shop: as it stands.
        token: for its forms. touch: marks them, so that each counts once.
    Returns: the page.
    """
    zone = shop.timezone
    names = {one.id: one.name for one in (*shop.people, *shop.machines)}

    def buys(rows: Sequence[OpenJob], what: str) -> tuple[BuyRow, ...]:
        return tuple(
            BuyRow(one.number, to_buy(one, shop), by(one, zone), f"{touch}-{what}-{one.number}") for one in rows
        )

    return TodayPage(
        top=Top("Today", shop.name),
        day=day(today.now, zone),
        people=tuple(person_row(one, names, zone) for one in today.people),
        alone=tuple(work(row, names, zone) for row in today.alone),
        to_buy=buys(today.to_buy, "order"),
        coming=buys(today.coming, "here"),
        leaving=tuple(
            LeavesRow(one.number, one.what, "" if one.customer == "not said" else one.customer, moment(one.due, zone),
                      STATES.get(one.state, one.state) + (", overdue" if one.due < today.now else "") + goes_back(one))
            for one in today.leaving(zone)
        ),
        shaky=tuple(
            ShakyRow(one.id, one.what, pegs(one.odds), f"{show_odds(one.odds)}, {state(one.odds)}",
                     holds(one.odds, one.holds, zone))
            for one in today.shaky
        ),
        token=token,
        stopped=tuple(stop_mark(one.number, one.stop, shop) for one in today.jobs if one.stop is not None),
        low=tuple((int(one.thing.id), one.thing.name, matter(one)) for one in today.things),
    )  # fmt: skip


def goes_back(one: OpenJob) -> str:
    """What of the customer's own goes back with it."""
    parts = ", ".join(f"{each.count} × {each.what}" for each in one.theirs)
    return f"; theirs, to go back with it: {parts}" if parts else ""


def person_row(one: PersonToday, names: Mapping[str, str], zone: str) -> PersonRow:
    """Who is on what, and what comes next."""
    said = [work(row, names, zone) for row in one.next]
    on = "; ".join(f"{on.job}, {on.what}" + (f", {on.step}" if on.step else "") for on in one.now.on)
    return PersonRow(
        one.now.person, one.now.name, on or "on nothing", said[0] if said else "nothing until tomorrow evening",
        tuple(said[1:]),
    )  # fmt: skip


def work(row: PlanRow, names: Mapping[str, str], zone: str) -> str:
    """A stretch of the week in words."""
    machine = f" on {names.get(row.machine, row.machine)}" if row.machine else ""
    return f"{row.job}, {row.name}{machine}: {stretch(row.start, row.end, zone)}"


def to_buy(one: OpenJob, shop: Shop) -> tuple[str, ...]:
    """Each thing to buy, from whom, for how much."""
    reader = Reader("in" if shop.unit == "in" else "mm", shop.currency)
    suppliers = {each.id: each.name for each in shop.suppliers}
    return tuple(
        f"{say(buy.what, reader)}, from {suppliers.get(buy.supplier, buy.supplier)}"
        + (f", {show_money(buy.cost, shop.currency)}" if money_shown() else "")
        for buy in one.bought.what
    )


def by(one: OpenJob, zone: str) -> str:
    """Until when to order, or when it comes."""
    if one.bought.stage == "ordered":
        return f"likely here {moment(one.bought.here, zone)}" if one.bought.here is not None else "on its way"
    if one.bought.order_by is None or one.bought.here is None:
        return "the supplier is not in the shop file"
    return f"order by {moment(one.bought.order_by, zone)}, then here {moment(one.bought.here, zone)}"
