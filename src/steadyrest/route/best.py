"""The best few routes for a lot, in order of preference, and why the rest of the floor takes no part."""

from __future__ import annotations

from dataclasses import replace

from steadyrest.route.assembly import Job, assemble
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Machine, Material, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Blank, Route, Undone
from steadyrest.stations.answer import State
from steadyrest.stations.known import MACHINE_OF, STATIONS
from steadyrest.stock.choice import Choice, choices

FROM_RACK = 6
BOUGHT = 4


def best_routes(part: Part, *, material: Material, quantity: int, shop: Shop, keep: int = 3) -> tuple[Route, ...]:
    """The best routes for a lot of one part.

    Args:
        part: as read.
        material: what it is to be made of.
        quantity: parts wanted; >= 1.
        shop: floor, rack, suppliers, people.
        keep: how many routes at most; >= 1.
    Returns: routes in order of preference, those that make everything first, then by cost; where there is a choice, one
        of them buys. A part that this floor cannot make gives one route without steps, with every reason in `cannot`.
    Raises: ValueError: a quantity or a number of routes below 1.
    """
    if quantity < 1 or keep < 1:
        raise ValueError(f"best_routes: quantity {quantity!r} and keep {keep!r} must be at least 1")
    job = Job(part, material, quantity, shop)
    if part.profile is None or not part.axisymmetric:
        return (_no_axis(job),)
    found, refused = choices(part, material=material, quantity=quantity, shop=shop)
    if not found:
        return (Route((), None, None, None, (), _named(part, refused), (because("route.no_stock"),)),)
    routes = [assemble(job, choice) for choice in _shortlist(found)]
    routes.sort(key=lambda route: (not route.steps, len(route.cannot), route.cost.value if route.cost else 0.0))
    if not routes[0].steps:
        return (_all_reasons(routes),)
    best = [route for route in routes if route.steps][:keep]
    best = _with_purchase(best, routes, keep)
    others = tuple(no for no in refused if no.reasons)
    return tuple(_ranked(job, route, best[0], others) for route in best)


def _shortlist(found: tuple[Choice, ...]) -> list[Choice]:
    """The cheapest of the rack and the cheapest to buy."""
    rack = [choice for choice in found if choice.piece][:FROM_RACK]
    return rack + [choice for choice in found if choice.purchase][:BOUGHT]


def _with_purchase(best: list[Route], routes: list[Route], keep: int) -> list[Route]:
    """The last of several routes gives way to the best that buys, so that the choice is seen."""
    if keep > 1 and not any(route.buy for route in best):
        buying = next((route for route in routes if route.buy and route.steps), None)
        if buying is not None:
            return [*best[: keep - 1], buying]
    return best


def _ranked(job: Job, route: Route, best: Route, pieces: tuple[Undone, ...]) -> Route:
    """The route with why it stands where it does, and why the other machines and pieces take no part."""
    assert route.cost is not None
    assert best.cost is not None
    more = route.cost.value - best.cost.value
    place: Reason = because("route.first") if route is best else because("route.dearer", more_money=more)
    return replace(route, why=(place, *route.why), refused=(*_idle(job, route), *pieces))


def _idle(job: Job, route: Route) -> tuple[Undone, ...]:
    """Every machine of the floor that this route does not use, with its limits."""
    used = {step.machine for step in route.steps}
    made = {name for step in route.steps for name in step.makes}
    assert route.blank is not None
    state = State(route.blank, "", route.blank.length_mm, route.blank.mass_kg, sawn=True, turned=2)
    found: list[Undone] = []
    for machine in job.shop.machines:
        if machine.id in used:
            continue
        station = next(name for name, kind in MACHINE_OF.items() if kind == machine.kind)
        if station in ("turn", "mill", "hand", "saw"):
            left = [feature.id for feature in job.part.features if feature.id not in made]
            found.append(_not_needed(job, machine, station, left, state))
        else:
            ids = [feature.id for feature in job.part.features]
            found.extend(STATIONS[station](job.ask(ids, state, machine)).undone)
    return tuple(found)


def _not_needed(job: Job, machine: Machine, station: str, left: list[str], state: State) -> Undone:
    """A machine that could cut: nothing is left for it, or another does it better, or its own refusals."""
    answer = STATIONS[station](job.ask(left, state, machine))
    reasons = tuple(dict.fromkeys(reason for no in answer.undone for reason in no.reasons))
    if left and reasons:
        return Undone(station, machine.id, tuple(left), reasons, None)
    return Undone(station, machine.id, (), (because("route.not_needed", machine=machine.name),), None)


def _no_axis(job: Job) -> Route:
    """No turning axis: what every machine of the floor says to the whole part."""
    part = job.part
    x, y, z = part.size_mm
    mass_kg = (part.volume_mm3 or x * y * z) * 1e-9 * job.material.density_kg_m3
    body = Blank("body", (x, y, z), max(part.size_mm), mass_kg, job.material.id, (because("route.body"),))
    state = State(body, "", max(part.size_mm), mass_kg)
    ids = tuple(feature.id for feature in part.features)
    why = because("route.no_axis", x_mm=x, y_mm=y, z_mm=z, features=float(len(ids)))
    first = Undone("route", None, ids, (why,), because("route.elsewhere"))
    found = [first]
    for machine in job.shop.machines:
        station = next(name for name, kind in MACHINE_OF.items() if kind == machine.kind)
        if station in ("turn", "mill", "grind", "bend", "jet"):
            found.extend(STATIONS[station](job.ask(ids, state, machine)).undone)
    return Route((), None, None, None, (), tuple(found), (because("route.none"),))


def _named(part: Part, refused: tuple[Undone, ...]) -> tuple[Undone, ...]:
    ids = tuple(feature.id for feature in part.features)
    return tuple(Undone(no.station, no.machine, ids, no.reasons, no.nearest) for no in refused)


def _all_reasons(routes: list[Route]) -> Route:
    """Of several routes without steps, one with all their reasons, each once."""
    seen: dict[tuple[str, str | None, tuple[str, ...]], Undone] = {}
    for route in routes:
        for no in route.cannot:
            # The same no for another bar, with a slightly other number, is said once.
            seen.setdefault((no.station, no.machine, tuple(reason.key for reason in no.reasons)), no)
    return Route((), None, None, None, (), tuple(seen.values()), (because("route.none"),))
