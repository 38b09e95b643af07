"""One route: from a choice of stock through the stations in the order that the part forces.

Modelled and programmed first; sawn before cut; the first side before the second, which grips it; turned before milled,
because a keyway is set to its shaft; roughed before it is stress relieved; edges after the last cut; measured before it
goes out and before it leaves.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from steadyrest.route.costing import route_cost
from steadyrest.route.datums import with_datums
from steadyrest.route.drawer import with_drawer
from steadyrest.route.lifts import Weights, too_heavy, with_lifts
from steadyrest.route.precedence import while_on_order, with_precedence
from steadyrest.route.refusals import said_once
from steadyrest.route.roughing import rough_and_finish
from steadyrest.route.sending import Sent, send_out
from steadyrest.route.told_before import told_before
from steadyrest.route.weights import finished_kg, weights
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.finish import Finish
from steadyrest.shop.floor import Machine, Material, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Purchase, Route, Step, Undone
from steadyrest.stations.answer import Answer, Ask, State
from steadyrest.stations.known import MACHINE_OF, STATIONS
from steadyrest.stock.choice import Choice

ORDER = ("turn", "mill")
MILLED_ORDER = ("mill", "turn")  # a milled body goes back to the lathe for the bores that the mill leaves
AFTER = ("hand", "inspect", "deliver")
OUT_BEFORE = "inspect"


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be made: the part, of what, how many, in which shop, and what is asked of it besides its shape.

    turn_only: the lathe leaves its driven tools alone, and what is off the axis goes to the mill.
    """

    part: Part
    material: Material
    quantity: int
    shop: Shop
    finishes: tuple[Finish, ...] = ()
    turn_only: bool = False

    @property
    def turned(self) -> bool:
        """Whether it has an axis to turn about; else it is milled from a block."""
        return self.part.profile is not None and self.part.axisymmetric

    @property
    def order(self) -> tuple[str, ...]:
        """The stations that cut, in their order; nothing is made where the first makes nothing."""
        return ORDER if self.turned else MILLED_ORDER

    def ask(self, features: Iterable[str], state: State, machine: Machine | None) -> Ask:
        return Ask(
            self.part, tuple(features), state, self.material, self.quantity, self.shop, machine,
            turn_only=self.turn_only,
        )  # fmt: skip

    def machines(self, station: str) -> tuple[Machine | None, ...]:
        """The machines that a station works on; a single None where it needs none (or can do without)."""
        kind = MACHINE_OF.get(station)
        found = tuple(machine for machine in self.shop.machines if machine.kind == kind)
        if found or station in ("saw", "turn", "mill"):
            return found
        return (None,)


def assemble(job: Job, choice: Choice, *, fed: bool = False) -> Route:
    """The whole route for one choice of stock.

    Args:
        job: what is to be made.
        choice: the piece or purchase.
        fed: its bar goes through the lathe's spindle whole; nothing is sawn.
    Returns: the route; what could not be made stands in `cannot`, and with nothing cut there are no steps.
    """
    state = State(choice.blank, choice.condition, choice.bar_mm, choice.bar_kg, choice.per_bar, choice.cut_to_size)
    sent = send_out(job.part, job.finishes, lambda part: replace(job.ask((), state, None), part=part))
    drawn, job = job, replace(job, part=sent.part)
    steps: list[Step] = []
    why: list[Reason] = []
    if fed:
        state = replace(state, sawn=True, fed=True)
    elif choice.cut_to_size:
        why.append(because("route.sawn_to_size"))
    else:
        sawn = _sawn(job, state)
        if sawn.steps:
            steps.extend(sawn.steps)
        elif choice.purchase is not None:
            why.append(because("route.cut_by_supplier", supplier=choice.purchase.supplier))
        else:
            return _nothing(job, choice, sawn.undone)
        state = sawn.state
    cut = _cut(job, state)
    if not cut.steps:
        return _nothing(job, choice, cut.undone)
    state = cut.state
    cutting = _with_heat(with_datums(cut.steps, job.part, job.shop), sent)
    steps.extend(told_before(cutting, sent.steps, job.finishes, job.part))
    cannot, passed = list(cut.undone), cut.passed
    cannot.extend(sent.cannot)
    for station in AFTER:
        if station == OUT_BEFORE:
            steps.extend(_out(job, state, sent))
        answer = STATIONS[station](drawn.ask((), replace(state, planned=tuple(steps)), job.machines(station)[0]))
        steps.extend(answer.steps)
        cannot.extend(no for no in answer.undone if not answer.steps)
    first = STATIONS["prepare"](job.ask((), replace(state, planned=tuple(steps)), None))
    cannot.extend(first.undone)
    found = _route(drawn, choice, (*first.steps, *steps), tuple(cannot), tuple(why))
    return replace(found, refused=passed)


@dataclass(frozen=True, slots=True)
class Cutting:
    """What the cutting stations make together. passed: what one of them refused and a later one made."""

    steps: tuple[Step, ...]
    state: State
    undone: tuple[Undone, ...]
    passed: tuple[Undone, ...] = ()


def _cut(job: Job, state: State) -> Cutting:
    """Every cutting station in turn; what none of them makes is refused once, with all their reasons."""
    left = {feature.id for feature in job.part.features}
    refused: dict[str, list[Undone]] = {}
    steps: list[Step] = []
    for station in job.order:
        answer = _best_answer(job, station, left, state)
        if station == job.order[0] and not answer.steps:
            return Cutting((), state, answer.undone)
        steps.extend(answer.steps)
        state = answer.state
        left -= set(answer.made)
        for no in answer.undone:
            for name in no.features:
                refused.setdefault(name, []).append(no)
    undone = [feature.id for feature in job.part.features if feature.id in left]
    made = {name for name in refused if name not in left}
    passed = [no for name in sorted(made) for no in refused[name] if not _by_nature(no)]
    return Cutting(
        tuple(steps), state, said_once(_together(name, refused.get(name, [])) for name in undone),
        tuple(dict.fromkeys(passed)),
    )  # fmt: skip


def _with_heat(steps: tuple[Step, ...], sent: Sent) -> list[Step]:
    """The cutting steps; where the part is stress relieved, those of the first station roughed before it."""
    if sent.between is None:
        return list(steps)
    first = steps[0].station
    pairs = [rough_and_finish(step) for step in steps if step.station == first and len(step.split) > 2]
    rough = [pair[0] for pair in pairs]
    finish = [pair[1] for pair in pairs] or [step for step in steps if step.station == first]
    return [*rough, sent.between, *finish, *(step for step in steps if step.station != first)]


def _out(job: Job, state: State, sent: Sent) -> list[Step]:
    """What goes out after the last cut: measured before, to the limits before, where they are not those after."""
    if not sent.changes:
        return list(sent.steps)
    before = STATIONS["inspect"](job.ask((), state, None)).steps
    note = because("outside.measure_before")
    return [*(replace(step, id="inspect before", notes=(*step.notes, note)) for step in before), *sent.steps]


def _sawn(job: Job, state: State) -> Answer:
    """The first saw that can; with none, all their refusals, and the state as if the blank came cut to length."""
    undone: list[Undone] = []
    for saw in job.machines("saw"):
        answer = STATIONS["saw"](job.ask((), state, saw))
        if answer.steps:
            return answer
        undone.extend(answer.undone)
    if not undone:
        undone.append(Undone("saw", None, (), (because("saw.no_saw"),)))
    return Answer((), state, tuple(undone))


def _best_answer(job: Job, station: str, features: set[str], state: State) -> Answer:
    """Of a station's machines the one that makes most, then soonest; all their refusals where none makes anything."""
    ids = [feature.id for feature in job.part.features if feature.id in features]
    answers = [STATIONS[station](job.ask(ids, state, machine)) for machine in job.machines(station)]
    if not answers:
        answers = [STATIONS[station](job.ask(ids, state, None))]
    good = [answer for answer in answers if answer.steps]
    if not good:
        return Answer((), state, tuple(no for answer in answers for no in answer.undone))
    return min(good, key=lambda answer: (-len(answer.made), sum(_step_s(step) for step in answer.steps)))


def _step_s(step: Step) -> float:
    return sum(phase.duration_s.value for phase in step.phases)


def _together(name: str, refusals: list[Undone]) -> Undone:
    """All refusals of one feature as one: a station that could never make its kind says so last."""
    telling = [no for no in refusals if not _by_nature(no)] or refusals
    first = telling[0] if telling else Undone("route", None, (name,), (because("route.nobody", feature=name),))
    reasons = tuple(dict.fromkeys(reason for no in telling for reason in no.reasons)) or first.reasons
    nearest = next((no.nearest for no in telling if no.nearest is not None), None)
    return Undone(first.station, first.machine, (name,), reasons, nearest)


def _by_nature(no: Undone) -> bool:
    return all(reason.key.endswith((".not_turned", ".not_milled")) for reason in no.reasons)


def _nothing(job: Job, choice: Choice, undone: tuple[Undone, ...]) -> Route:
    names = tuple(feature.id for feature in job.part.features)
    cannot = tuple(Undone(no.station, no.machine, no.features or names, no.reasons, no.nearest) for no in undone)
    piece = choice.piece.id if choice.piece else None
    return Route((), choice.blank, piece, None, (), cannot, (because("route.none"),))


def _route(
    job: Job, choice: Choice, steps: tuple[Step, ...], cannot: tuple[Undone, ...], why: tuple[Reason, ...]
) -> Route:
    buy: tuple[Purchase, ...] = (choice.purchase,) if choice.purchase else ()
    bars = math.ceil(job.quantity / choice.per_bar) if choice.per_bar else 1
    bar_kg = 0.0 if choice.cut_to_size else choice.bar_kg
    done_kg = finished_kg(job.part, job.material)
    steps = with_lifts(steps, Weights(bar_kg, bars, choice.blank, done_kg, job.quantity), job.shop)
    steps = with_precedence(with_drawer(steps, quantity=job.quantity, shop=job.shop), job.shop)
    cost, cost_why = route_cost(choice, steps, job.shop)
    stock = because("route.from_rack", piece=choice.piece.id) if choice.piece else because("route.bought")
    return Route(
        steps=steps,
        blank=choice.blank,
        piece=choice.piece.id if choice.piece else None,
        rest_mm=None if choice.cut_to_size else choice.rest_mm,
        buy=buy,
        cannot=cannot,
        why=(cost_why, stock, *while_on_order(steps, buy), *choice.blank.why, *why),
        cost=cost,
        handling=(
            *weights(job.part, choice, material=job.material, quantity=job.quantity, shop=job.shop),
            *(step.lifted for step in steps if step.lifted is not None and too_heavy(step.lifted)),
        ),
    )
