"""The tolerance chart of a route: for each limit what moves the size from set-up to set-up, and the chance it is held.

What counts: the machine's own repeat, setting by a gauge, the edge's wear until it is corrected, warmth, what is left
of bending, the datum that shifts when the work is held anew, and what a treatment does. Each is a row of draws; sizes
cut in one clamping share that clamping's luck.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from steadyrest.measure.limits import own_limits
from steadyrest.measure.plan import Measure
from steadyrest.route.lengths import Length, lengths
from steadyrest.route.tolerance_stack import aim, held, root_sum_square, worst_case
from steadyrest.shop.chart import Charted, Term
from steadyrest.shop.draws import Luck
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.finish import Finish
from steadyrest.shop.floor import Machine, Material, Shop, Vendor
from steadyrest.shop.part import Feature, Part
from steadyrest.shop.work import Route, Step
from steadyrest.tables.practice import rule

HARD = ("hardened", "case hardened")


@dataclass(frozen=True, slots=True)
class Asked:
    """What the chart is made from. measures: of the part, for the gauges' uncertainty."""

    part: Part
    route: Route
    material: Material
    quantity: int
    shop: Shop
    measures: tuple[Measure, ...]
    finishes: tuple[Finish, ...]
    luck: Luck


def chart(asked: Asked) -> tuple[Charted, ...]:
    """Every size with limits of its own, and every length across set-ups, with its chance.

    Args:
        asked: a route with steps, and what it is for.
    Returns: the least likely first.
    """
    steps = {step.id: step for step in asked.route.steps}
    made_in = {name: step.id for step in asked.route.steps for name in step.makes}
    order = {step.id: n for n, step in enumerate(asked.route.steps)}
    found: list[Charted] = []
    for feature in asked.part.features:
        own = own_limits(feature.sizes[0].nominal) if feature.sizes else None
        step = steps.get(made_in.get(feature.id, ""))
        if own is not None and step is not None and step.machine is not None:
            found.append(_sized(asked, feature, own, step))
    sized = {(one.feature, one.size) for one in found}
    for length in lengths(asked.part, made_in, order):
        a, b = steps[length.first], steps[length.second]
        if a.machine is not None and b.machine is not None and (length.feature, length.size) not in sized:
            found.append(_length(asked, length, a, b))
    return tuple(sorted(found, key=lambda one: (one.odds.value, one.feature)))


def _sized(asked: Asked, feature: Feature, own: tuple[float, float], step: Step) -> Charted:
    """A size cut in one clamping."""
    name = feature.sizes[0].name
    measured = any(point.feature == feature.id for point in step.hold_points)
    after = _after(asked, feature, own)
    grinder = _grinder(asked, feature)
    terms = (*_ground(asked, feature.id, name, grinder), *after) if grinder else (
        *_cut(asked, feature.id, name, own, step, measured=measured), *after
    )  # fmt: skip
    steps = (step.id, *(s.id for s in asked.route.steps if s.station == "outside"))
    return _charted(asked, feature.id, name, own, steps, terms, _advice(asked, feature, own, step, terms, measured))


def _length(asked: Asked, length: Length, a: Step, b: Step) -> Charted:
    """A length whose ends are cut in two clampings."""
    limits = (length.low_mm, length.high_mm)
    machine_a, machine_b = asked.shop.machine(a.machine or ""), asked.shop.machine(b.machine or "")
    terms = (
        _repeat(machine_a, a, length.feature), _repeat(machine_b, b, length.feature),
        _datum(b),
        Term("setting", _gauge_mm(asked, length.feature, length.size), "normal", f"set {b.id} {length.feature}", b.id),
        _warmth(asked, length.middle_mm, b),
    )  # fmt: skip
    advice: tuple[Reason, ...] = ()
    odds = _odds(asked, limits, terms)
    if odds < rule("chart_good_odds"):
        picked = tuple(
            replace(term, reach_mm=min(rule("chart_probe_mm"), term.reach_mm)) if term.source == "datum" else term
            for term in terms
        )
        better = _odds(asked, limits, picked)
        key = "chart.pick_up" if better > odds else "chart.other_way"
        advice = (because(key, feature=length.feature, step=b.id, better_odds=better),)
    return _charted(asked, length.feature, length.size, limits, (b.id, a.id), terms, advice)


def _cut(
    asked: Asked, feature: str, size: str, own: tuple[float, float], step: Step, *, measured: bool
) -> tuple[Term, ...]:
    """What moves a size on its machine; measured: before the last pass, part by part."""
    machine = asked.shop.machine(step.machine or "")
    middle, width = (own[0] + own[1]) / 2.0, own[1] - own[0]
    gauge_mm = _gauge_mm(asked, feature, size)
    bends_mm = rule("finish_bend_share") * width / 2.0
    warm = _warmth(asked, middle, step)
    bent = Term("deflection", bends_mm, "uniform", f"bend {step.id} {feature}", step.id)
    if measured:
        # Corrected from its own reading: neither wear nor the setting of the first part is left in it.
        gauge = Term("setting", gauge_mm, "normal", f"read {step.id} {feature}", step.id)
        return (_repeat(machine, step, feature), gauge, replace(warm, reach_mm=warm.reach_mm / 2.0), bent)
    wear_mm = rule("chart_wear_mm") * worn_share(asked, step, machine)
    return (
        _repeat(machine, step, feature),
        Term("setting", gauge_mm, "normal", f"set {step.id} {feature}", step.id),
        # An edge that wears leaves outside sizes large and inside sizes small; aimed half way, it counts both ways.
        Term("tool wear", wear_mm / 2.0, "uniform", f"wear {step.id}", step.id),
        warm,
        bent,
    )


def worn_share(asked: Asked, step: Step, machine: Machine) -> float:
    """How much of an edge's life the lot uses at most before it is set anew.

    Args:
        asked: how many parts.
        step: with its tools and its cutting time a part.
        machine: with the tools' lives.
    Returns: 0 to 1.
    """
    numbers = {int(match[1]) for text in step.tools if (match := re.match(r"T(\d+)\b", text))}
    lives = [tool.life_s for tool in machine.tools if tool.number in numbers]
    if not lives or not step.split:
        return 1.0
    each_s = step.split[0].value / len(lives)
    return min(each_s * asked.quantity / min(lives), 1.0)


def _repeat(machine: Machine, step: Step, feature: str) -> Term:
    """The machine's repeat is a band: half of it on each side."""
    band_mm = float(getattr(machine.limits, "repeat_mm", 0.0))
    return Term("machine", band_mm / 2.0, "normal", f"machine {step.id} {feature}", step.id)


def _warmth(asked: Asked, size_mm: float, step: Step) -> Term:
    grows_mm = asked.material.expansion_per_k * abs(size_mm) * rule("chart_warm_k")
    return Term("temperature", grows_mm, "normal", f"warmth {step.id}", step.id)


def _datum(step: Step) -> Term:
    runs_true = dict(step.holding.given).get("run_out_mm")
    if isinstance(runs_true, float):  # a collet: half of what it runs out is how far the axis shifts
        return Term("datum", runs_true / 2.0, "normal", f"datum {step.id}", step.id)
    reach = rule("chart_datum_chuck_mm") if step.station == "turn" else rule("chart_datum_vise_mm")
    return Term("datum", reach, "normal", f"datum {step.id}", step.id)


def _gauge_mm(asked: Asked, feature: str, size: str) -> float:
    """95 in 100 of a reading: twice the gauge's standard uncertainty."""
    for measure in asked.measures:
        if measure.feature == feature and measure.size == size and measure.gauge is not None:
            return 2.0 * measure.u_mm
    return rule("chart_no_gauge_mm")


def _after(asked: Asked, feature: Feature, own: tuple[float, float]) -> tuple[Term, ...]:
    """What treatments do to a size that no wheel corrects."""
    found: list[Term] = []
    for finish in asked.finishes:
        vendor = _vendor(asked, finish)
        if vendor is None:
            continue
        if finish.way in HARD and _grinder(asked, feature) is None:
            grows = rule("harden_grows") * (own[0] + own[1]) / 2.0
            found.append(Term("treatment", grows, "uniform", f"heat {feature.id}", finish.way))
        if finish.way == "plated":
            scatter = 2.0 * finish.thickness_um / 1000.0 * vendor.band
            found.append(Term("treatment", scatter, "uniform", f"plating {vendor.id}", finish.way))
    return tuple(found)


def _vendor(asked: Asked, finish: Finish) -> Vendor | None:
    """Who does it on this route."""
    step = next((step for step in asked.route.steps if step.station == "outside" and step.id == finish.way), None)
    name = dict(step.holding.given).get("vendor") if step else None
    return next((vendor for vendor in asked.shop.vendors if vendor.name == name), None)


def _grinder(asked: Asked, feature: Feature) -> Vendor | None:
    """Who grinds this feature on this route, or None."""
    finish = next((finish for finish in asked.finishes if finish.way == "ground"), None)
    if finish is None or (finish.features and feature.id not in finish.features):
        return None
    if not finish.features and feature.kind not in ("shaft", "bore", "flat"):
        return None
    return _vendor(asked, finish)


def _ground(asked: Asked, feature: str, size: str, vendor: Vendor | None) -> tuple[Term, ...]:
    assert vendor is not None
    gauge_mm = _gauge_mm(asked, feature, size)
    return (
        Term("machine", vendor.repeat_mm / 2.0, "normal", f"wheel {vendor.id} {feature}", "ground"),
        Term("setting", gauge_mm, "normal", f"set ground {feature}", "ground"),
    )


def _advice(
    asked: Asked, feature: Feature, own: tuple[float, float], step: Step, terms: Sequence[Term], measured: bool
) -> tuple[Reason, ...]:
    """What would make a doubtful size a good one: measured before its last pass, ground outside, or another way."""
    good, name = rule("chart_good_odds"), feature.sizes[0].name
    odds = _odds(asked, own, terms)
    if odds >= good:
        return ()
    found: list[Reason] = []
    best = odds
    if not measured and not any(term.step == "ground" for term in terms):
        held_point = (
            *_cut(asked, feature.id, name, own, step, measured=True),
            *(term for term in terms if term.source == "treatment"),
        )
        better = _odds(asked, own, held_point)
        if better > odds:
            found.append(because("chart.measure", feature=feature.id, step=step.id, better_odds=better))
            best = better
    vendor = next((vendor for vendor in asked.shop.vendors if "ground" in vendor.does), None)
    if best < good and vendor is not None and feature.kind in ("shaft", "bore"):
        better = _odds(asked, own, _ground(asked, feature.id, name, vendor))
        if better > best:
            found.append(because("chart.grind", feature=feature.id, vendor=vendor.name, better_odds=better))
            best = better
    if best < good:
        found.append(because("chart.other_way", feature=feature.id, step=step.id, better_odds=best))
    return tuple(found)


def _odds(asked: Asked, limits: tuple[float, float], terms: Sequence[Term]) -> float:
    low, high = limits
    return held(terms, low_mm=low, high_mm=high, aim_mm=aim(terms, low_mm=low, high_mm=high), luck=asked.luck)


def _charted(
    asked: Asked,
    feature: str,
    size: str,
    limits: tuple[float, float],
    steps: tuple[str, ...],
    terms: tuple[Term, ...],
    advice: tuple[Reason, ...],
) -> Charted:
    low, high = worst_case(terms)
    most = sorted(terms, key=lambda term: -abs(term.factor) * term.reach_mm)
    why = tuple(
        because(f"chart.by_{SAID[term.source]}", step=term.step, reach_mm=abs(term.factor) * term.reach_mm)
        for term in most[:3]
    )
    odds = Figure(_odds(asked, limits, terms), "1", why)
    return Charted(
        feature, size, limits[0], limits[1], steps, terms, odds, max(-low, high), root_sum_square(terms), advice
    )


SAID: Mapping[str, str] = {
    "machine": "machine", "setting": "setting", "datum": "datum", "tool wear": "wear", "temperature": "warmth",
    "deflection": "bending", "treatment": "treatment",
}  # fmt: skip
