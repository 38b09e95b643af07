"""The next test: of those that are safe, the one that takes away most of what is not known for each minute it costs.

A spark is only for iron and its kin: what burns must never meet the wheel, and what is soft clogs it.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import numpy.typing as npt

from steadyrest.part.metal.evidence import MetalEvidence, NextTest
from steadyrest.part.metal.odds import bits, test_odds, weight_odds
from steadyrest.part.metal.weight import HEAVIEST, LIGHTEST, Density
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.tables.metal_tests import TEST_NAMES, bench_tests, metal_kinds, outcome_odds, outcomes, weighing

FloatArray = npt.NDArray[np.float64]

BURNS_MOST = 0.005  # odds of magnesium or titanium from which nothing is ground
SOFT_MOST = 0.1  # odds of a metal without sparks from which nothing is ground
LEAST_BITS = 0.03  # a test that tells less is not worth walking to the bench for
USUAL_SCALE = 0.005  # of the weight: one sigma of a scale that nobody described
COARSE = 0.012  # of the density: one sigma from which weighing in water sharpens what the scan gave
STEPS = 300


def next_test(odds: FloatArray, evidence: MetalEvidence, density: Density | None) -> NextTest | None:
    """The test to do next.

    Args:
        odds: (k,) of the kinds so far. evidence: what was done. density: what was weighed.
    Returns: the test with its time, gain and cautions; None if nothing left tells enough.
    """
    ranked: list[tuple[float, float, str]] = []
    for test, table in _possible(evidence, density):
        if test == "spark" and held_back(odds):
            continue
        gain = expected_gain(odds, table)
        if gain >= LEAST_BITS:
            ranked.append((gain / bench_tests()[test].minutes, gain, test))
    if not ranked:
        return None
    _, gain, test = max(ranked)
    taken = because("metal.test_takes", test=test)
    tells = because("metal.test_tells", bits=float(f"{gain:.2g}"), known_bits=float(f"{bits(odds):.2g}"))
    return NextTest(
        test=test,
        takes=Figure(60 * bench_tests()[test].minutes, "s", (taken,)),
        gain=Figure(gain, "1", (tells,)),
        cautions=cautions(test),
        why=(because(f"metal.do_{test.replace(' ', '_')}"), tells),
    )


def held_back(odds: FloatArray) -> tuple[Reason, ...]:
    """Why a spark must not be tried yet; nothing if it may.

    Args:
        odds: (k,) of the kinds so far.
    Returns: reasons.
    """
    kinds = metal_kinds()
    no_spark = outcomes("spark").index("none")
    burns = float(sum(o for o, kind in zip(odds, kinds, strict=False) if kind.burns))
    soft = float(sum(o for o, k in zip(odds, kinds, strict=False) if outcome_odds("spark")[k.kind][no_spark] > 0.5))
    out: list[Reason] = []
    if burns > BURNS_MOST:
        out.append(because("metal.spark_burns"))
    if soft > SOFT_MOST:
        out.append(because("metal.spark_soft"))
    return tuple(out)


def cautions(test: str) -> tuple[Reason, ...]:
    """What to mind before a test.

    Args:
        test: its name.
    Returns: reasons, the gravest first.
    """
    match test:
        case "spark":
            return (
                because("metal.mind_eyes"), because("metal.mind_fire"), because("metal.mind_chips"),
                because("metal.mind_wheel"), because("metal.mind_mark"),
            )  # fmt: skip
        case "file" | "colour":
            return (because("metal.mind_dust"), because("metal.mind_mark"))
        case "weigh" | "weigh in water":
            return (because("metal.mind_lift"),)
        case _:
            return (because("metal.mind_magnet"),)


def expected_gain(odds: FloatArray, table: FloatArray) -> float:
    """Bits that a test takes away on average.

    Args:
        odds: (k,) before. table: (k, outcomes) how often each kind gives each outcome; rows sum to 1.
    Returns: bits, not negative but for rounding.
    """
    seen = odds @ table
    left = sum(float(p) * bits(odds * table[:, j] / p) for j, p in enumerate(seen) if p > 1e-12)
    return bits(odds) - left


def _possible(evidence: MetalEvidence, density: Density | None) -> list[tuple[str, FloatArray]]:
    """Tests not done yet, with what each kind gives in them."""

    def weighings(u_share: float) -> FloatArray:
        return _weighing_table(float(f"{u_share:.1g}"))  # a table a figure: it is kept, and what it serves is coarse

    out: list[tuple[str, FloatArray]] = [(t, test_odds(t)) for t in TEST_NAMES if evidence.outcome(t) is None]
    scale = evidence.mass_kg[1] / evidence.mass_kg[0] if evidence.mass_kg else USUAL_SCALE
    if density is None and evidence.volume_mm3 is not None:
        volume, u_volume = evidence.volume_mm3
        out.append(("weigh", weighings(float(np.hypot(u_volume / volume, scale)))))
    coarse = density is None or density.u > COARSE * density.value
    if evidence.in_water_kg is None and coarse:
        # A dense part pushes little water aside: what the scale is off counts many times.
        out.append(("weigh in water", weighings(float(np.hypot(8 * scale, weighing("bubbles_hundredths"))))))
    return out


@cache
def _weighing_table(u_share: float) -> FloatArray:
    """(k, steps) odds of each density, for a relative one sigma, evenly over its logarithm."""
    values = np.geomspace(LIGHTEST, HEAVIEST, STEPS)
    u_share = max(u_share, 0.5 * float(np.log(values[1] / values[0])))
    table = np.stack([weight_odds(float(value), u_share * float(value)) * value for value in values], axis=1)
    return table / table.sum(axis=1, keepdims=True)
