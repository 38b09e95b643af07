"""The best few routes for a lot, in order of preference, and why the rest of the floor takes no part."""

from __future__ import annotations

from dataclasses import replace

from steadyrest.route.assembly import Job
from steadyrest.route.chips import mostly_chips
from steadyrest.route.flat_route import Flats, flat_routes
from steadyrest.route.from_plate import from_plate
from steadyrest.route.left_over import left_money, with_a_tool
from steadyrest.route.precedence import desk_s
from steadyrest.route.smoothness import smooth
from steadyrest.route.ways import Gone, as_block, gone_through
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.finish import Finish
from steadyrest.shop.floor import Machine, Material, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Blank, Route, Undone
from steadyrest.stations.answer import State
from steadyrest.stations.known import MACHINE_OF, STATIONS
from steadyrest.stock.block_choice import block_choices
from steadyrest.stock.choice import Choice, choices

FROM_RACK = 6
BOUGHT = 4
AS_BLOCK = 2
# How many hours of the day are worked, and of the week's days: only to tell which of two routes is done sooner.
WORKED_SHARE = 8.0 / 24.0 * 5.0 / 7.0
DAY_S = 86_400.0
CUTTING = ("turn", "mill", "hand", "saw")


def best_routes(
    part: Part, *, material: Material, quantity: int, shop: Shop, keep: int = 3, finishes: tuple[Finish, ...] = ()
) -> tuple[Route, ...]:
    """The best routes for a lot of one part.

    Args:
        part: as read.
        material: what it is to be made of.
        quantity: parts wanted; >= 1.
        shop: floor, rack, suppliers, people.
        keep: how many routes at most; >= 1.
        finishes: treatments asked for, in the order in which they are done.
    Returns: routes in order of preference, those that make everything first, then by cost; where there is a choice, one
        of them buys and one is done soonest. A part that this floor cannot make gives one route without steps, with
        every reason in `cannot`.
    Raises: ValueError: a quantity or a number of routes below 1.
    """
    if quantity < 1 or keep < 1:
        raise ValueError(f"best_routes: quantity {quantity!r} and keep {keep!r} must be at least 1")
    wished = smooth(finishes, shop, turned=Job(part, material, quantity, shop).turned)
    routes = _best(Job(part, material, quantity, wished.shop, wished.finishes), keep)
    return tuple(
        replace(route, why=(*route.why, *wished.why), cannot=(*route.cannot, *wished.cannot)) for route in routes
    )


def _best(job: Job, keep: int) -> tuple[Route, ...]:
    """The best routes, once it is settled what goes out."""
    part, material, quantity, shop = job.part, job.material, job.quantity, job.shop
    if part.flat is not None and part.size_mm[2] > 0:
        return _flat(job, keep)
    if part.kind == "flat" or min(part.size_mm) <= 0:
        return (_no_way(job, ()),)
    choose = choices if job.turned else block_choices
    found, refused = choose(part, material=material, quantity=quantity, shop=shop)
    plates = from_plate(job) or Flats((), ())
    if not found and not plates.routes:
        cannot = _named(part, (*plates.refused, *refused))
        return (Route((), None, None, None, (), cannot, (because("route.no_stock"),)),)
    tried = _shortlist(found)
    gone = [one for choice in tried for one in gone_through(job, choice)]
    if not any(one.route.steps and not one.route.cannot for one in gone):
        gone.extend(as_block(job, AS_BLOCK))
    gone.extend(Gone(route, because("route.as_plate")) for route in plates.routes)
    gone.sort(key=lambda one: _rank(one.route, shop))
    gone = _each_once(gone)
    routes = [one.route for one in gone]
    if not routes[0].steps:
        return (_all_reasons(routes),) if job.turned else (_no_way(job, _all_reasons(routes).cannot),)
    able = _worth_showing(_unlike([route for route in routes if route.steps]), shop)
    best = _with_soonest(_with_purchase(able[:keep], able, keep), able, keep, shop)
    others = (
        *(no for no in (*refused, *plates.refused) if no.reasons), *_dropped(routes, best), *_other_ways(gone, best),
        *_not_tried(found, tried),
    )  # fmt: skip
    first, *rest = (_ranked(job, route, best, others) for route in best)
    return (with_a_tool(first, able), *rest)


def _flat(job: Job, keep: int) -> tuple[Route, ...]:
    """The best routes of a flat part, from plate."""
    found = flat_routes(job)
    able = sorted(found.routes, key=lambda route: _rank(route, job.shop))
    if not able:
        return (_no_way(job, found.refused),)
    best = _with_soonest(_with_purchase(able[:keep], able, keep), able, keep, job.shop)
    others = (*(no for no in found.refused if no.reasons), *_dropped(able, best))
    return tuple(_ranked(job, route, best, others) for route in best)


def _rank(route: Route, shop: Shop) -> tuple[bool, bool, float]:
    """Routes that make everything first; then by cost, with what somebody else will ask for what is left."""
    return not route.steps, route.left > 0, (route.cost.value if route.cost else 0.0) + left_money(route, shop)


def _each_once(gone: list[Gone]) -> list[Gone]:
    """Routes that go the same steps for the same money are one: bar drawn or peeled, where nothing tells them apart."""
    found: list[Gone] = []
    for one in gone:
        same = [
            other
            for other in found
            if one.route.steps and other.route.steps == one.route.steps and other.route.cost == one.route.cost
            and other.route.piece == one.route.piece
        ]  # fmt: skip
        if not same:
            found.append(one)
    return found


def _unlike(routes: list[Route]) -> list[Route]:
    """The routes with those first that differ in more than the size bought: bar of 69.85 and of 70 is no choice."""

    def way(route: Route) -> tuple[object, ...]:
        stock = route.piece or tuple(one.supplier for one in route.buy)
        shape = route.blank.shape if route.blank else ""
        return (stock, shape, tuple((step.station, step.machine) for step in route.steps), route.left)

    first: dict[tuple[object, ...], Route] = {}
    for route in routes:
        first.setdefault(way(route), route)
    chosen = list(first.values())
    return [*chosen, *(route for route in routes if not any(route is one for one in chosen))]


def _worth_showing(routes: list[Route], shop: Shop) -> list[Route]:
    """The routes without those that leave more than the first, cost more, and are no sooner."""
    first = routes[0]
    least, soonest_s = (first.cost.value if first.cost else 0.0), ready_s(first, shop)
    return [
        route
        for route in routes
        if route.left <= first.left or (route.cost.value if route.cost else 0.0) < least
        or ready_s(route, shop) < soonest_s
    ]  # fmt: skip


def _other_ways(gone: list[Gone], best: list[Route]) -> list[Undone]:
    """Ways over the floor that none of the best goes: what they cost more, or what stands against them; each once."""
    first = best[0].cost.value if best[0].cost else 0.0
    plain = because("route.plain")
    shown = {one.why or plain for one in gone if any(one.route is route for route in best)}
    found: dict[str, Undone] = {}
    for one in gone:
        way = one.why or plain
        if way.key in {reason.key for reason in shown} or way.key in found:
            continue
        route = one.route
        if route.cost is not None and route.left == best[0].left:
            more_s = _hands_s(route) - _hands_s(best[0])
            more = because("route.way_dearer" if more_s >= 0 else "route.way_dearer_sooner",
                           more_money=route.cost.value - first, more_s=abs(more_s))  # fmt: skip
            said: tuple[Reason, ...] = (more,)
        else:
            said = tuple(dict.fromkeys(reason for no in route.cannot for reason in no.reasons))
        found[way.key] = Undone("route", None, (), (way, *said))
    return list(found.values())


def _hands_s(route: Route) -> float:
    return sum(step.person_s for step in route.steps)


def _shortlist(found: tuple[Choice, ...]) -> list[Choice]:
    """The cheapest of the rack and the cheapest to buy."""
    rack = [choice for choice in found if choice.piece][:FROM_RACK]
    return rack + [choice for choice in found if choice.purchase][:BOUGHT]


def _with_purchase(best: list[Route], routes: list[Route], keep: int) -> list[Route]:
    """The last of several routes gives way to the best that buys, so that the choice is seen."""
    if keep > 1 and not any(route.buy for route in best):
        buying = next((route for route in routes if route.buy), None)
        if buying is not None:
            return [*best[: keep - 1], buying]
    return best


def _with_soonest(best: list[Route], routes: list[Route], keep: int, shop: Shop) -> list[Route]:
    """The middle one of three gives way to the one that is done soonest, if none of them is as soon."""
    complete = [route for route in routes if route.left == best[0].left]
    soonest = min(complete, key=lambda route: ready_s(route, shop))
    if keep < 3 or len(best) < keep or any(ready_s(route, shop) <= ready_s(soonest, shop) for route in best):
        return best
    return [best[0], *best[1 : keep - 2], soonest, best[-1]]


def ready_s(route: Route, shop: Shop) -> float:
    """How soon a route could be done, were nothing else on the floor: only to compare routes; promise knows better.

    Args:
        route: with steps.
        shop: its suppliers.
    Returns: s of wall time: delivery (the desk works meanwhile), and the work at 8 hours a day, 5 days a week.
    """
    leads = {supplier.id: supplier.lead_days for supplier in shop.suppliers}
    waits = max((leads.get(one.supplier, 0) for one in route.buy), default=0) * DAY_S
    ours = sum(phase.duration_s.value for step in route.steps for phase in step.phases if not phase.elsewhere)
    away = sum(phase.duration_s.value for step in route.steps for phase in step.phases if phase.elsewhere)
    at_desk = desk_s(route.steps)
    return max(waits, at_desk / WORKED_SHARE) + away + (ours - at_desk) / WORKED_SHARE


def _dropped(routes: list[Route], best: list[Route]) -> list[Undone]:
    """The rack's pieces that were tried and left out: by how much they are dearer, or what does not go with them."""
    first = best[0].cost.value if best[0].cost else 0.0
    used = {route.piece for route in best}
    found: dict[str, Undone] = {}
    for route in routes:
        if route.piece is None or route.piece in used:
            continue
        if route.cost is not None:
            why = because("route.dropped", piece=route.piece, more_money=route.cost.value - first)
            found.setdefault(route.piece, Undone("stock", None, (), (why,)))
        else:
            reasons = tuple(dict.fromkeys(reason for no in route.cannot for reason in no.reasons))
            found.setdefault(
                route.piece, Undone("stock", None, (), (because("route.no_way", piece=route.piece), *reasons))
            )
    return list(found.values())


def _not_tried(found: tuple[Choice, ...], tried: list[Choice]) -> list[Undone]:
    """The rack's pieces that would do and were not gone through with, because those tried cost less."""
    return [
        Undone("stock", None, (), (because("route.not_tried", piece=choice.piece.id, cost_money=choice.cost.value),))
        for choice in found
        if choice.piece is not None and choice not in tried
    ]


def _ranked(job: Job, route: Route, best: list[Route], pieces: tuple[Undone, ...]) -> Route:
    """The route with why it stands where it does, and why the other machines and pieces take no part."""
    assert route.cost is not None
    assert best[0].cost is not None
    more = route.cost.value - best[0].cost.value
    place: tuple[Reason, ...] = (because("route.first"),)
    if route is not best[0]:
        left = float(route.left - best[0].left)
        place = (because("route.makes_less", count=left),) if left > 0 else ()
        place = (
            *place,
            because("route.dearer", more_money=more) if more >= 0 else because("route.cheaper", less_money=-more),
        )
    if route is not best[0] and ready_s(route, job.shop) < min(ready_s(r, job.shop) for r in best if r is not route):
        place = (*place, because("route.sooner"))
    assert route.blank is not None
    chips = mostly_chips(job.part, route.blank, job.material.density_kg_m3)
    said = (chips,) if chips else ()
    return replace(route, why=(*place, *said, *route.why), refused=(*route.refused, *_idle(job, route), *pieces))


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
        station = _station_of(machine)
        if station in CUTTING:
            left = [feature.id for feature in job.part.features if feature.id not in made]
            found.append(_not_needed(job, machine, station, left, state))
        elif station != "plate" or job.part.plate_side is None:  # as a plate it was asked already
            ids = [feature.id for feature in job.part.features]
            found.extend(STATIONS[station](job.ask(ids, state, machine)).undone)
    return tuple(found)


def _station_of(machine: Machine) -> str:
    return next(name for name, kind in MACHINE_OF.items() if kind == machine.kind)


def _not_needed(job: Job, machine: Machine, station: str, left: list[str], state: State) -> Undone:
    """A machine that could cut: nothing is left for it, or another does it better, or its own refusals."""
    answer = STATIONS[station](job.ask(left, state, machine))
    reasons = tuple(dict.fromkeys(reason for no in answer.undone for reason in no.reasons))
    if left and reasons:
        return Undone(station, machine.id, tuple(left), reasons, None)
    return Undone(station, machine.id, (), (because("route.not_needed", machine=machine.name),), None)


def _why_not(job: Job) -> Reason:
    """Why nothing is turned here, by what kind of part it is."""
    x, y, z = job.part.size_mm
    count = float(len(job.part.features))
    if job.part.kind == "flat":
        return because("route.flat", x_mm=x, y_mm=y, features=count)
    if min(x, y, z) <= 0:
        return because("route.no_size")
    return because("route.no_axis", x_mm=x, y_mm=y, z_mm=z, features=count)


def _no_way(job: Job, said: tuple[Undone, ...]) -> Route:
    """Nothing on this floor makes it: why not, then what every machine says to the whole part."""
    part = job.part
    x, y, z = part.size_mm
    mass_kg = (part.volume_mm3 or x * y * z) * 1e-9 * job.material.density_kg_m3
    body = Blank("body", (x, y, z), max(part.size_mm), mass_kg, job.material.id, (because("route.body"),))
    state = State(body, "", max(part.size_mm), mass_kg)
    ids = tuple(feature.id for feature in part.features)
    found = [Undone("route", None, ids, (_why_not(job),), because("route.elsewhere")), *said]
    heard = {no.machine for no in said}
    for machine in job.shop.machines:
        station = _station_of(machine)
        if station in ("turn", "mill", "grind", "bend", "plate") and machine.id not in heard:
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
