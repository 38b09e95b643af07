"""Plan a part: all six questions in turn, on one row of draws.

What is it (read), from what and how (routes), by when (promise), for how much (price), should I take it (decide), is it
right (measure). Each route is promised and priced on the same luck; the one chosen holds its promise at the least cost.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from pathlib import Path

from steadyrest.decide.reading_worth import Worth
from steadyrest.decide.take import Take, take
from steadyrest.desk.incoming import read_part
from steadyrest.desk.plan.joined_answer import JoinedAnswer
from steadyrest.desk.plan.taken_for_time import told_why
from steadyrest.desk.plan.worth_reading import with_worth, worth_reading
from steadyrest.desk.which_shop import ShopSaid, which_shop
from steadyrest.measure.plan import Measure, measuring_plan
from steadyrest.part.flat.thickness import with_thickness
from steadyrest.part.handover.nominal_profile import nominal_profile
from steadyrest.price.answer import Price
from steadyrest.price.price import Circumstances, price
from steadyrest.price.scrap import INSIDE, Scrap, scrap
from steadyrest.price.winning import Quoted
from steadyrest.promise.answer import HOLDS, Promise
from steadyrest.promise.promise import promise
from steadyrest.route.best import best_routes
from steadyrest.route.left_over import left_money
from steadyrest.route.tolerance_chart import Asked, chart
from steadyrest.shop.draws import Luck
from steadyrest.shop.figure import Figure
from steadyrest.shop.finish import Finish, finishes
from steadyrest.shop.floor import Material, Shop
from steadyrest.shop.part import Body, Part
from steadyrest.shop.work import Route
from steadyrest.trouble import BadInput
from steadyrest.workers.running import Workers

DRAWS = 1000
MOST = 1_000_000
RUSH_H = 72.0
BODIES_SAID = 8

Progress = Callable[[str, float], None]
Stop = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a person asked to have planned. material, quantity, due, finishes and thickness are as typed.

    by_hours: it is charged by the hour, up to an amount, and not at a fixed price.
    """

    file: Path
    material: str | None
    quantity: str
    due: str
    unit: str | None
    shop_file: Path | None
    data: Path | None
    now: datetime
    seed: int
    what: str = ""
    customer: str = ""
    body: int | None = None
    finishes: tuple[str, ...] = ()
    thickness: str = ""
    by_hours: bool = False


@dataclass(frozen=True, slots=True)
class RoutePlanned:
    """A route, with when it finishes and what it costs. promise and price are None where it has no steps."""

    route: Route
    promise: Promise | None
    price: Price | None


@dataclass(frozen=True, slots=True)
class PlanAnswer:
    """All six answers, frozen. chosen: index into `routes`, None if nothing can be made.

    joined: each part of a job of several; `part` then holds the features of all, and a route the steps of all.
    by_hours: it is charged by the hour, up to an amount.
    """

    part: Part
    material: Material
    quantity: int
    due: datetime
    now: datetime
    seed: int
    shop: Shop
    example_shop: bool
    routes: tuple[RoutePlanned, ...]
    chosen: int | None
    take: Take
    measures: tuple[Measure, ...]
    handling: tuple[Figure, ...]
    what: str = ""
    customer: str = ""
    finishes: tuple[Finish, ...] = ()
    worth: tuple[Worth, ...] = ()
    joined: JoinedAnswer | None = None
    by_hours: bool = False

    @property
    def best(self) -> RoutePlanned | None:
        return None if self.chosen is None else self.routes[self.chosen]


def plan_file(wanted: Wanted, *, progress: Progress, stop: Stop, workers: Workers | None = None) -> PlanAnswer:
    """Read a file and answer all six questions; keep the job if a data folder is named.

    Args:
        wanted: what was asked.
        progress: told what is being done and how far it is.
        stop: asked now and then; True ends it.
        workers: a process that stands ready to read the file; else a fresh one is started.
    Returns: the answer, "no" included.
    Raises: BadInput: file, shop, metal, quantity, due time or unit is at fault.
    """
    said = shop_of(wanted)
    metal = metal_of(wanted.material, said.shop)
    quantity = quantity_of(wanted.quantity)
    due = due_of(wanted.due, wanted.now)
    asked = finishes(wanted.finishes)
    part = read_part.read_part(
        wanted.file,
        unit=wanted.unit,
        body=wanted.body,
        grid=True,
        progress=lambda what, share: progress(what, 0.7 * share),
        stop=stop,
        workers=workers,
    )
    if part.unit.state == "ask":
        raise BadInput(
            where=wanted.file.name,
            what="the file does not say its unit, and a plan needs it.",
            do="Give it with --unit mm or --unit in; one size taken by hand tells which.",
        )
    if part.bodies:
        raise BadInput(
            where=wanted.file.name,
            what=f"the file holds {len(part.bodies)} bodies, and a plan needs one.",
            do=f"Choose it with --body 1 to {len(part.bodies)}; `steadyrest read` lists their sizes.",
        )
    part = with_thickness(part, wanted.thickness)
    answer = plan(
        part, said=said, metal=metal, quantity=quantity, due=due, now=wanted.now, seed=wanted.seed,
        what=wanted.what, asked=asked, progress=lambda what, share: progress(what, 0.7 + 0.3 * share), stop=stop,
    )  # fmt: skip
    answer = replace(answer, what=wanted.what or part.name, customer=wanted.customer, by_hours=wanted.by_hours)
    if wanted.data is not None:
        from steadyrest.desk.accounts import credit
        from steadyrest.desk.plan import keeping  # late: without a data folder the store is not needed

        answer = credit.of_folder(answer, wanted.data, said, now=wanted.now)
        keeping.keep(answer, file=wanted.file, folder=wanted.data, now=wanted.now)
    return answer


def shop_of(wanted: Wanted) -> ShopSaid:
    """The shop that a plan is made for: as it stands, where a data folder knows more than the shop file."""
    said = which_shop(wanted.shop_file, wanted.data)
    if wanted.data is None:
        return said
    from steadyrest.desk import standing  # late: without a data folder the store is not needed

    return standing.of_folder(said, wanted.data, now=wanted.now)


def plan(
    part: Part,
    *,
    said: ShopSaid,
    metal: Material,
    quantity: int,
    due: datetime,
    now: datetime,
    seed: int,
    what: str,
    progress: Progress,
    stop: Stop,
    asked: tuple[Finish, ...] = (),
) -> PlanAnswer:
    """The six answers for a part that is read.

    Args:
        part: with its unit known.
        said: the shop.
        metal: what it is made of.
        quantity: at least 1.
        due: aware, later than now.
        now: aware.
        seed: of every draw.
        what: the job in a few words, as the customer said it.
        progress: told what is being done and how far it is.
        stop: asked now and then; True ends the search early, with the best so far.
        asked: treatments besides its shape, in the order in which they are done.
    Returns: the answer.
    Raises: BadInput: a treatment names a feature that the part does not have.
    """
    known_features(part, asked)
    shop, luck, made = said.shop, Luck(DRAWS, seed), as_drawn(part)
    progress("finding the way to make it", 0.0)

    @cache
    def route_for(other: int) -> Route | None:
        found = best_routes(made, material=metal, quantity=other, shop=shop, keep=1, finishes=asked)
        return found[0] if found and found[0].steps else None

    measures = measuring_plan(part, shop, metal, now=now)
    routes = tuple(
        replace(route, chart=chart(Asked(made, route, metal, quantity, shop, measures, asked, luck)))
        if route.steps
        else route
        for route in best_routes(made, material=metal, quantity=quantity, shop=shop, finishes=asked)
    )
    planned: list[RoutePlanned] = []
    grows = tuple(feature.id for feature in part.features if feature.kind in INSIDE)
    for count, route in enumerate(routes):
        progress("simulating the week", 0.1 + 0.8 * count / len(routes))
        wrong = scrap(route.chart, inside=grows, quantity=quantity, wanted_odds=shop.terms.wanted_odds, luck=luck)
        planned.append(
            promised_and_priced(route, route_for, quantity=quantity, due=due, now=now, shop=shop, luck=luck, stop=stop,
                                wrong=wrong, quotes=said.quotes)
        )  # fmt: skip
    progress("done", 1.0)
    order = Ordered(metal, quantity, due, now, seed, what, asked)
    return answered(part, order, planned, said=said, measures=measures)


@dataclass(frozen=True, slots=True)
class Ordered:
    """What is asked for besides the part itself, each as in PlanAnswer."""

    material: Material
    quantity: int
    due: datetime
    now: datetime
    seed: int
    what: str
    finishes: tuple[Finish, ...]


def answered(
    part: Part, order: Ordered, planned: list[RoutePlanned], *, said: ShopSaid, measures: tuple[Measure, ...]
) -> PlanAnswer:
    """The answer from all routes: the one chosen, which reading is worth taking, and whether to take the job."""
    chosen = choose(planned, said.shop)
    best = planned[chosen] if chosen is not None else None
    promised, priced = (best.promise, best.price) if best else (None, None)
    worth = worth_reading(part, priced, promised, now=order.now)
    part = with_worth(part, worth)
    routes = chosen_first([one.route for one in planned], chosen)
    taken = take(part, routes, promised, priced, due=order.due, now=order.now, shop=said.shop, said=order.what)
    return PlanAnswer(
        part=part,
        material=order.material,
        quantity=order.quantity,
        due=order.due,
        now=order.now,
        seed=order.seed,
        shop=said.shop,
        example_shop=said.example,
        routes=told_why(planned, chosen, said.shop.suppliers),
        chosen=chosen,
        take=taken,
        measures=measures,
        handling=best.route.handling if best else (),
        what=order.what,
        finishes=order.finishes,
        worth=worth,
    )


def known_features(part: Part, asked: Sequence[Finish]) -> None:
    """Raises: BadInput: a treatment names a feature that the part does not have."""
    known = {feature.id for feature in part.features}
    for finish in asked:
        for name in finish.features:
            if name not in known:
                raise BadInput(
                    where="--finish",
                    what=f"{finish.shown!r}: the part has no feature {name}.",
                    do="Take its number from `steadyrest read`.",
                )


def as_drawn(part: Part) -> Part:
    """The part as it will be made: its profile at the nominal sizes, not the worn or measured ones."""
    return part if part.profile is None else replace(part, profile=nominal_profile(part))


def chosen_first(routes: Sequence[Route], chosen: int | None) -> tuple[Route, ...]:
    """The routes with the chosen one in front."""
    if chosen is None:
        return tuple(routes)
    return (routes[chosen], *routes[:chosen], *routes[chosen + 1 :])


def promised_and_priced(
    route: Route,
    route_for: Callable[[int], Route | None],
    *,
    quantity: int,
    due: datetime,
    now: datetime,
    shop: Shop,
    luck: Luck,
    stop: Stop,
    wrong: Scrap | None = None,
    quotes: Sequence[Quoted] = (),
) -> RoutePlanned:
    """One route with its promise and its price, on the same draws; route_for gives the best route of another lot."""
    if not route.steps:
        return RoutePlanned(route, None, None)
    promised, draws = promise(route, job_id="this job", due=due, now=now, shop=shop, luck=luck, stop=stop)
    circumstances = Circumstances(
        rush=(due - now).total_seconds() < RUSH_H * 3600, after_hours=promised.after_hours, rivals=1
    )
    priced = price(route, draws, shop=shop, quantity=quantity, circumstances=circumstances, route_for=route_for,
                   scrap=wrong, quotes=quotes)  # fmt: skip
    return RoutePlanned(route, promised, priced)


def choose(planned: list[RoutePlanned], shop: Shop) -> int | None:
    """The route to take, or None if none has steps.

    Of those that make everything, else of all: of those whose promise holds the cheapest, with what others will ask for
    what it leaves; else the likeliest.
    """
    able = [i for i, one in enumerate(planned) if one.promise is not None and one.price is not None]
    if not able:
        return None

    def rank(i: int) -> tuple[bool, bool, float, int]:
        one = planned[i]
        assert one.promise is not None
        assert one.price is not None
        holds = one.promise.odds.value >= HOLDS
        costs = one.price.cost_p50.value + left_money(one.route, shop)
        return (one.route.left > 0, not holds, costs if holds else -one.promise.odds.value, i)

    return min(able, key=rank)


def metal_of(text: str | None, shop: Shop) -> Material:
    """The metal that was named; BadInput if none was or it is unknown."""
    if not text:
        raise BadInput(where="--material", what="no metal was named.", do="Name one, such as C45 or 42CrMo4.")
    return read_part.material(text, shop.materials)


def bodies_in_words(bodies: Sequence[Body]) -> str:
    """Each body by number and size, mm."""
    return ", ".join(f"{b.number} ({' x '.join(f'{mm:.4g}' for mm in b.size_mm)} mm)" for b in bodies[:BODIES_SAID])


def quantity_of(text: str) -> int:
    """How many, from 1 to a million; BadInput else."""
    try:
        quantity = int(text)
    except ValueError:
        quantity = 0
    if not 1 <= quantity <= MOST:
        raise BadInput(
            where="--quantity", what=f"{text!r} is not a number of parts.", do=f"Give a whole number from 1 to {MOST}."
        )
    return quantity


def due_of(text: str, now: datetime) -> datetime:
    """The due moment, aware and later than now; BadInput else."""
    try:
        due = datetime.fromisoformat(text)
    except ValueError:
        due = None
    if due is None or due.tzinfo is None:
        what = f"{text!r} is not a moment with its offset."
        raise BadInput(where="--due", what=what, do="Write it as 2026-11-28T18:00+01:00.")
    if due <= now:
        what = f"{text} is not later than now ({now.isoformat(timespec='minutes')})."
        raise BadInput(where="--due", what=what, do="Give a moment still to come.")
    return due
