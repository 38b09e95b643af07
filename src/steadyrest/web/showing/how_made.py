"""From what, and how: the piece, the steps, what was refused, the other ways."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.desk.books.rules import rules_of
from steadyrest.desk.plan.plan_part import PlanAnswer, RoutePlanned
from steadyrest.shop.chart import Charted
from steadyrest.shop.work import HoldPoint, Step
from steadyrest.units import show_time
from steadyrest.web.pages.job import HowMade, PhaseRow, RouteRow, StepRow
from steadyrest.web.pages.top import Worded
from steadyrest.web.showing.words import Words, numeral
from steadyrest.wording.charted import charted


def how_made(answer: PlanAnswer, words: Words, *, job: int = 0) -> HowMade:
    """The chosen way.

    Args:
        answer: the plan.
        words: for its reader.
        job: its number, for pictures.
    Returns: the second answer; without steps where nothing can be made.
    """
    best = answer.best
    routes = [best.route] if best else [one.route for one in answer.routes]
    return HowMade(
        piece=piece(answer, words),
        place=place(answer),
        weights=tuple(weights(answer, words)),
        steps=tuple(step_row(step, words, named=answer.joined is not None) for step in best.route.steps)
        if best
        else (),
        unmade=tuple(
            dict.fromkeys(words.refused(one) for route in routes for one in route.cannot if not one.of_a_piece)
        ),
        pieces=tuple(dict.fromkeys(words.refused(one) for route in routes for one in route.cannot if one.of_a_piece)),
        aside=tuple(dict.fromkeys(words.refused(one) for route in routes for one in route.refused)),
        other_routes=tuple(other_routes(answer, words)),
        chart=tuple(chart_row(one, words) for one in best.route.chart) if best else (),
        job=job,
        sheets=sum(sheet.count for sheet in best.route.sheets) if best else 0,
    )


def weights(answer: PlanAnswer, words: Words) -> Iterator[str]:
    """What bar, blank and part weigh; what is lifted at a step stands at the step."""
    for figure in answer.handling:
        if figure.why[0].key != "lift.at_step":
            shown = words.figure(figure)
            yield f"{shown.says}: {'; '.join(shown.why)}"


def chart_row(one: Charted, words: Words) -> Worded:
    """One size, its chance, and what would help."""
    return Worded(f"no. {numeral(one.feature)} {charted(one, words.reader)}", words.why(one.advice))


def piece(answer: PlanAnswer, words: Words) -> Worded:
    """Which piece, from where, or what to buy."""
    best = answer.best
    if best is not None and answer.joined is not None:
        return Worded("each part from its own piece", words.why(best.route.why))
    if best is None or best.route.blank is None:
        return Worded("nothing on this floor")
    route = best.route
    assert route.blank is not None
    if route.piece is not None:
        found = next(one for one in answer.shop.pieces if one.id == route.piece)
        says = f"{found.id}, {found.material}, {found.place}, heat {found.heat_number}"
    else:
        says = "; ".join(words.say(one.what) for one in route.buy) or "to be bought"
    return Worded(says, words.why((*route.blank.why, *route.why)))


def place(answer: PlanAnswer) -> str:
    """The piece's mark and where it lies, and no more."""
    if answer.joined is not None:
        return f"for {len(answer.joined.parts)} parts"
    name = answer.best.route.piece if answer.best else None
    found = next((one for one in answer.shop.pieces if one.id == name), None)
    return f"{found.id}, {found.place}" if found else "to be bought"


def step_row(step: Step, words: Words, *, named: bool = False) -> StepRow:
    """One visit to one station; named: by its own name, which says the part, else by its station's."""
    machine = f", machine {show_time(step.machine_s)}" if step.machine else ""
    return StepRow(
        name=step.id if named else step.station,
        machine=words.name(step.machine),
        holding=words.say(step.holding),
        times=f"hands {show_time(step.person_s)}{machine}",
        alone=Worded(
            "May run with nobody there." if step.unattended and step.machine else "", words.why(step.unattended_why)
        ),
        phases=tuple(
            PhaseRow(
                name=phase.name,
                time=words.figure(phase.duration_s).says,
                who=" or ".join(words.name(one) for one in phase.who) or "nobody",
                why="; ".join(words.why(phase.duration_s.why)),
            )
            for phase in step.phases
        ),
        tools=", ".join(step.tools),
        limits=tuple(dict.fromkeys(words.figure(limit) for limit in step.limits)),
        cautions=words.why(step.cautions),
        hold_points=tuple(hold_point(point, words) for point in step.hold_points),
        notes=words.why(step.notes),
        rules=tuple(f"{one.note}: {one.value} ({one.standing})" for one in rules_of(step)),
        lifted="" if step.lifted is None else "; ".join(words.why(step.lifted.why[:2])),
    )


def hold_point(point: HoldPoint, words: Words) -> str:
    return (
        f"no. {numeral(point.feature)} must read {words.limits(point.low_mm, point.high_mm)} "
        f"with {words.name(point.gauge)}; if not: {words.say(point.if_not)}"
    )


def other_routes(answer: PlanAnswer, words: Words) -> Iterator[RouteRow]:
    """The ways that were not chosen."""
    for index, other in enumerate(answer.routes):
        if index != answer.chosen and other.price is not None and other.promise is not None:
            costs = f"costs {other.price.cost_p50.value:.0f} {other.price.currency}, " if words.money_shown else ""
            done = words.moment(other.promise.finish_p50)
            yield RouteRow(route_name(other, answer), f"{costs}done {done}", words.why(other.route.why))


def route_name(planned: RoutePlanned, answer: PlanAnswer) -> str:
    if planned.route.piece is None:
        shape = planned.route.blank.shape if planned.route.blank else "stock"
        return f"from bought {shape}"
    found = next(one for one in answer.shop.pieces if one.id == planned.route.piece)
    return f"from {found.id}, {found.place}"
