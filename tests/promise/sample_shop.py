"""A small invented shop and routes for the tests of promise, price and decide. Friday noon, due on Sunday."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from decimal import Decimal

from steadyrest.shop.figure import Figure, because
from steadyrest.shop.floor import (
    BenchLimits,
    Habits,
    Machine,
    Person,
    PromisedPhase,
    PromisedWork,
    Shop,
    Supplier,
    Terms,
)
from steadyrest.shop.work import Blank, Phase, Purchase, Route, Step

CET = timezone(timedelta(hours=1))
NOW = datetime(2026, 11, 27, 12, 0, tzinfo=CET)  # a Friday
DUE = datetime(2026, 11, 29, 14, 0, tzinfo=CET)  # the Sunday
HOUR = 3600.0


def person(
    name: str, week: tuple[tuple[int, int, int], ...], *, per_hour: str = "40.00", charge: str = "80.00"
) -> Person:
    return Person(
        id=name,
        name=name.title(),
        week=week,
        away=(),
        skills=("lathe", "mill", "saw", "bench", "hand", "inspect", "deliver"),
        pace=1.0,
        spread=0.1,
        per_hour=Decimal(per_hour),
        charge_per_hour=Decimal(charge),
    )


def machine(name: str, per_hour: str = "12.00") -> Machine:
    return Machine(name, f"the {name}", "bench", BenchLimits(500.0), (), False, 600.0, Decimal(per_hour))


OWNER = person(
    "ada",
    (*((d, 450, 720) for d in range(5)), *((d, 780, 1080) for d in range(5)), (5, 480, 780), (6, 540, 720)),
)
MORNINGS = person("bo", tuple((d, 420, 720) for d in range(5)), per_hour="28.00", charge="65.00")
EVENINGS = person("cy", tuple((d, 1020, 1320) for d in range(6)), per_hour="31.00", charge="70.00")
ALL = ("ada", "bo", "cy")


def work(name: str, due: datetime | tuple[int, int], *phases: PromisedPhase, late: str = "10.00") -> PromisedWork:
    return PromisedWork(name, f"work {name}", due, Decimal(late), Decimal("300.00"), phases)


PROMISED = (
    work("231", (4, 1080), PromisedPhase("saw", ("ada", "cy"), 3000, 0.2, True)),
    work("232", (5, 780), PromisedPhase("lathe", ("ada", "cy"), 9000, 0.2, False),
         PromisedPhase(None, ALL, 1800, 0.15, True), late="14.00"),
    work("233", (5, 1200), PromisedPhase("lathe", ("ada", "cy"), 5400, 0.25, False),
         PromisedPhase("mill", ("ada", "cy"), 3600, 0.2, False), late="18.00"),
    work("234", (0, 1200), PromisedPhase("mill", ("ada", "cy"), 7200, 0.2, False)),
    work("235", (1, 960), PromisedPhase("bench", ALL, 10800, 0.3, True)),
    work("236", (3, 720), PromisedPhase("lathe", ("ada",), 3600, 0.2, False),
         PromisedPhase("lathe", (), 14400, 0.1, False),
         PromisedPhase("lathe", ("ada", "cy"), 900, 0.2, False)),
)  # fmt: skip

HABITS = Habits(
    grip_mm=25, facing_mm=1.5, part_off_mm=4, finish_allowance_mm=0.5, keep_rest_mm=120,
    deburr_s_per_m=200, measure_s=75,
    deliver_s=2700, handling_s=60, lift_alone_kg=15, bias=1.05, bias_spread=0.1, difficulty_spread=0.18,
)  # fmt: skip
TERMS = Terms(
    minimum_charge=Decimal("60.00"),
    margin=0.25,
    rush_factor=1.3,
    after_hours_factor=1.25,
    wanted_odds=0.9,
    validity_days=14,
)
STEEL = Supplier("sallow", "Sallow Steel", ("round",), 14 * 60, 9 * 60, 1, 0.1, Decimal(0), Decimal("12.00"), 0.0)


def shop(
    *, people: tuple[Person, ...] = (OWNER, MORNINGS, EVENINGS), promised: tuple[PromisedWork, ...] = PROMISED
) -> Shop:
    names = {p.id for p in people}
    kept = tuple(
        PromisedWork(w.id, w.what, w.due, w.late_per_hour, w.value, tuple(
            PromisedPhase(p.machine, tuple(n for n in p.who if n in names) or ((people[0].id,) if p.who else ()),
                          p.duration_s, p.spread, p.interruptible) for p in w.phases))
        for w in promised
    )  # fmt: skip
    return Shop(
        name="A shop", currency="EUR", timezone="Europe/Vienna", unit="mm", people=people,
        machines=tuple(machine(name) for name in ("saw", "lathe", "mill", "bench")), materials=(), pieces=(),
        suppliers=(STEEL,), gauges=(), habits=HABITS, terms=TERMS, promised=kept,
    )  # fmt: skip


def seconds(value: float) -> Figure:
    return Figure(value, "s", (because("promise.neck_work"),))


def phase(
    name: str, hours: float, who: tuple[str, ...] = ("ada", "cy"), *, spread: float = 0.15, pause: bool = False
) -> Phase:
    return Phase(name, seconds(hours * HOUR), spread, who, pause)


def step(name: str, station: str, machine_id: str | None, *phases: Phase, cash: str = "0") -> Step:
    return Step(name, station, machine_id, because("promise.neck_work"), phases, (), (), cash=Decimal(cash))


def route(*, quantity: int = 1, bought: bool = False, people: tuple[str, ...] = ALL, piece: str | None = "R7") -> Route:
    """A worn shaft made new: saw, turn, mill the keyway, file, measure, deliver."""
    hands = tuple(name for name in ("ada", "cy") if name in people)
    q = quantity
    steps = (
        step("1", "saw", "saw", phase("set up", 0.1, people), phase("cut", 0.1 * q, people)),
        step("2", "turn", "lathe", phase("set up", 0.5, hands), phase("first part", 0.6, hands),
             phase("turn", 0.7 * q, hands, pause=True), cash="4.20"),
        step("3", "mill", "mill", phase("set up", 0.4, hands), phase("keyway", 0.3 * q, hands, pause=True),
             cash="1.10"),
        step("4", "hand", None, phase("file", 0.2 * q, people, pause=True)),
        step("5", "inspect", None, phase("measure", 0.2 * q, people, pause=True)),
        step("6", "deliver", None, phase("pack and drive", 0.75, people)),
    )  # fmt: skip
    blank = Blank("round", (50.0,), 268.0, 4.1, "c45", (because("promise.neck_work"),))
    buy = (Purchase(because("promise.neck_work"), "sallow", Decimal("31.50"), 1000.0, 15.4),) if bought else ()
    return Route(steps, blank, None if bought else piece, None, buy, (), (because("promise.neck_work"),))
