"""One route: from a choice of stock through the stations in the order that the part forces.

Sawn before turned; the first side before the second, which grips it; turned before milled, because a keyway is set to
its shaft; edges after the last cut; measured before it leaves.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Machine, Material, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Purchase, Route, Step, Undone
from steadyrest.stations.answer import Answer, Ask, State
from steadyrest.stations.known import MACHINE_OF, STATIONS
from steadyrest.stock.choice import Choice

ORDER = ("turn", "mill")
AFTER = ("hand", "inspect", "deliver")


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be made: the part, of what, how many, in which shop."""

    part: Part
    material: Material
    quantity: int
    shop: Shop

    def ask(self, features: Iterable[str], state: State, machine: Machine | None) -> Ask:
        return Ask(self.part, tuple(features), state, self.material, self.quantity, self.shop, machine)

    def machines(self, station: str) -> tuple[Machine | None, ...]:
        """The machines that a station works on; a single None where it needs none (or can do without)."""
        kind = MACHINE_OF.get(station)
        found = tuple(machine for machine in self.shop.machines if machine.kind == kind)
        if found or station in ("saw", "turn", "mill"):
            return found
        return (None,)


def assemble(job: Job, choice: Choice) -> Route:
    """The whole route for one choice of stock.

    Args:
        job: what is to be made.
        choice: the piece or purchase.
    Returns: the route; what could not be made stands in `cannot`, and with nothing turned there are no steps.
    """
    state = State(choice.blank, choice.condition, choice.bar_mm, choice.bar_kg, choice.per_bar)
    steps: list[Step] = []
    cannot: list[Undone] = []
    why: list[Reason] = []
    sawn = _sawn(job, state)
    if sawn.steps:
        steps.extend(sawn.steps)
    elif choice.purchase is not None:
        why.append(because("route.cut_by_supplier", supplier=choice.purchase.supplier))
    else:
        return _nothing(job, choice, sawn.undone)
    state = sawn.state
    left = {feature.id for feature in job.part.features}
    refused: dict[str, list[Undone]] = {}
    for station in ORDER:
        answer = _best_answer(job, station, left, state)
        if station == "turn" and not answer.steps:
            return _nothing(job, choice, answer.undone)
        steps.extend(answer.steps)
        state = answer.state
        left -= set(answer.made)
        for no in answer.undone:
            for name in no.features:
                refused.setdefault(name, []).append(no)
    undone = [feature.id for feature in job.part.features if feature.id in left]
    cannot.extend(_together(name, refused.get(name, [])) for name in undone)
    for station in AFTER:
        answer = STATIONS[station](job.ask((), state, job.machines(station)[0]))
        steps.extend(answer.steps)
        cannot.extend(no for no in answer.undone if not answer.steps)
    return _route(job, choice, tuple(steps), tuple(cannot), tuple(why))


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
    from steadyrest.route.weights import weights

    buy: tuple[Purchase, ...] = (choice.purchase,) if choice.purchase else ()
    cost, cost_why = route_cost(job, choice, steps)
    stock = because("route.bought") if choice.purchase else because("route.from_rack", piece=_piece(choice))
    return Route(
        steps=steps,
        blank=choice.blank,
        piece=choice.piece.id if choice.piece else None,
        rest_mm=choice.rest_mm,
        buy=buy,
        cannot=cannot,
        why=(cost_why, stock, *choice.blank.why, *why),
        cost=cost,
        handling=weights(job.part, choice, material=job.material, quantity=job.quantity, shop=job.shop),
    )


def _piece(choice: Choice) -> str:
    return choice.piece.id if choice.piece else ""


def route_cost(job: Job, choice: Choice, steps: tuple[Step, ...]) -> tuple[Figure, Reason]:
    """What the lot costs the shop: material, people and machines at cost. Only to rank routes; price knows better.

    Args:
        job: what is to be made.
        choice: its stock.
        steps: of the route.
    Returns: (money, the reason that splits it).
    """
    shop = job.shop
    people = sum(
        phase.duration_s.value / 3600.0 * _hour(shop, phase.who) for step in steps for phase in step.phases if phase.who
    )
    machines = sum(
        step.machine_s / 3600.0 * float(shop.machine(step.machine).per_hour) for step in steps if step.machine
    )
    material = choice.cost.value
    why = because("route.cost", material_money=material, people_money=people, machines_money=machines)
    cash = float(sum(step.cash for step in steps))
    return Figure(material + people + machines + cash, "money", (why, *choice.cost.why)), why


def _hour(shop: Shop, who: tuple[str, ...]) -> float:
    """An hour of whoever of these it will be: their mean."""
    return sum(float(shop.person(name).per_hour) for name in who) / len(who)
