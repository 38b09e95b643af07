"""Odds over kinds of metal: how often each is met, times how well it suits what was seen.

Every likelihood has a floor (a misreading), so that one test cannot outvote the rest. "None of these" is a candidate
that gives every outcome alike.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.part.metal.evidence import MetalEvidence
from steadyrest.part.metal.weight import Density, anything, density_odds
from steadyrest.tables.metal_tests import (
    TEST_NAMES,
    TestName,
    bench_tests,
    metal_kinds,
    outcome_odds,
    outcomes,
    weighing,
)

FloatArray = npt.NDArray[np.float64]
OTHER = "none of these"


def kind_names() -> tuple[str, ...]:
    """All kinds in the table's order, and at last "none of these"."""
    return (*(kind.kind for kind in metal_kinds()), OTHER)


def beforehand() -> FloatArray:
    """(k,) odds of each kind before anything was tried."""
    often = np.array([*(kind.how_often for kind in metal_kinds()), weighing("other_how_often")])
    return often / often.sum()


def test_odds(test: TestName) -> FloatArray:
    """(k, outcomes) how often each kind is found to give each outcome, misreadings counted."""
    told = outcome_odds(test)
    wrong = bench_tests()[test].misread
    alike = 1 / len(outcomes(test))
    rows = [*(told[kind.kind] for kind in metal_kinds()), (alike,) * len(outcomes(test))]
    return (1 - wrong) * np.array(rows) + wrong * alike


def weight_odds(value: float, u: float) -> FloatArray:
    """(k,) how likely each kind is to give a density.

    Args:
        value, u: measured, and one sigma, kg/m3.
    Returns: densities of probability, per kg/m3.
    """
    weigh = bench_tests()["weigh"]
    return np.array([*(density_odds(value, u, kind, weigh) for kind in metal_kinds()), anything(value)])


def suits(evidence: MetalEvidence, density: Density | None) -> dict[str, FloatArray]:
    """How well each kind suits each thing that was seen.

    Args:
        evidence: checked. density: what was weighed.
    Returns: by test ("weigh" for the density), (k,) likelihoods.
    """
    found: dict[str, FloatArray] = {}
    if density is not None:
        found["weigh"] = weight_odds(density.value, density.u)
    for test in TEST_NAMES:
        said = evidence.outcome(test)
        if said is not None:
            found[test] = test_odds(test)[:, outcomes(test).index(said)]
    return found


def after(odds: FloatArray, likelihoods: tuple[FloatArray, ...]) -> FloatArray:
    """Odds after what was seen (Bayes).

    Args:
        odds: (k,) before. likelihoods: (k,) of each thing seen, all positive.
    Returns: (k,) summing to 1.
    """
    weights = np.log(odds) + sum((np.log(likely) for likely in likelihoods), np.zeros(len(odds)))
    weights = np.exp(weights - weights.max())
    return weights / weights.sum()


def bits(odds: FloatArray) -> float:
    """What is not known, in bits (Shannon's entropy)."""
    some = odds[odds > 0]
    return float(-(some * np.log2(some)).sum())
