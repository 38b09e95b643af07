"""Changing any limit of any machine in the shop file changes a route, a time or a refusal.

By reflection over the limits of every kind of machine: a field added later is under it at once. Turned and milled parts
are tried, and machines whose fields stand empty in the demo's shop are given a value.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, replace
from pathlib import Path
from types import UnionType
from typing import Literal, get_args, get_origin, get_type_hints

import numpy as np
import pytest

from steadyrest.route.best import best_routes
from steadyrest.shop.floor import Machine, PowerCurve, Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Route, Undone
from tests.program.test_every_control_key_counts import ELSEWHERE as CONTROL_ELSEWHERE
from tests.program.test_every_control_key_counts import LATHE_KEYS, MILL_KEYS
from tests.stations.blocks import bearing_plate, plain_block, slotted_bar, tall_block
from tests.stations.lathes import COLLETS, DRIVEN, driven_tools
from tests.stations.parts import (
    bracket,
    bush,
    cross_drilled,
    demo_shop,
    disc,
    lift_shaft,
    long_shaft,
    pin,
    rod,
    size,
    spindle,
)
from tests.stations.solids import Block


def slanted_hole() -> Part:
    """A block with a hole that leans 30 degrees: a side for itself."""
    bore = (size("diameter_mm", 6.0), size("depth_mm", 20.0))
    block = Block(70, 40, 40, 1.0)
    return block.named("bore", bore, (0.5, 0.0, -0.866), (45.0, 20.0, 31.0), inside=True, through=False).part()


def round_with_pocket() -> Part:
    """A round that is milled: a pocket in its end, its outside left to the side of a cutter."""
    block = (
        Block(54, 54, 40, 1.0)
        .cut(lambda x, y, z: (np.hypot(x - 27, y - 27) > 27) & (z > 0))
        .pocket((15, 18), (39, 36), 8, 4)
    )
    whole = block.part()
    return replace(whole, features=tuple(feature for feature in whole.features if feature.id not in ROUND_OFF))


def housing() -> Part:
    """A block with a bore beside its middle, finer than a cutter's side cuts: bored on the lathe after it is milled."""
    block = Block(120, 90, 60, 1.0).cut(lambda x, y, _: np.hypot(x - 45, y - 45) < 31)
    bore = (size("diameter_mm", 62.0, (61.991, 62.021)), size("length_mm", 60.0))
    return block.named("bore", bore, (0.0, 0.0, -1.0), (45.0, 45.0, 30.0), inside=True, through=True).part()


ROUND_OFF = ("S1", "S2", "S3", "S4")
TURNED = (lift_shaft, cross_drilled, rod, spindle, disc, bush, long_shaft, pin, bracket)
MILLED = (bearing_plate, slotted_bar, tall_block, plain_block, round_with_pocket)
BORED = (housing,)  # milled, then back to the lathe
LEANS = (slanted_hole,)  # what leans asks only for how far work leans
FACTORS = (0.005, 0.3, 3.0, 50.0)
# What stands for a field that the demo's shop leaves empty, and what must stand beside it so that it can count.
GIVEN: dict[str, object] = {
    "vacuum_mm": (300.0, 200.0),
    "vacuum_bar": 0.6,
    "vacuum_switch": True,
    "corner_mm": 0.05,
    "steady_mm": (10.0, 100.0),
    "collet_mm": (4.0, 60.0),
    "four_jaw_mm": (10.0, 100.0),
    "bar_feed_mm": (1000.0, 150.0),
    "y_mm": 30.0,
    "blade_mm": 315.0,
    "blade_teeth": 130,
    "turn_rad": (0.0, 0.1),
    "turn_step_rad": 2.0,
    "turn_mm": (20.0, 20.0),
    "turn_load_kg": 0.001,
    "turn_chuck_mm": (5.0, 400.0),
    "vise_pitch_mm": 900.0,
    "chuck_mm": (5.0, 400.0),
    "v_block_mm": (5.0, 400.0),
}
# A table that tilts and turns; a level turning axis with its chuck; a chuck on the table.
TILTS: dict[str, object] = {"axes": "3+2", "tilt_rad": (-1.6, 1.6), "turn_rad": (0.0, 1.6)}
TURNS: dict[str, object] = {"axes": "3+1", "turn_chuck_mm": (5.0, 400.0), "turn_chuck_n": 20000.0}
CHUCK: dict[str, object] = {"chuck_mm": (5.0, 400.0), "chuck_grip_n": 20000.0, "chuck_jaw_mm": 20.0}
BESIDE: dict[str, dict[str, object]] = {
    "vacuum_bar": {"vacuum_mm": (300.0, 200.0), "vise_opening_mm": 1.0},
    "vacuum_mm": {"vacuum_bar": 0.6, "vise_opening_mm": 1.0},
    "vacuum_switch": {"vacuum_mm": (300.0, 200.0), "vacuum_bar": 0.6, "vise_opening_mm": 1.0},
    **dict.fromkeys(DRIVEN, DRIVEN),
    "y_mm": DRIVEN,
    **dict.fromkeys(COLLETS, COLLETS),
    "collet_mm": {**COLLETS, "collet_mm": None},
    "blade_mm": {"blade_teeth": 130, "min_band_m_min": 8.0},
    "blade_teeth": {"blade_mm": 315.0, "blade_teeth": 130, "min_band_m_min": 8.0},
    "bundle": {"largest_width_mm": 900.0},
    **dict.fromkeys(("tilt_rad", "turn_step_rad", "turn_mm", "turn_load_kg"), TILTS),
    "turn_rad": {"axes": "3+2", "tilt_rad": (-1.6, 1.6)},
    "turn_chuck_mm": {**TURNS, "turn_chuck_mm": None},
    "turn_chuck_n": TURNS,
    "vise_pitch_mm": {"vises": 3},
    "chuck_mm": {**CHUCK, "chuck_mm": None},
    "chuck_grip_n": CHUCK,
    "chuck_jaw_mm": CHUCK,
}
FROM_ROUND = ("chuck_mm", "chuck_grip_n", "chuck_jaw_mm", "v_block_mm")


@dataclass(frozen=True, slots=True)
class Limit:
    """One number or choice of one machine. index: its place in a tuple."""

    machine: str
    name: str
    index: int | None = None

    def __str__(self) -> str:
        return f"{self.machine}.{self.name}" + (f"[{self.index}]" if self.index is not None else "")


def values(old: object, hint: object, limit: Limit) -> Iterator[object]:
    """Other values that the field may have."""
    if isinstance(old, bool):
        yield not old
    elif isinstance(old, PowerCurve):
        yield from (PowerCurve(tuple((rpm, power * f) for rpm, power in old.points)) for f in FACTORS)
    elif isinstance(old, tuple):
        for f in FACTORS:
            yield tuple(item * f if i == limit.index else item for i, item in enumerate(old))
    elif isinstance(old, int | float) and old == 0 and limit.name in GIVEN:
        yield GIVEN[limit.name]
    elif isinstance(old, int | float):
        yield from (old * f for f in FACTORS)
    elif isinstance(old, str):
        yield from (choice for choice in choices(hint) if choice != old)
    else:
        yield GIVEN[limit.name]


def choices(hint: object) -> tuple[str, ...]:
    """What a field of text may say."""
    if get_origin(hint) is Literal:
        return get_args(hint)
    return tuple(c for part in get_args(hint) for c in choices(part)) if isinstance(hint, UnionType) else ()


FLAT = ("cutter", "brake")  # flat parts: tests/stations/plate/test_plate.py and test_bends.py vary each of theirs


def limits() -> Iterator[Limit]:
    for machine in demo_shop().machines:
        if machine.kind in FLAT:
            continue
        if machine.kind in ("lathe", "mill", "saw"):
            yield Limit(machine.id, "set_up_s")
        for field in fields(machine.limits):
            value = getattr(machine.limits, field.name)
            if isinstance(value, tuple):
                yield from (Limit(machine.id, field.name, index) for index in range(len(value)))
            else:
                yield Limit(machine.id, field.name)


def limit_round_mm(limit: Limit) -> float:
    """A round bar that V-jaws hold a block's blank by, or a chuck the round part's."""
    return 60.0 if limit.name == "v_block_mm" else 80.0


def with_machine(shop: Shop, machine: Machine) -> Shop:
    return replace(shop, machines=tuple(machine if m.id == machine.id else m for m in shop.machines))


def pairs(limit: Limit) -> Iterator[tuple[Shop, Shop]]:
    """The shop before and after a change of this limit, both with what has to stand beside it."""
    shop = demo_shop()
    if limit.name == "four_jaw_mm":
        square = replace(shop.pieces[0], id="Q1", shape="square", size_mm=(50.0,), length_mm=900.0, material="C45")
        shop = replace(shop, pieces=(square,), suppliers=())
    if limit.name in FROM_ROUND:
        bar = replace(
            shop.pieces[0], id="Q1", shape="round", size_mm=(limit_round_mm(limit),), length_mm=900.0, material="C45"
        )
        shop = replace(shop, pieces=(bar,), suppliers=())
    machine = shop.machine(limit.machine)
    if limit.name == "set_up_s":
        for f in FACTORS:
            yield shop, with_machine(shop, replace(machine, set_up_s=machine.set_up_s * f))
        return
    beside = BESIDE.get(limit.name, {})
    if not set(beside) <= {field.name for field in fields(machine.limits)}:
        beside = {}  # another kind of machine's field of the same name
    machine = replace(machine, limits=replace(machine.limits, **beside))
    if beside is DRIVEN:
        machine = replace(machine, tools=(*machine.tools, *driven_tools(machine)))
    # A yes or no may only count where a machine may be left alone at all.
    for alone in (False, True):
        free = with_machine(shop, replace(machine, may_run_alone=alone))
        hint = get_type_hints(type(machine.limits))[limit.name]
        for value in values(getattr(machine.limits, limit.name), hint, limit):
            yield (
                free,
                with_machine(
                    free, replace(machine, may_run_alone=alone, limits=replace(machine.limits, **{limit.name: value}))
                ),
            )


def told(no: Undone) -> tuple[object, ...]:
    return no.station, no.machine, no.features, tuple((reason.key, str(reason.given)) for reason in no.reasons)


def outcome(route: Route) -> tuple[object, ...]:
    """What a person would see change: stock, steps, machines, times, what is made, what is refused."""
    steps = tuple(
        (step.id, step.machine, step.makes, step.unattended, step.unattended_why, step.holding,
         tuple((p.feature, p.low_mm) for p in step.hold_points),
         tuple(round(phase.duration_s.value, 3) for phase in step.phases))
        for step in route.steps
    )  # fmt: skip
    blank = (route.blank.size_mm, round(route.blank.length_mm, 3)) if route.blank else None
    return route.piece, blank, route.rest_mm, steps, tuple(told(no) for no in (*route.cannot, *route.refused))


SEEN: dict[tuple[Callable[[], Part], int, str], tuple[object, ...]] = {}


def outcomes(make: Callable[[], Part], shop: Shop, quantity: int) -> tuple[object, ...]:
    key = (make, quantity, repr((shop.machines, shop.pieces)))
    if key not in SEEN:
        routes = best_routes(make(), material=shop.material("C45"), quantity=quantity, shop=shop, keep=1)
        SEEN[key] = tuple(outcome(route) for route in routes)
    return SEEN[key]


@pytest.mark.parametrize("limit", list(limits()), ids=str)
def test_changing_a_limit_changes_a_route_a_time_or_a_refusal(limit: Limit) -> None:
    """A mill's on a milled part, where all of them have to count; every other machine's on any part."""
    makes = MILLED if demo_shop().machine(limit.machine).kind == "mill" else (*TURNED, *MILLED)
    asking = {"lean_rad": LEANS, "faceplate_mm": BORED}
    for make in asking.get(limit.name, makes):
        for before, after in pairs(limit):
            for quantity in (1, 20):
                if outcomes(make, before, quantity) != outcomes(make, after, quantity):
                    return
    pytest.fail(f"{limit} counts for nothing")


@pytest.mark.parametrize("name", ["travel_mm", "table_mm", "max_load_kg", "vise_opening_mm", "repeat_mm", "controlled"])
def test_a_mill_s_limits_count_for_a_turned_part_as_well(name: str) -> None:
    for limit in limits():
        if limit.machine == "mill" and limit.name == name:
            assert any(
                outcomes(make, before, 1) != outcomes(make, after, 1)
                for make in TURNED
                for before, after in pairs(limit)
            ), limit


def test_every_field_of_every_kind_of_machine_is_among_them() -> None:
    found = {(limit.machine, limit.name) for limit in limits()}
    for machine in demo_shop().machines:
        if machine.kind in FLAT:
            continue
        assert {(machine.id, field.name) for field in fields(machine.limits)} <= found
    assert len(list(limits())) > 60


# What of a machine's own table is tried elsewhere: money in tests/price and test_every_tool_key_counts, calendars in
# tests/promise/test_shop_calendars, tools in test_every_tool_key_counts, flat machines in tests/stations/plate.
ELSEWHERE = {
    "name", "kind", "per_hour", "stands", "not_alone", "never_alone", "warm_up_s", "cold_after_s", "service_every_h",
    "service_s", "hour", "tool",
}  # fmt: skip
HERE = {"may_run_alone", "set_up_s"}


@pytest.mark.parametrize(
    ("heading", "kinds"),
    [("A lathe and a mill", ("lathe", "mill")), ("A lathe", ("lathe",)), ("A mill", ("mill",)), ("A saw", ("saw",)),
     ("A grinder", ("grinder",)), ("A bench", ("bench",))],
)  # fmt: skip
def test_every_key_that_the_page_lists_is_a_limit_tried_here_or_a_key_of_the_control(
    heading: str, kinds: tuple[str, ...]
) -> None:
    keys = listed(heading) - set(MILL_KEYS) - set(CONTROL_ELSEWHERE) - (set(LATHE_KEYS) if "lathe" in kinds else set())
    tried = {limit.name for limit in limits() if demo_shop().machine(limit.machine).kind in kinds}
    assert {key.replace("_deg", "_rad") for key in keys} <= tried


def test_the_keys_of_every_machine_are_tried_here_or_where_it_says() -> None:
    assert listed("`[machine.NAME]`") == ELSEWHERE | HERE


def listed(heading: str) -> set[str]:
    """The keys of the tables under one heading of docs/shop-file.md."""
    page = (Path(__file__).parents[2] / "docs" / "shop-file.md").read_text(encoding="utf-8")
    part = re.split(rf"(?m)^##+ {re.escape(heading)}$", page)[1]
    return set(re.findall(r"(?m)^\| `([a-z_0-9]+)` \|", re.split(r"(?m)^##", part)[0]))
