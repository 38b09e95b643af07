"""Whether a size that was measured is right: brought to 20 degrees, with its uncertainty, decided; if not, what next.

A reading on a warm part with a warm gauge is brought to the 20 degrees at which limits hold; what the thermometer does
not know is added to the gauge's uncertainty. Where nothing is said of warmth, part and gauge are taken to have evened
out, as the gauge's own uncertainty supposes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean, stdev
from typing import Literal

from steadyrest.measure.decision import GUARD, accept_mm, conformance_odds, decide
from steadyrest.measure.plan import REFERENCE_C
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Gauge
from steadyrest.tables.practice import rule

Answer = Literal["right", "wrong", "undecided"]
ANSWERS: dict[str, Answer] = {"proved": "right", "refused": "wrong", "not proved": "undecided"}


@dataclass(frozen=True, slots=True)
class Taken:
    """What was read. readings_mm: one or more, of one size. part_c, gauge_c: their warmth; None: not said.

    expansion_per_k: of the part's metal.
    """

    readings_mm: tuple[float, ...]
    gauge: Gauge
    limits_mm: tuple[float, float]
    expansion_per_k: float
    part_c: float | None = None
    gauge_c: float | None = None


@dataclass(frozen=True, slots=True)
class Verdict:
    """What it comes to. size: at 20 degrees. odds: the chance that the true size is inside the limits.

    accept_mm: what this gauge would have to read, at 20 degrees, to prove it; None: it cannot. nexts: what to do now.
    """

    answer: Answer
    size: Figure
    u_mm: float
    odds: Figure
    accept_mm: tuple[float, float] | None
    why: tuple[Reason, ...]
    nexts: tuple[Reason, ...]


def verdict(taken: Taken, gauges: Sequence[Gauge], *, now: datetime) -> Verdict:
    """Whether the size is right.

    Args:
        taken: readings, gauge, limits, warmth.
        gauges: others of the shop that reach this size, finest first, in date: for what to do next.
        now: aware; a gauge whose check is overdue decides nothing.
    Returns: right, wrong or undecided, with why and what next.
    Raises: ValueError: no reading.
    Source: ISO 14253-1 for the rule; JCGM 106:2012, 7 for the odds; ISO 1 for 20 degrees. Checked in
        tests/checks/test_decision_rule.py and tests/measure/test_verdict.py.
    """
    size, u_mm, why = at_reference(taken)
    low, high = taken.limits_mm
    odds = conformance_odds(size.value, (low, high), u_mm)
    accept = accept_mm(taken.limits_mm, u_mm)
    due = taken.gauge.due
    overdue = due is not None and due < now
    answer: Answer = "undecided" if overdue else ANSWERS[decide(size.value, taken.limits_mm, u_mm)]
    band_um = round(GUARD * u_mm * 1000.0, 1)
    told = [*why, because(f"measure.{answer}", size_mm=size.value, low_mm=low, high_mm=high, band=band_um)]
    if overdue and due is not None:
        told.insert(0, because("measure.overdue_reading", gauge=taken.gauge.name, due=due.date().isoformat()))
    passed = because("measure.if_passed", wrong=_in_thousand(1.0 - odds), kept=_in_thousand(odds))
    nexts = _nexts(taken, size.value, u_mm, gauges, overdue=overdue) if answer == "undecided" else ()
    if answer == "wrong":
        nexts = (because("measure.wrong_next"),)
    return Verdict(answer, size, u_mm, Figure(odds, "1", (passed,)), accept, tuple(told), nexts)


def at_reference(taken: Taken) -> tuple[Figure, float, tuple[Reason, ...]]:
    """The size at 20 degrees with its standard uncertainty: mean of the readings, warmth taken out.

    Args:
        taken: readings, gauge, warmth.
    Returns: (the size, mm; one sigma, mm; how it came about).
    Raises: ValueError: no reading.
    Source: a length grows by L a (T - 20); the parts of the uncertainty add as squares (JCGM 100, 5.1.2).
    """
    readings = taken.readings_mm
    if not readings:
        raise ValueError("at_reference: there is no reading")
    mean = fmean(readings)
    parts = [taken.gauge.u_mm]
    why = [because("measure.read", gauge=taken.gauge.name, count=float(len(readings)), mean_mm=mean)]
    if len(readings) > 1:
        scatter = stdev(readings) / math.sqrt(len(readings))
        parts.append(scatter)
        why.append(because("measure.scatter", range_um=(max(readings) - min(readings)) * 1000.0))
    size = mean
    if taken.part_c is not None:
        gauge_c = REFERENCE_C if taken.gauge_c is None else taken.gauge_c
        gauge_per_k, each_c = rule("gauge_expansion_per_k"), rule("thermometer_u_c")
        size *= (1.0 + gauge_per_k * (gauge_c - REFERENCE_C)) / (
            1.0 + taken.expansion_per_k * (taken.part_c - REFERENCE_C)
        )
        parts += [mean * taken.expansion_per_k * each_c, mean * gauge_per_k * each_c]
        moved_um = round((size - mean) * 1000.0, 1)
        why.append(because("measure.brought_to", part_c=taken.part_c, gauge_c=gauge_c, moved=moved_um))
    else:
        why.append(because("measure.evened_out"))
    u_mm = math.hypot(*parts)
    why.append(because("measure.together", u=round(u_mm * 1000.0, 1)))
    return Figure(size, "mm", tuple(why)), u_mm, tuple(why)


def _nexts(taken: Taken, size_mm: float, u_mm: float, gauges: Sequence[Gauge], *, overdue: bool) -> tuple[Reason, ...]:
    """What to do when the reading does not decide, what helps most first."""
    found: list[Reason] = []
    finer = [g for g in gauges if g.id != taken.gauge.id and (overdue or g.u_mm < taken.gauge.u_mm)]
    deciding = next((g for g in reversed(finer) if decide(size_mm, taken.limits_mm, g.u_mm) != "not proved"), None)
    if deciding is not None:
        found.append(because("measure.with_finer", gauge=deciding.name, u=round(deciding.u_mm * 1000.0, 1)))
    elif overdue:
        found.append(because("measure.have_checked", gauge=taken.gauge.name))
    scatter = math.sqrt(max(u_mm**2 - taken.gauge.u_mm**2, 0.0))
    if taken.part_c is None:
        found.append(because("measure.let_even_out", reference_c=REFERENCE_C))
    if scatter > taken.gauge.u_mm or len(taken.readings_mm) == 1:
        found.append(because("measure.again", count=rule("again_readings")))
    if deciding is None and not overdue:
        found.append(because("measure.borrow"))
    found.append(because("measure.ask_then"))
    return tuple(found)


def _in_thousand(odds: float) -> float:
    return float(round(1000.0 * odds))
