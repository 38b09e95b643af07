"""Plan a job of several parts: each part read and routed, all of them in one week, on one row of draws, at one price.

The parts take their pieces from the rack in the order of the list, each what those before it leave. Time, promise and
price come from one simulation of all steps together, with the same luck: nothing is summed as if it were independent.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cache

from steadyrest.decide.take_joined import PartAsked, take_joined
from steadyrest.desk import request_file
from steadyrest.desk.plan.joined_answer import JoinedAnswer, PlannedPart
from steadyrest.desk.plan.joined_lot import Listed, Lot, LotAsked, lot_of
from steadyrest.desk.plan.listed_parts import READING, read_all
from steadyrest.desk.plan.plan_part import (
    DRAWS,
    RUSH_H,
    PlanAnswer,
    Progress,
    RoutePlanned,
    Stop,
    Wanted,
    as_drawn,
    choose,
    due_of,
    quantity_of,
    shop_of,
)  # fmt: skip
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.measure.plan import Measure, measuring_plan
from steadyrest.price.price import Circumstances, price
from steadyrest.price.winning import Quoted
from steadyrest.promise.promise import promise
from steadyrest.route.tolerance_chart import Asked, chart
from steadyrest.shop.draws import Luck
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.part import Doubt, Feature, Part, UnitSaid
from steadyrest.shop.parts_list import PartsList
from steadyrest.shop.parts_list_file import read_parts_list
from steadyrest.shop.work import Route
from steadyrest.trouble import BadInput

JOB = "this job"
ENDING = ".toml"


def plan_job_file(wanted: Wanted, *, progress: Progress, stop: Stop) -> PlanAnswer:
    """Read a parts list and every file it names, and answer all six questions; keep the job if a folder is named.

    Args:
        wanted: what was asked; `file` is the list. due and quantity, where given, come before the list's own.
        progress: told what is being done and how far it is.
        stop: asked now and then; True ends it.
    Returns: the answer, "no" included.
    Raises: BadInput: the list, a file, the shop, a metal, a quantity, the due time or a unit is at fault.
    """
    asked = request_file.asked(wanted.file, read_parts_list)
    said = shop_of(wanted)
    due = due_said(wanted.due, asked, wanted.now)
    if wanted.quantity:
        asked = replace(asked, quantity=quantity_of(wanted.quantity))
    folder = wanted.file.parent
    listed = read_all(asked, lambda name: folder / name, said=said, unit=wanted.unit, progress=progress, stop=stop)
    answer = plan_job(
        asked, listed, said=said, due=due, now=wanted.now, seed=wanted.seed,
        progress=lambda what, share: progress(what, READING + (1 - READING) * share), stop=stop,
    )  # fmt: skip
    answer = replace(answer, customer=wanted.customer or asked.customer, by_hours=wanted.by_hours)
    if wanted.data is not None:
        from steadyrest.desk.accounts import credit
        from steadyrest.desk.plan import keeping  # late: without a data folder the store is not needed

        answer = credit.of_folder(answer, wanted.data, said, now=wanted.now)
        files = tuple(folder / one.file for one in asked.made)
        keeping.keep(answer, file=wanted.file, folder=wanted.data, now=wanted.now, besides=files)
    return answer


def due_said(typed: str, asked: PartsList, now: datetime) -> datetime:
    """By when: as typed, else as the list says. Raises: BadInput: neither says it, or it is past."""
    if typed:
        return due_of(typed, now)
    if asked.due is None:
        raise BadInput(where=asked.name, what="nobody said by when.", do="Add due to the list, or pass --due.")
    if asked.due <= now:
        what = f"due {asked.due.isoformat()} is not later than now ({now.isoformat(timespec='minutes')})."
        raise BadInput(where=asked.name, what=what, do="Give a moment still to come.")
    return asked.due


def plan_job(
    asked: PartsList,
    listed: tuple[Listed, ...],
    *,
    said: ShopSaid,
    due: datetime,
    now: datetime,
    seed: int,
    progress: Progress,
    stop: Stop,
) -> PlanAnswer:
    """The six answers for a job of several parts that are read.

    Args:
        asked: the list.
        listed: the parts made here, in its order.
        said: the shop.
        due: aware, later than now.
        now: aware.
        seed: of every draw.
        progress: told what is being done and how far it is.
        stop: asked now and then; True ends the search early, with the best so far.
    Returns: the answer; `joined` says each part.
    """
    shop, luck = said.shop, Luck(DRAWS, seed)
    progress("finding the way to make each part", 0.0)
    ways = [_ways(asked, listed, said, soonest=soonest) for soonest in (False, True)]
    cheapest = ways[0](asked.quantity)
    if cheapest.missing or cheapest.picked == ways[1](asked.quantity).picked:
        ways = ways[:1]
    planned: list[RoutePlanned] = []
    for n, way in enumerate(ways):
        progress("simulating the week", 0.2 + 0.7 * n / len(ways))
        planned.append(
            _promised_and_priced(way, asked.quantity, due=due, now=now, luck=luck, stop=stop, quotes=said.quotes)
        )
    chosen = choose(planned, shop)
    lot = ways[chosen or 0](asked.quantity)
    best = planned[chosen] if chosen is not None else None
    measures = {one.row.id: measuring_plan(one.part, shop, one.metal, now=now) for one in listed}
    parts = tuple(_planned_part(one, lot, measures[one.row.id], said, luck) for one in listed)
    answer = take_joined(
        tuple(PartAsked(one.row.id, one.part, lot.route(one.row.id)) for one in listed), lot.unmade,
        best.promise if best else None, best.price if best else None, due=due, now=now, shop=shop, said=asked.name,
    )  # fmt: skip
    progress("done", 1.0)
    return PlanAnswer(
        part=_all_in_one(asked, listed), material=listed[0].metal, quantity=asked.quantity, due=due, now=now, seed=seed,
        shop=shop, example_shop=said.example, routes=tuple(planned), chosen=chosen, take=answer,
        measures=tuple(replace(m, feature=f"{name} {m.feature}") for name, rows in measures.items() for m in rows),
        handling=tuple(figure for one in parts for figure in one.route.handling), what=asked.name,
        joined=JoinedAnswer(
            sets=asked.quantity, parts=parts, bought=asked.bought, fittings=asked.fittings, site=asked.site,
            shared=lot.shared, notes=lot.notes, saved=_saved(lot),
        ),
    )  # fmt: skip


def _ways(asked: PartsList, listed: tuple[Listed, ...], said: ShopSaid, *, soonest: bool) -> Callable[[int], Lot]:
    @cache
    def lot(sets: int) -> Lot:
        return lot_of(LotAsked(asked, listed, said.shop, sets, soonest, JOB))

    return lot


def _promised_and_priced(
    way: Callable[[int], Lot], sets: int, *, due: datetime, now: datetime, luck: Luck, stop: Stop,
    quotes: Sequence[Quoted],
) -> RoutePlanned:  # fmt: skip
    lot = way(sets)
    if lot.missing or not lot.chains:
        return RoutePlanned(lot.whole, None, None)
    promised, draws = promise(lot.chains, job_id=JOB, due=due, now=now, shop=lot.shop, luck=luck, stop=stop)
    under = Circumstances(
        rush=(due - now).total_seconds() < RUSH_H * 3600, after_hours=promised.after_hours, rivals=1
    )  # fmt: skip

    def other(count: int) -> Route | None:
        found = way(count)
        return None if found.missing else found.whole

    priced = price(
        lot.whole, draws, shop=lot.shop, quantity=sets, circumstances=under, route_for=other,
        cash_for=lambda _route, count: way(count).cash, quotes=quotes,
    )  # fmt: skip
    return RoutePlanned(lot.whole, promised, priced)


def _planned_part(one: Listed, lot: Lot, measures: tuple[Measure, ...], said: ShopSaid, luck: Luck) -> PlannedPart:
    route, count = lot.route(one.row.id), one.row.quantity * lot.sets
    if route.steps:
        asked = Asked(as_drawn(one.part), route, one.metal, count, said.shop, measures, one.finishes, luck)
        route = replace(route, chart=chart(asked))
    return PlannedPart(one.row.id, one.row.file, one.part, one.metal, count, route, measures)


def _saved(lot: Lot) -> Figure:
    why = tuple(one.why for one in lot.shared) or lot.notes
    return Figure(sum(one.saved_s for one in lot.shared), "s", why)


def _all_in_one(asked: PartsList, listed: tuple[Listed, ...]) -> Part:
    """All features of the job under their parts' names: what the six answers of the whole speak of."""
    made, bought = float(len(listed)), float(len(asked.bought))
    why = because("joined.parts", made=made, bought=bought, count=float(asked.quantity))
    sizes = [tuple(sorted(one.part.size_mm, reverse=True)) for one in listed]
    metals = {one.metal.id for one in listed}
    volumes = [one.part.volume_mm3 for one in listed]
    whole = len(metals) == 1 and all(volume is not None for volume in volumes)
    total = sum((one.part.volume_mm3 or 0.0) * one.row.quantity for one in listed) if whole else None
    return Part(
        name=asked.name, kind="solid", unit=UnitSaid("mm", "sure", why),
        size_mm=(max(s[0] for s in sizes), max(s[1] for s in sizes), max(s[2] for s in sizes)), volume_mm3=total,
        features=tuple(_of(one.row.id, feature) for one in listed for feature in one.part.features),
        axisymmetric=False, doubts=tuple(_doubt(one.row.id, doubt) for one in listed for doubt in one.part.doubts),
    )  # fmt: skip


def _of(part: str, feature: Feature) -> Feature:
    return replace(feature, id=f"{part} {feature.id}", on=f"{part} {feature.on}" if feature.on else None, pattern=None)


def _doubt(part: str, doubt: Doubt) -> Doubt:
    def named(reason: Reason) -> Reason:
        given = ((k, f"{part} {v}" if k == "feature" and isinstance(v, str) else v) for k, v in reason.given)
        return replace(reason, given=tuple(given))

    return Doubt(named(doubt.what), named(doubt.ask))
