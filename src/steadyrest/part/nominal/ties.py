"""Sizes of different features that one bolt or one shaft ties to each other.

A drill for a thread stands beside the holes that the same bolt goes through; a lip seal's bore and a bearing's bore on
one axis are there for one shaft, and so are the journals of that axis: a worn one belongs to the bearing that its
sound twin, or the bore beside it, speaks for. Each of them alone may be for several bolts or shafts. Here the part's
bolt, and the shaft of each axis, is one unknown more: given it, what stands for it is likelier and what stands for
another is rarer, in the share in which parts keep to one. The sum over it is exact, with each size's own odds as they
were before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from steadyrest.part.nominal.belonging import usual_bearings
from steadyrest.part.nominal.choice import Choices, Fit
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.judged import Judged
from steadyrest.part.nominal.unknowns import Unknown
from steadyrest.shop.part import Feature, Part
from steadyrest.tables import clearance, seals, threads

SAME_MM = 1e-6
ALIKE_MM = 0.15  # holes of one size are one decision, wherever they stand
TWINS_MM = 0.04  # and so are journals that measure alike; one that wear set apart is no witness for itself
SURE_OF_IT = 0.5  # odds of a bolt or shaft from which it is worth a word
OTHERS_TOO = 1.5  # times as often as it is usual: less, and the others say nothing of it
ALONG, BESIDE_MM = 0.999, 0.5  # of axes that are one

# What a candidate stands for, with the odds of each: bolts by name, shafts by size.
Keys = Callable[[Fit], Mapping[str, float]]


@dataclass(frozen=True, slots=True)
class Tie:
    """One bolt or one shaft that several holes or journals may be there for.

    kind: "bolt" or "shaft". groups: indices of the sizes, those made alike together. keys: what a candidate stands
    for. usual: how often each bolt or shaft is met. share: how often parts keep to one.
    """

    kind: str
    groups: tuple[tuple[int, ...], ...]
    keys: Keys
    usual: Mapping[str, float]
    share: float


def tied(judged: Judged, part: Part) -> Judged:
    """What was weighed, with the odds of holes that one bolt or one shaft ties to each other.

    Args:
        judged: each size judged. part: as scanned, for what lies on one axis.
    Returns: the same with other odds of such holes, and what they are there for in `ties`.
    """
    odds = list(judged.posterior.odds)
    said: dict[int, tuple[str, str]] = {}
    for tie in ties_of(judged, part):
        for k, found, known in together(tie, judged.choices, odds):
            odds[k] = found
            if known:
                said[k] = (tie.kind, known)
    posterior = replace(judged.posterior, odds=tuple(odds))
    return replace(judged, posterior=posterior, ties=tuple((k, *known) for k, known in sorted(said.items())))


def ties_of(judged: Judged, part: Part) -> Iterator[Tie]:
    """The bolt of the part, and the shaft of each axis, where at least two sizes of their own may tell of it."""
    standard = habits().standard
    rows = judged.rows
    holes = [k for k, row in enumerate(rows) if row.role in ("diameter", "thread") and row.kind in ("bore", "thread")]
    bolts = groups_of(rows, [k for k in holes if stands_for(judged.choices[k], bolts_of)])
    if len(bolts) > 1:
        yield Tie("bolt", bolts, bolts_of, usual_bolts(), standard["one_bolt"])
    round_ones = [k for k, row in enumerate(rows) if row.role == "diameter" and row.kind in ("bore", "shaft")]
    seats = [k for k in round_ones if stands_for(judged.choices[k], shafts_of)]
    for line in on_one_axis(seats, rows, part):
        bored, journals = ([k for k in line if rows[k].kind == kind] for kind in ("bore", "shaft"))
        groups = (*groups_of(rows, bored), *groups_of(rows, journals, TWINS_MM))
        if len(groups) > 1:
            yield Tie("shaft", groups, shafts_of, usual_shafts(), standard["one_shaft"])


def stands_for(choices: Choices, keys: Keys) -> bool:
    """Whether any candidate stands for a bolt or a shaft."""
    return any(keys(fit) for fit in choices.fits)


def groups_of(
    rows: Sequence[Unknown], these: Sequence[int], alike_mm: float = ALIKE_MM
) -> tuple[tuple[int, ...], ...]:  # fmt: skip
    """Holes or journals in order of size, those seen alike together."""
    groups: list[list[int]] = []
    for k in sorted(these, key=lambda k: (rows[k].observed_mm, k)):
        if groups and rows[k].observed_mm - rows[groups[-1][-1]].observed_mm < alike_mm:
            groups[-1].append(k)
        else:
            groups.append([k])
    return tuple(tuple(group) for group in groups)


def on_one_axis(holes: Sequence[int], rows: Sequence[Unknown], part: Part) -> list[list[int]]:
    """Holes parted by the line that they lie on."""
    lines: list[tuple[Feature, list[int]]] = []
    for k in holes:
        own = part.feature(rows[k].feature)
        home = next((line for first, line in lines if coaxial(first, own)), None)
        if home is None:
            lines.append((own, [k]))
        else:
            home.append(k)
    return [line for _, line in lines]


def coaxial(a: Feature, b: Feature) -> bool:
    """Whether two round features lie on one line."""
    axis, other = np.array(a.axis), np.array(b.axis)
    off = np.array(b.at_mm) - np.array(a.at_mm)
    return abs(float(axis @ other)) > ALONG and float(np.linalg.norm(off - axis * (off @ axis))) < BESIDE_MM


def together(tie: Tie, choices: Sequence[Choices], odds: Sequence[FloatArray]) -> list[tuple[int, FloatArray, str]]:
    """Odds of each hole's candidates, all of them summed over the bolt or shaft.

    Args:
        tie: which holes. choices: of all sizes of the part. odds: of each, as they are without the tie.
    Returns: index of the hole, (c,) odds, and which bolt or shaft all of them speak for, "" where none is likely.
    """
    names = sorted(tie.usual)
    usual = np.array([tie.usual[name] for name in names])
    lifts = {k: lift(tie, choices[k], names, usual) for group in tie.groups for k in group}
    # Those of one size were one decision: the one that is surest of it speaks for all.
    speak = [max((odds[k] @ lifts[k] for k in group), key=lambda told: float(told.max())) for group in tie.groups]
    found: list[tuple[int, FloatArray, str]] = []
    for g, group in enumerate(tie.groups):
        others = usual * np.prod([told for h, told in enumerate(speak) if h != g], axis=0)
        every, others = others * speak[g], others / others.sum()
        best = int(np.argmax(every))
        told = every[best] >= SURE_OF_IT * every.sum() and others[best] >= OTHERS_TOO * usual[best]
        known = names[best] if told else ""
        for k in group:
            new = odds[k] * (lifts[k] @ others)
            found.append((k, new / new.sum(), known))
    return found


def lift(tie: Tie, choices: Choices, names: Sequence[str], usual: FloatArray) -> FloatArray:
    """(c, b) how much likelier each candidate is, given each bolt or shaft; 1 for what stands for none."""
    found = np.ones((len(choices.fits), len(names)))
    for c, fit in enumerate(choices.fits):
        stands = tie.keys(fit)
        if stands:
            share = np.array([stands.get(name, 0.0) for name in names])
            found[c] = (1 - tie.share) + tie.share * share / usual
    return found


def bolts_of(fit: Fit) -> Mapping[str, float]:
    """The bolt that a hole's candidate is there for: to go through, or to be tapped for."""
    if fit.source not in ("tap drill", "bolt hole", "thread major"):
        return {}
    name = bolt_name(fit.part)
    return {name: 1.0} if name in usual_bolts() else {}


def bolt_name(part: str) -> str:
    """The bolt of a thread's or a hole's name: "M8" of "M8x1", "1/4" of "1/4-20" and "1/4 in"."""
    return part.split("x")[0].split("-")[0].removesuffix(" in")


@cache
def usual_bolts() -> Mapping[str, float]:
    """Bolts that both a thread and a clearance hole are known for, each as often met."""
    tapped = {bolt_name(t.name) for t in (*threads.metric_threads(), *threads.unified_threads())}
    through = {bolt_name(hole.bolt) for system in ("mm", "in") for hole in clearance.clearance_holes("medium", system)}
    both = sorted(tapped & through)
    return {name: 1 / len(both) for name in both}


def shafts_of(fit: Fit) -> Mapping[str, float]:
    """The shafts that a seat may be there for: itself, those of a bore's bearings, or those of its lip seals."""
    if fit.source in ("bearing bore", "seal seat"):
        return {f"{fit.value_mm:g}": 1.0} if f"{fit.value_mm:g}" in usual_shafts() else {}
    if fit.source == "bearing outside":
        same = [b for b in usual_bearings(fit.unit) if abs(b.outside_mm - fit.value_mm) < SAME_MM]
        return shares([f"{b.bore_mm:g}" for b in same])
    if fit.source == "seal housing":
        return shares([f"{s.shaft_mm:g}" for s in seals.lip_seals_in(fit.value_mm, SAME_MM)])
    return {}


def shares(names: Sequence[str]) -> Mapping[str, float]:
    """Each name with its share."""
    return {name: names.count(name) / len(names) for name in names}


@cache
def usual_shafts() -> Mapping[str, float]:
    """Shafts of bearings and lip seals, as often as the tables have them."""
    return shares([
        *(f"{b.bore_mm:g}" for unit in ("mm", "in") for b in usual_bearings(unit)),
        *(f"{s.shaft_mm:g}" for s in seals.lip_seals()),
    ])  # fmt: skip


KEYS: Mapping[str, Keys] = {"bolt": bolts_of, "shaft": shafts_of}
