"""Turned cases for tests/scoring/routes.py: one side as the lathe plans it, and its whole program as the referee."""

from __future__ import annotations

import math
import random
from dataclasses import replace

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.timing.machine_time import MachineTiming, run_time
from steadyrest.shop.floor import LatheLimits
from steadyrest.shop.work import Blank
from steadyrest.stations.answer import Ask, State
from steadyrest.stations.turn import answering, passes
from steadyrest.stations.turn.clamping import Clamping, clamped
from steadyrest.stock.blank import Need, need
from steadyrest.tables.practice import rule
from tests.oracles.turn_paths import Steps, Turning, side_program
from tests.scoring.judged import Case
from tests.scoring.mill_times import shop
from tests.stations.parts import turned

METALS = ("C45", "42CrMo4", "11SMn30", "1.4301", "6082-T6", "GG25", "CuZn39Pb3")


def asked(luck: random.Random) -> Ask:
    """A stepped part on a lathe somewhere between a hand lathe and a quick one."""
    machine = shop().machine("lathe")
    assert isinstance(machine.limits, LatheLimits)
    limits = replace(
        machine.limits, accel_mm_s2=luck.choice([350.0, 700.0, 2_000.0, 5_000.0]),
        rapid_mm_min=luck.choice([(4_000.0, 4_000.0), (5_000.0, 8_000.0), (15_000.0, 20_000.0)]),
        max_rpm=luck.choice([2_000.0, 3_500.0, 5_000.0]), chuck_max_rpm=5_000.0, controlled=luck.random() < 0.7,
        repeat_mm=0.005, max_load_kg=1e4, swing_mm=1e3, swing_over_slide_mm=1e3, chuck_largest_mm=500.0,
        chuck_smallest_mm=1.0, spindle_bore_mm=luck.choice([40.0, 200.0]), between_centres_mm=3_000.0,
    )  # fmt: skip
    diameter = luck.uniform(10, 40)
    steps: list[tuple[float, float, tuple[float, float] | None]] = []
    for _ in range(luck.randint(1, 5)):
        steps.append((diameter, luck.uniform(0.3, 2.0) * diameter, None))
        diameter *= luck.uniform(1.08, 1.45)
    part = turned([*steps, (diameter, luck.uniform(30, 60), None)])
    raw, metal = diameter + luck.uniform(1.5, 8), shop().material(luck.choice(METALS))
    assert part.profile is not None
    length = need(part.profile, shop().habits).length_mm
    mass = math.pi / 4 * raw**2 * length * 1e-9 * metal.density_kg_m3
    state = State(Blank("round", (raw,), length, mass, metal.id, ()), "bright drawn", length, mass, sawn=True)
    features = tuple(feature.id for feature in part.features)
    return Ask(part, features, state, metal, 1, shop(), replace(machine, limits=limits))


def profile(luck: random.Random) -> Case | None:
    """The first side of a part, centre drilling left out on both sides; None where it is not turned like that."""
    ask = asked(luck)
    machine, part = ask.machine, ask.part
    assert machine is not None
    assert isinstance(machine.limits, LatheLimits)
    assert part.profile is not None
    wants = need(part.profile, ask.shop.habits)
    raw = ask.state.blank.size_mm[0]
    clamping = clamped(ask, machine.limits, wants, number=1, raw_mm=raw)
    wanted, _ = answering.wanted(ask, part.profile)
    features = answering.of_side(wanted, part.profile, wants, 1)
    chosen, _ = answering.best_way(ask, machine, clamping, wants, features, False)
    if chosen is None or chosen.plan.undone or answering.parts_off(ask, wants, raw):
        return None
    limits, plan = machine.limits, chosen.plan
    centres = [tool.number for tool in machine.tools if tool.kind == "centre drill" and tool.number in plan.cut_s]
    drilled_s = sum(plan.cut_s[number] for number in centres)
    estimate = plan.all_cut_s - drilled_s + plan.travel_s - len(centres) * limits.tool_change_s
    how = turning(chosen.setting, wants, clamping, limits)
    program = side_program(steps_of(wants), how)
    control = Dialect(
        kind="lathe", x_is_diameter=True, tool_word="TTOO", speed_clamp_words=("G50",),
        offsets_mm={f"G{number}": (0.0, 0.0, 0.0) for number in range(54, 60)},
        start_mm=(raw / 2 + how.home_mm, 0.0, how.home_mm), home_mm=(500.0, 0.0, 500.0),
    )  # fmt: skip
    run = read(program.encode(), control)
    assert not run.odds, run.odds[:3]
    x, z = limits.rapid_mm_min
    referee = run_time(run, MachineTiming((x, x, z), limits.accel_mm_s2, None, limits.tool_change_s)).total_s
    kind = "controlled" if limits.controlled else "by hand"
    return Case("profile", kind, estimate, referee, plan.spread(limits))


def steps_of(wants: Need) -> Steps:
    """The first side from its end inwards."""
    return [
        (s.length_mm, s.diameter_to_mm, s.diameter_from_mm) if wants.sides.from_high
        else (s.length_mm, s.diameter_from_mm, s.diameter_to_mm)
        for s in wants.sides.first
    ]  # fmt: skip


def turning(setting: passes.Setting, wants: Need, clamping: Clamping, limits: LatheLimits) -> Turning:
    """The plan's own feeds, speeds and depth, for the referee to drive: the least depth of all, the mean feed."""
    tools = setting.machine.tools
    rough = next(tool for tool in tools if tool.kind == "turning" and tool.role == "rough")
    fine = next(tool for tool in tools if tool.kind == "turning" and tool.role == "finish")
    facer = next(tool for tool in tools if tool.kind == "facing")
    raw, out = clamping.raw_mm, 0.0
    cuts: list[tuple[passes.Cut, float]] = []
    for stretch in wants.sides.first:
        at = (clamping.reach_mm - out - stretch.length_mm, clamping.reach_mm - out)
        out += stretch.length_mm
        stays = min(stretch.diameter_from_mm, stretch.diameter_to_mm) + setting.finish_mm
        if raw > stays + 1e-6:
            cut = passes.rough(
                setting.with_tool(rough), from_mm=raw, to_mm=stays, length_mm=stretch.length_mm, at_mm=at
            )
            cuts.append((cut, stretch.length_mm))
    feed = sum(cut.feed_mm_rev * length for cut, length in cuts) / sum(length for _, length in cuts)
    last = passes.finish(
        setting.with_tool(fine), diameter_mm=wants.sides.first[0].largest_mm, length_mm=10.0, width_mm=0.2,
        at_mm=(clamping.reach_mm - 10.0, clamping.reach_mm),
    )  # fmt: skip
    faced = passes.face(setting.with_tool(facer), diameter_mm=raw, length_mm=max(clamping.faced_mm, 0.01))

    def drive(cut_feed: float, holder_rpm: float) -> tuple[float, float, float]:
        return cut_feed, setting.speed_m_min, min(limits.max_rpm, limits.chuck_max_rpm, holder_rpm)

    return Turning(
        raw, min(cut.figures[0].value for cut, _ in cuts), setting.finish_mm, clamping.faced_mm,
        faced.figures[0].value, drive(feed, rough.holder_max_rpm), drive(last.feed_mm_rev, fine.holder_max_rpm),
        drive(faced.feed_mm_rev, facer.holder_max_rpm), rule("home_mm"), rule("approach_mm"), rule("retract_mm"),
        limits.controlled,
    )  # fmt: skip
