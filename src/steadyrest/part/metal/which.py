"""Which metal it is: odds over kinds, the narrowest honest name, alloys within it, and what to try next. Start here."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain

import numpy as np
import numpy.typing as npt

from steadyrest.part.metal.evidence import MetalAnswer, MetalEvidence, Named, checked
from steadyrest.part.metal.next_test import held_back, next_test
from steadyrest.part.metal.odds import OTHER, after, beforehand, kind_names, suits
from steadyrest.part.metal.weight import Density, density_of
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Material
from steadyrest.shop.part import LIKELY, SURE
from steadyrest.tables.metal_tests import metal_groups, metal_kinds

FloatArray = npt.NDArray[np.float64]

ODD = 0.2  # odds of "none of these" from which it is said
ALLOY_SPREAD = 0.004  # how far an alloy's density lies off its row, one sigma
SHOWN = 6  # alloys named in a sentence


def which_metal(evidence: MetalEvidence, materials: Iterable[Material]) -> MetalAnswer:
    """Which metal a piece is of.

    Args:
        evidence: what was weighed and tried; all of it may be missing.
        materials: those of the shop, for the alloys within a kind.
    Returns: odds of every kind, the narrowest name that is sure and that is likely, alloys, the next test.
    Raises: BadInput: a weight, volume or outcome that cannot be. KeyError: a material that belongs to no kind.
    """
    evidence = checked(evidence)
    density = density_of(evidence)
    seen = suits(evidence, density)
    odds = after(beforehand(), tuple(seen.values()))
    sure, likely = narrowest(odds, SURE), narrowest(odds, LIKELY)
    if sure and likely and len(likely.kinds) >= len(sure.kinds):
        likely = None
    alloys = alloy_odds(odds, tuple(materials), density)
    best = next_test(odds, evidence, density)
    said = _said(sure, likely, odds, alloys)
    ends = () if best else (because("metal.no_more_tests"),)
    told = tuple(_alone(test, likelihood, evidence, density) for test, likelihood in seen.items())
    return MetalAnswer(
        sure=sure,
        likely=likely,
        kinds=_kinds(odds, told),
        materials=alloys,
        density_kg_m3=density.figure if density else None,
        next_test=best,
        withheld=held_back(odds) if evidence.spark is None else (),
        why=(*said, *chain.from_iterable((density.why if density else (), told)), *ends),
    )


def narrowest(odds: FloatArray, least: float) -> Named | None:
    """The name of fewest kinds that together reach some odds.

    Args:
        odds: (k,) of the kinds. least: odds to reach.
    Returns: a kind or a group; None if no name reaches them. "None of these" is no name.
    """
    names = kind_names()
    each = dict(zip(names, (float(o) for o in odds), strict=True))
    single = [(1, -each[name], name, (name,)) for name in names if name != OTHER]
    several = [(len(g.kinds), -sum(each[k] for k in g.kinds), g.group, g.kinds) for g in metal_groups()]
    for _, odds_below, name, kinds in sorted((*single, *several), key=lambda one: (one[0], one[1], one[2])):
        if -odds_below >= least:
            return Named(name, kinds, Figure(-odds_below, "1", (because("metal.named", name=name),)))
    return None


def alloy_odds(
    odds: FloatArray, materials: tuple[Material, ...], density: Density | None
) -> tuple[tuple[str, float], ...]:
    """Odds of each material: its kind's, shared out by density alone.

    Args:
        odds: (k,) of the kinds. materials: the shop's. density: what was weighed.
    Returns: id and odds, likeliest first.
    Raises: KeyError: a material that belongs to no kind.
    """
    kind_of = {material: kind.kind for kind in metal_kinds() for material in kind.materials}
    each = dict(zip(kind_names(), (float(o) for o in odds), strict=True))
    shares: dict[str, dict[str, float]] = {}
    for metal in materials:
        share = 1.0
        if density is not None:
            u = float(np.hypot(density.u, ALLOY_SPREAD * metal.density_kg_m3))
            share = float(np.exp(-0.5 * ((density.value - metal.density_kg_m3) / u) ** 2)) + 1e-3
        shares.setdefault(kind_of[metal.id], {})[metal.id] = share
    out = [
        (material, each[kind] * share / sum(within.values()))
        for kind, within in shares.items()
        for material, share in within.items()
    ]
    return tuple(sorted(out, key=lambda one: (-one[1], one[0])))


def _kinds(odds: FloatArray, told: tuple[Reason, ...]) -> tuple[Named, ...]:
    """Every kind with its odds, likeliest first; equal ones in the table's order."""
    why = told or (because("metal.nothing_tried"),)
    names = kind_names()
    return tuple(
        Named(names[k], (names[k],), Figure(float(odds[k]), "1", why)) for k in np.argsort(-odds, kind="stable")
    )


def _said(
    sure: Named | None, likely: Named | None, odds: FloatArray, alloys: tuple[tuple[str, float], ...]
) -> tuple[Reason, ...]:
    """The answer in words: what is sure, what is likely, what cannot be told."""
    out: list[Reason] = []
    if sure:
        out.append(because("metal.sure", name=sure.name, sure_odds=sure.odds.value))
    if likely:
        out.append(because("metal.likely", name=likely.name, likely_odds=likely.odds.value))
    if not sure and not likely:
        first, second = (kind_names()[k] for k in np.argsort(-odds, kind="stable")[:2])
        out.append(because("metal.cannot_tell", first=first, second=second))
    if odds[-1] > ODD:
        out.append(because("metal.none_of_these", other_odds=float(odds[-1])))
    narrow = likely or sure
    if narrow:
        kinds = {kind.kind: kind.materials for kind in metal_kinds()}
        within = {material for kind in narrow.kinds for material in kinds[kind]}
        some = [material for material, _ in alloys if material in within][:SHOWN]
        if some:
            out.append(because("metal.which_alloy", name=narrow.name, alloys=", ".join(some)))
    return tuple(out)


def _alone(test: str, likelihood: FloatArray, evidence: MetalEvidence, density: Density | None) -> Reason:
    """What one thing that was seen says by itself."""
    odds = after(beforehand(), (likelihood,))
    named = narrowest(odds, SURE) or narrowest(odds, LIKELY)
    outcome = {
        "magnet": evidence.magnet, "file": evidence.file, "colour": evidence.colour, "spark": evidence.spark,
        "weigh": f"{density.value / 1000:.3g} kg/dm³" if density else None,
    }[test]  # fmt: skip
    if named is None:
        return because("metal.alone_little", test=test, outcome=str(outcome))
    return because("metal.alone", test=test, outcome=str(outcome), name=named.name)
