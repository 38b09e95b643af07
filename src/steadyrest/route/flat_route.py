"""The routes of a flat part: every cutter that takes it, from every sheet that it could come from.

Laid out at the desk, cut, what is too small to cut drilled (by hand or on the mill), bent where the drawing has bend
lines, sent out, edges broken, measured, delivered.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from steadyrest.route.assembly import OUT_BEFORE, Job
from steadyrest.route.costing import route_cost
from steadyrest.route.flat_drilling import drilled
from steadyrest.route.lifts import Weights, with_lifts
from steadyrest.route.plate_finishing import finished
from steadyrest.route.plate_thickness import is_faced
from steadyrest.route.precedence import while_on_order, with_precedence
from steadyrest.route.sending import send_out
from steadyrest.route.weights import finished_kg, weights
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import CutterLimits, Machine
from steadyrest.shop.work import Blank, Purchase, Route, Step, Undone
from steadyrest.stations.answer import State
from steadyrest.stations.known import STATIONS
from steadyrest.stations.plate import answering as plate
from steadyrest.stations.plate.setting import NotCut, setting
from steadyrest.stock.sheet_choice import SheetChoice, sheet_choices

FROM_RACK, BOUGHT = 3, 3
AFTER = ("hand", "inspect", "deliver")


@dataclass(frozen=True, slots=True)
class Flats:
    """What came of a flat part. refused: pieces and cutters that will not do, each with why."""

    routes: tuple[Route, ...]
    refused: tuple[Undone, ...]


def flat_routes(job: Job) -> Flats:
    """Every route for a flat part with its thickness.

    Args:
        job: of a part with outlines.
    Returns: routes that have steps, and all refusals.
    """
    routes: list[Route] = []
    refused: list[Undone] = []
    cutters = [machine for machine in job.shop.machines if isinstance(machine.limits, CutterLimits)]
    if not cutters:
        refused.append(Undone("plate", None, (), (because("plate.no_cutter"),), because("plate.nearest_outside")))
    for machine in cutters:
        found, no = _on(job, machine)
        routes.extend(found)
        refused.extend(one for one in no if one not in refused)
    return Flats(tuple(routes), tuple(refused))


def _on(job: Job, machine: Machine) -> tuple[list[Route], list[Undone]]:
    """The routes over one cutter."""
    limits = machine.limits
    assert isinstance(limits, CutterLimits)
    ids = tuple(feature.id for feature in job.part.features)
    bare = State(_no_blank(job), "", 0.0, 0.0)
    no = plate.refused(job.ask(ids, bare, machine), machine, limits)
    found = setting(machine, limits, job.material, job.part.size_mm[2])
    if no is not None or isinstance(found, NotCut):
        reasons = no if no is not None else found
        assert isinstance(reasons, NotCut)
        return [], [Undone("plate", machine.id, ids, reasons.reasons, reasons.nearest)]
    choices, refused = sheet_choices(
        job.part, material=job.material, quantity=job.quantity, shop=job.shop, keep=plate.keeps(found),
        largest_mm=limits.table_mm,
    )  # fmt: skip
    # A solid has its routes from block beside these, and what is milled after the cut is the same from every sheet.
    alone = job.part.grid is not None
    rack = [one for one in choices if one.choice.piece][: 1 if alone else FROM_RACK]
    bought = [one for one in choices if one.choice.purchase][: 1 if alone else BOUGHT]
    routes: list[Route] = []
    said: list[Undone] = list(refused)
    for choice in (*rack, *bought):
        got = _assembled(job, machine, choice)
        if isinstance(got, Route):
            routes.append(got)
        else:
            said.extend(one for one in got if one not in said)
    return routes, said


def _no_blank(job: Job) -> Blank:
    """A blank without a size: nothing is chosen yet."""
    return Blank("plate", (0.0, job.part.size_mm[2]), 0.0, 0.0, job.material.id, ())


def _assembled(job: Job, machine: Machine, choice: SheetChoice) -> Route | tuple[Undone, ...]:
    """One route: this cutter, these sheets; or why it does not come about."""
    stock = choice.choice
    state = State(
        stock.blank, stock.condition, stock.bar_mm, stock.bar_kg, stock.per_bar, sawn=True, sheets=choice.sheets
    )
    sent = send_out(job.part, job.finishes, lambda part: replace(job.ask((), state, None), part=part))
    drawn, job = job, replace(job, part=sent.part)
    cut = STATIONS["plate"](job.ask(_outlined(job), state, machine))
    if not cut.steps:
        return cut.undone
    steps: list[Step] = list(cut.steps)
    state = cut.state
    later = (drilled if job.part.grid is None else finished)(job, state, cut.undone)
    if is_faced(job.part) and not any(step.station == "mill" for step in later.steps):
        return later.undone
    steps.extend(later.steps)
    cannot: list[Undone] = list(later.undone)
    bent = STATIONS["bend"](job.ask((), replace(state, planned=tuple(steps)), _brake(job)))
    if _bends(job):
        steps.extend(bent.steps)
        cannot.extend(no for no in bent.undone if not bent.steps)
    cannot.extend(sent.cannot)
    if sent.between is not None:
        steps.append(sent.between)
    for station in AFTER:
        if station == OUT_BEFORE:
            steps.extend(sent.steps)
        answer = STATIONS[station](drawn.ask((), replace(state, planned=tuple(steps)), job.machines(station)[0]))
        steps.extend(answer.steps)
        cannot.extend(no for no in answer.undone if not answer.steps)
    if job.part.grid is not None:
        programs = STATIONS["prepare"](job.ask((), replace(state, planned=tuple(steps)), None))
        steps[:0] = programs.steps
        cannot.extend(programs.undone)
    return _route(drawn, machine, choice, tuple(steps), tuple(cannot), state)


def _outlined(job: Job) -> tuple[str, ...]:
    """What the cutter is asked for: all of a drawing, of a solid what lies on its outlines."""
    flat = job.part.flat
    if job.part.grid is None or flat is None:
        return tuple(feature.id for feature in job.part.features)
    return tuple(name for outline in flat.outlines for name in outline.features)


def _bends(job: Job) -> bool:
    flat = job.part.flat
    return flat is not None and any(marking.role == "bend" for marking in flat.markings)


def _brake(job: Job) -> Machine | None:
    return next((machine for machine in job.shop.machines if machine.kind == "brake"), None)


def _route(
    job: Job, machine: Machine, found: SheetChoice, steps: Sequence[Step], cannot: tuple[Undone, ...], state: State
) -> Route:
    choice = found.choice
    buy: tuple[Purchase, ...] = (choice.purchase,) if choice.purchase else ()
    weighs = Weights(0.0, 1, choice.blank, finished_kg(job.part, job.material), job.quantity)
    done = with_precedence(with_lifts(tuple(steps), weighs, job.shop), job.shop)
    cost, cost_why = route_cost(choice, done, job.shop)
    stock = because("route.from_rack", piece=choice.piece.id) if choice.piece else because("route.bought")
    way: Reason = because("route.cut_by", machine=machine.name)
    return Route(
        steps=done,
        blank=choice.blank,
        piece=choice.piece.id if choice.piece else None,
        rest_mm=None,
        buy=buy,
        cannot=cannot,
        why=(cost_why, way, stock, *while_on_order(done, buy), *choice.blank.why),
        cost=cost,
        handling=(
            *weights(job.part, choice, material=job.material, quantity=job.quantity, shop=job.shop),
            *(step.lifted for step in done if step.lifted is not None),
        ),
        sheets=state.sheets,
    )
