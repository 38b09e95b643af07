"""Several parts as one job: every step once and after what it needs; set-ups shared where nothing waits for itself."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.route.fit_up import fitted
from steadyrest.route.joined import JoinedSteps, PartRoute, joined, packing
from steadyrest.route.last_steps import at_site, delivered
from steadyrest.shop.figure import Figure, because
from steadyrest.shop.parts_list import Fitting, Site
from steadyrest.shop.work import Blank, Chain, Phase, Purchase, Route, Step, Undone
from tests.stations import parts as shops

SHOP = shops.demo_shop()
WHY = (because("time.trip"),)


def step(name: str, station: str, machine: str | None, *, set_up_s: float = 300.0, tools: tuple[str, ...] = ()) -> Step:
    who = (SHOP.people[0].id,)
    phases = [Phase("set up", Figure(set_up_s, "s", WHY), 0.1, who, True)] if machine else []
    phases.append(Phase("first part", Figure(600.0, "s", WHY), 0.1, who, True))
    return Step(name, station, machine, because("saw.hold", size_mm=20.0), tuple(phases), (), (), tools=tools)


def part(name: str, *steps: Step, size_mm: float = 45.0, buy: tuple[Purchase, ...] = ()) -> PartRoute:
    blank = Blank("round", (size_mm,), 100.0, 1.0, "C45", WHY)
    away = Step("deliver", "deliver", None, because("deliver.hold"), (
        Phase("wash, mark and pack", Figure(60.0, "s", WHY), 0.1, (SHOP.people[0].id,), True),
        Phase("bring it there", Figure(900.0, "s", WHY), 0.1, (SHOP.people[0].id,), True),
    ), (), ())  # fmt: skip
    return PartRoute(name, Route((*steps, away), blank, None, None, buy, (), WHY))


def last(*parts: PartRoute) -> tuple[Step, ...]:
    found = delivered(packing(parts), mass_kg=5.0, heaviest_kg=1.0, shop=SHOP)
    assert isinstance(found, Step)
    return (found,)


def all_steps(found: JoinedSteps) -> list[Step]:
    return [one for chain in found.chains for one in chain.steps]


def comes_before(found: JoinedSteps, first: str, then: str) -> bool:
    """Whether the chain in which `first` is comes before that of `then`, by the chains' own word."""
    by_id = {chain.id: chain for chain in found.chains}
    of = {one.id: chain.id for chain in found.chains for one in chain.steps}
    a, b = of[first], of[then]
    if a == b:
        ids = [one.id for one in by_id[a].steps]
        return ids.index(first) < ids.index(then)
    ahead, seen = [b], set[str]()
    while ahead:
        name = ahead.pop()
        if name == a:
            return True
        if name not in seen:
            seen.add(name)
            ahead += by_id[name].after
    return False


@st.composite
def jobs(draw: st.DrawFn) -> tuple[PartRoute, ...]:
    found: list[PartRoute] = []
    for n in range(draw(st.integers(1, 4))):
        machines = draw(st.lists(st.sampled_from(["saw", "lathe", "mill", None]), min_size=1, max_size=4))
        stations = {"saw": "saw", "lathe": "turn", "mill": "mill", None: "hand"}
        steps = [
            step(f"{stations[m]}-{k}", stations[m], m, tools=(draw(st.sampled_from(["T1", "T2"])),))
            for k, m in enumerate(machines)
        ]
        found.append(part(f"P{n}", *steps, size_mm=draw(st.sampled_from([45.0, 60.0]))))
    return tuple(found)


@settings(deadline=None, max_examples=120)
@given(parts=jobs())
def test_every_step_is_done_once_in_its_part_s_order_and_the_delivery_comes_last(parts: tuple[PartRoute, ...]) -> None:
    found = joined("job", parts, (), last(*parts), {})
    steps = all_steps(found)
    assert len({one.id for one in steps}) == len(steps)
    known = set[str]()
    for chain in found.chains:
        assert set(chain.after) <= known, "a chain comes after what is not there yet"
        known.add(chain.id)
    assert found.chains[-1].steps[-1].id == "deliver"
    for one in steps[:-1]:
        assert comes_before(found, one.id, "deliver")
    # A shared step goes by the first of its parts' names; every phase but the set-ups spared is still there.
    cut = sum(s.duration_s.value for one in steps for s in one.phases if s.name != "set up")
    asked = sum(
        s.duration_s.value for one in parts for each in one.route.steps for s in each.phases if s.name != "set up"
    )
    trips = sum(one.route.steps[-1].phases[-1].duration_s.value for one in parts)
    assert abs(cut - (asked - trips + SHOP.habits.deliver_s)) < 1e-6
    set_ups = sum(s.duration_s.value for one in steps for s in one.phases if s.name == "set up")
    before = sum(
        s.duration_s.value for one in parts for each in one.route.steps for s in each.phases if s.name == "set up"
    )
    assert abs(before - set_ups - sum(one.saved_s for one in found.shared)) < 1e-6


def test_parts_of_one_stock_are_sawn_in_one_set_up_and_parts_of_another_are_not() -> None:
    saw = step("saw", "saw", "saw")
    same = joined("job", (two := (part("P1", saw), part("P2", saw))), (), last(*two), {})
    assert [one.parts for one in same.shared] == [("P1", "P2")]
    assert same.shared[0].saved_s == 300.0
    apart = (part("P1", saw), part("P2", saw, size_mm=60.0))
    assert joined("job", apart, (), last(*apart), {}).shared == ()


def test_work_that_only_stands_out_otherwise_shares_its_set_up_and_other_jaws_or_tools_do_not() -> None:
    def turned(name: str, grip_mm: float, reach_mm: float, *tools: str) -> PartRoute:
        hold = because("turn.hold_chuck", diameter_mm=grip_mm, jaws_mm=25.0, reach_mm=reach_mm)
        return part(name, replace(step("turn-1", "turn", "lathe", tools=tools), holding=hold))

    first = turned("P1", 40.0, 60.0, "T1", "T2")
    for other, shares in (
        (turned("P2", 40.0, 90.0, "T1"), True),
        (turned("P2", 42.0, 60.0, "T1", "T2"), False),
        (turned("P2", 40.0, 60.0, "T1", "T3"), False),
    ):
        two = (first, other)
        assert bool(joined("job", two, (), last(*two), {}).shared) == shares


def test_a_set_up_is_not_shared_where_each_would_wait_for_the_other() -> None:
    lathe, mill = step("turn", "turn", "lathe"), step("mill", "mill", "mill")
    crossed = (part("P1", lathe, mill), part("P2", mill, lathe))
    found = joined("job", crossed, (), last(*crossed), {})
    assert len(found.shared) == 1  # one of the two can be; then the other cannot


def test_an_assembly_comes_after_its_parts_its_fit_up_and_what_is_bought_for_it() -> None:
    bearing = Purchase(because("stock.own"), "bought B1", Decimal("8.40"), 0.0, 0.1)
    two = (part("P1", step("turn", "turn", "lathe")), part("P2", step("mill", "mill", "mill")))
    rows = (
        Fitting("F1", ("P1", "P2"), "keyed", 1, trial=True),
        Fitting("A1", ("P1", "B1"), "press fit", 1, trial=False, after=("F1",)),
        Fitting("A2", ("A1", "P2"), "bolted", 1, trial=False, after=("A1", "F1")),
    )
    fittings = [(one, fitted(one, sets=1, mass_kg=2.0, shop=SHOP)) for one in rows]
    steps = tuple((one, made) for one, made in fittings if isinstance(made, Step))
    found = joined("job", two, steps, last(*two), {"B1": bearing})
    for first, then in (("P1: turn", "F1"), ("P2: mill", "F1"), ("F1", "A1"), ("A1", "A2"), ("A2", "deliver")):
        assert comes_before(found, first, then)
    waiting = [chain for chain in found.chains if bearing in chain.buy]
    assert any(one.id == "A1" for chain in waiting for one in chain.steps)
    assert not any(one.id.startswith("P") for chain in waiting for one in chain.steps)


def test_nobody_who_welds_is_a_no_with_the_skill_that_is_missing() -> None:
    row = Fitting("W1", ("P1", "P2"), "welded tack", 1, trial=False)
    no = fitted(row, sets=1, mass_kg=1.0, shop=SHOP)
    assert isinstance(no, Undone)
    assert dict(no.reasons[0].given)["skill"] == "weld"
    someone = replace(SHOP, people=(replace(SHOP.people[0], skills=(*SHOP.people[0].skills, "weld")), *SHOP.people[1:]))
    yes = fitted(row, sets=1, mass_kg=1.0, shop=someone)
    assert isinstance(yes, Step)
    assert yes.cautions


def test_what_is_never_done_alone_takes_two_or_is_a_no() -> None:
    everyone = SHOP.operators("hand")
    site = Site(3600.0, 7200.0, everyone[:1], ("puller",), never_alone=True)
    no = at_site(site, (), shop=SHOP)
    assert isinstance(no, Undone)
    alone = at_site(replace(site, never_alone=False), (), shop=SHOP)
    assert not isinstance(alone, Undone)
    assert len(alone) == 3  # loaded, there, and unloaded at home
    if len(everyone) > 1:
        two = at_site(replace(site, who=everyone[:2]), (), shop=SHOP)
        assert not isinstance(two, Undone)
        assert sum("work there" in {phase.name for phase in one.phases} for one in two) == 2
        job = joined("job", (part("P1", step("turn", "turn", "lathe")),), (), two, {})
        assert isinstance(job.chains[-1], Chain)
        assert all(comes_before(job, trip.id, "unload") for trip in two[:-1])
        trips = [one.id for one in two if "work there" in {phase.name for phase in one.phases}]
        assert all(comes_before(job, "pack and load", trip) for trip in trips), "neither leaves before all is loaded"
        assert not any(comes_before(job, one, other) for one in trips for other in trips if one != other)
