"""One lot of a job of several parts: each part's route from what the rack still holds, all steps joined, the cash."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from steadyrest.desk.plan.plan_part import as_drawn
from steadyrest.price.answer import Line
from steadyrest.price.cash import cash_out
from steadyrest.route.best import best_routes, ready_s
from steadyrest.route.fit_up import fitted
from steadyrest.route.joined import JoinedSteps, PartRoute, SharedSetUp, joined, packing
from steadyrest.route.last_steps import at_site, delivered
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.finish import Finish
from steadyrest.shop.floor import Material, Piece, Shared, Shop, Supplier
from steadyrest.shop.money import Money
from steadyrest.shop.part import Part
from steadyrest.shop.parts_list import BoughtPart, Fitting, ListedPart, PartsList
from steadyrest.shop.work import Chain, Purchase, Route, Step, Undone
from steadyrest.tables.practice import rule

MM3_PER_M3 = 1e9


@dataclass(frozen=True, slots=True)
class Listed:
    """A part that is made here, read."""

    row: ListedPart
    part: Part
    metal: Material
    finishes: tuple[Finish, ...] = ()


@dataclass(frozen=True, slots=True)
class LotAsked:
    """sets: how many of the job. soonest: each part by its soonest route, else by the cheapest. job: its id."""

    asked: PartsList
    listed: tuple[Listed, ...]
    shop: Shop
    sets: int
    soonest: bool
    job: str


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot as planned. whole: all steps as one route; shop: with those that bought parts come from.

    routes: (part's id, its route), without steps where it cannot be made. unmade: steps that nobody here does.
    """

    sets: int
    routes: tuple[tuple[str, Route], ...]
    unmade: tuple[Undone, ...]
    chains: tuple[Chain, ...]
    shared: tuple[SharedSetUp, ...]
    whole: Route
    cash: tuple[Line, ...]
    shop: Shop
    notes: tuple[Reason, ...]

    @property
    def missing(self) -> bool:
        """Whether something of it cannot be made here."""
        return bool(self.unmade) or not all(route.steps for _, route in self.routes)

    @property
    def picked(self) -> tuple[tuple[str | None, float], ...]:
        """What tells two lots apart: each part's piece and cost."""
        return tuple((route.piece, route.cost.value if route.cost else 0.0) for _, route in self.routes)

    def route(self, part: str) -> Route:
        return next(route for name, route in self.routes if name == part)


def lot_of(ask: LotAsked) -> Lot:
    """The lot.

    Args:
        ask: the list, its parts, the shop, how many.
    Returns: the lot; with something missing it has no chains.
    """
    routes, notes = _freight_once(_routes(ask), ask.shop)
    bought = {part.id: _bought(part, ask.sets, ask.shop) for part in ask.asked.bought}
    sellers = tuple(_seller(part, ask.shop) for part in ask.asked.bought)
    if len(ask.listed) > 1:
        notes = (*notes, because("joined.sequence", part=ask.listed[-1].row.id))
    notes = (*notes, *(_shared_note(one, ask.shop) for one in ask.shop.shared))
    parts = tuple(PartRoute(name, route) for name, route in routes)
    fittings, unmade = _fittings(ask)
    last = _last(ask, parts)
    if isinstance(last, Undone):
        unmade, last = (*unmade, last), ()
    able = not unmade and all(part.route.steps for part in parts)
    steps = joined(ask.job, parts, fittings, last, bought) if able else JoinedSteps((), ())
    return Lot(
        sets=ask.sets,
        routes=routes,
        unmade=unmade,
        chains=steps.chains,
        shared=steps.shared,
        whole=_whole(parts, steps, tuple(bought.values()), unmade),
        cash=_cash(ask, routes, tuple(bought.values())),
        shop=replace(ask.shop, suppliers=(*ask.shop.suppliers, *sellers)),
        notes=notes,
    )


def _routes(ask: LotAsked) -> tuple[tuple[str, Route], ...]:
    """Each part's route, from what those before it leave on the rack."""
    shop, found = ask.shop, list[tuple[str, Route]]()
    for one in ask.listed:
        route = _chosen(one, one.row.quantity * ask.sets, shop, soonest=ask.soonest)
        found.append((one.row.id, route))
        shop = _left(shop, route)
    return tuple(found)


def _cash(ask: LotAsked, routes: Sequence[tuple[str, Route]], bought: Sequence[Purchase]) -> tuple[Line, ...]:
    """What goes out for every part, each piece at what it costs when its part's turn comes."""
    rack, found = ask.shop, list[Line]()
    for one, (_, route) in zip(ask.listed, routes, strict=True):
        if route.steps:
            found += cash_out(route, shop=rack, quantity=one.row.quantity * ask.sets)
            rack = _left(rack, route)
    found += [Line(one.what, Money(one.cost, ask.shop.currency).rounded()) for one in bought]
    return tuple(found)


def _whole(
    parts: Sequence[PartRoute], steps: JoinedSteps, bought: Sequence[Purchase], unmade: Sequence[Undone]
) -> Route:
    """All steps as one route; with something missing, every refusal under its part's name, and no steps."""
    cannot = tuple(
        replace(no, features=tuple(f"{part.id} {name}" for name in no.features) or (part.id,))
        for part in parts
        for no in part.route.cannot
    )
    why = tuple(reason for one in steps.shared for reason in (one.why,))
    ranked = [part.route.cost for part in parts if part.route.cost is not None]
    cost = Figure(sum(one.value for one in ranked), "money", ranked[0].why) if ranked and steps.chains else None
    return Route(
        steps=tuple(step for chain in steps.chains for step in chain.steps),
        blank=None,
        piece=None,
        rest_mm=None,
        buy=(*(one for part in parts for one in part.route.buy), *bought),
        cannot=(*cannot, *unmade),
        why=why or (because("joined.one_trip"),),
        cost=cost,
        handling=tuple(figure for part in parts for figure in part.route.handling),
    )


def _chosen(one: Listed, count: int, shop: Shop, *, soonest: bool) -> Route:
    """The part's route: the cheapest of those that leave least, or of them the one done soonest."""
    routes = best_routes(as_drawn(one.part), material=one.metal, quantity=count, shop=shop, finishes=one.finishes)
    able = [route for route in routes if route.steps]
    if not able:
        return routes[0]
    alike = [route for route in able if route.left == able[0].left]
    return min(alike, key=lambda route: ready_s(route, shop)) if soonest else able[0]


def _left(shop: Shop, route: Route) -> Shop:
    """The shop with what this route leaves of its piece; nothing where the rest is too short to keep."""
    if route.piece is None:
        return shop
    keeps = route.rest_mm is not None and route.rest_mm >= shop.habits.keep_rest_mm

    pieces: list[Piece] = []
    for piece in shop.pieces:
        if piece.id != route.piece:
            pieces.append(piece)
        elif keeps and route.rest_mm is not None:
            share = Decimal(repr(route.rest_mm)) / Decimal(repr(piece.length_mm))
            pieces.append(replace(piece, length_mm=route.rest_mm, cost=piece.cost * share))
    return replace(shop, pieces=tuple(pieces))


def _freight_once(
    routes: Sequence[tuple[str, Route]], shop: Shop
) -> tuple[tuple[tuple[str, Route], ...], tuple[Reason, ...]]:
    """The routes with the freight of one supplier paid by the first that orders there."""
    freight = {supplier.id: supplier for supplier in shop.suppliers}
    orders: dict[str, list[str]] = {}
    found: list[tuple[str, Route]] = []
    for name, route in routes:
        buy: list[Purchase] = []
        for one in route.buy:
            again = one.supplier in orders and name not in orders[one.supplier]
            seller = freight.get(one.supplier)
            orders.setdefault(one.supplier, []).append(name)
            spared = min(seller.freight, one.cost) if again and seller is not None else Decimal(0)
            buy.append(replace(one, cost=one.cost - spared))
        found.append((name, replace(route, buy=tuple(buy))))
    notes = tuple(
        because("joined.freight_once", supplier=freight[seller].name, parts=", ".join(dict.fromkeys(names)))
        for seller, names in orders.items()
        if seller in freight and len(set(names)) > 1 and freight[seller].freight > 0
    )
    return tuple(found), notes


def _seller(part: BoughtPart, shop: Shop) -> Supplier:
    """Whom a part is bought from: one of the shop's by name, with its hours; else by what is usual."""
    known = next((s for s in shop.suppliers if part.seller in (s.id, s.name)), None)
    delay = part.delay_odds
    if delay is None:
        delay = known.delay_odds if known is not None else rule("bought_delay_odds")
    return Supplier(
        id=_seller_id(part),
        name=known.name if known is not None else part.seller,
        sells=(),
        cut_off_min=known.cut_off_min if known is not None else round(60 * rule("bought_cut_off_h")),
        arrives_min=known.arrives_min if known is not None else round(60 * rule("bought_arrives_h")),
        lead_days=part.lead_days,
        delay_odds=delay,
        order_minimum=Decimal(0),
        freight=Decimal(0),
        markup_on_kg=0.0,
    )


def _seller_id(part: BoughtPart) -> str:
    return f"bought {part.id}"


def _bought(part: BoughtPart, sets: int, shop: Shop) -> Purchase:
    count = part.quantity * sets
    seller = _seller(part, shop).name
    what = because("joined.bought", count=float(count), part=part.what, seller=seller, each_money=float(part.price))
    return Purchase(what, _seller_id(part), part.price * count, 0.0, part.mass_kg * count)


def _shared_note(one: Shared, shop: Shop) -> Reason:
    machines = ", ".join(shop.machine(machine).name for machine, _ in one.asks)
    return because("joined.shared", what=one.name, allows=one.allows, unit=one.unit, machines=machines)


def _masses(ask: LotAsked) -> dict[str, float]:
    """Mass of what goes into one of the job, by the part's or fitting's id, kg; 0 where it is not known."""
    found = {
        one.row.id: (one.part.volume_mm3 or 0.0) / MM3_PER_M3 * one.metal.density_kg_m3 * one.row.quantity
        for one in ask.listed
    }
    found |= {part.id: part.mass_kg * part.quantity for part in ask.asked.bought}
    for fitting in ask.asked.fittings:
        found[fitting.id] = sum(found[name] for name in fitting.of)
    return found


def _heaviest_kg(ask: LotAsked, masses: Mapping[str, float]) -> float:
    """Of what leaves the shop in one piece: a part by itself, or all that was put together."""
    many = {one.row.id: one.row.quantity for one in ask.listed} | {one.id: one.quantity for one in ask.asked.bought}
    inside = {name for fitting in ask.asked.fittings for name in fitting.of}
    return max((mass / many.get(name, 1) for name, mass in masses.items() if name not in inside), default=0.0)


def _fittings(ask: LotAsked) -> tuple[tuple[tuple[Fitting, Step], ...], tuple[Undone, ...]]:
    """The steps of fit-ups and assemblies; and those that nobody here does."""
    masses = _masses(ask)
    found = [(one, fitted(one, sets=ask.sets, mass_kg=masses[one.id], shop=ask.shop)) for one in ask.asked.fittings]
    steps = tuple((one, step) for one, step in found if isinstance(step, Step))
    return steps, tuple(step for _, step in found if isinstance(step, Undone))


def _last(ask: LotAsked, parts: Sequence[PartRoute]) -> tuple[Step, ...] | Undone:
    """How the job ends: at the customer's, or with the delivery."""
    packed = packing(parts)
    if ask.asked.site is not None:
        return at_site(ask.asked.site, packed, shop=ask.shop)
    masses = _masses(ask)
    names = (*(one.row.id for one in ask.listed), *(part.id for part in ask.asked.bought))
    found = delivered(
        packed, mass_kg=ask.sets * sum(masses[name] for name in names), heaviest_kg=_heaviest_kg(ask, masses),
        shop=ask.shop,
    )  # fmt: skip
    return found if isinstance(found, Undone) else (found,)
