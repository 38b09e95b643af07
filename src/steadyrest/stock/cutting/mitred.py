"""Parts with mitred ends on a bar: neighbours whose ends lie alike share one cut, and no wedge is lost between them.

An end is a slope: how far its cut runs along the bar from the one side to the other, to a mm of depth. Where the
section allows it a part may be turned end for end, which keeps each slope and changes its end, or laid on its other
side, which changes each slope's sign. Places on the bar are those of the middle line.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal

from steadyrest.stock.cutting.wanted import BarPart, CutWanted, Turns

FINE = Decimal("0.001")
LEVEL = 1e-9


@dataclass(frozen=True, slots=True)
class Lying:
    """A part as it lies on the bar. left, right: slopes. from_mm, to_mm: its middle line. shares: its left end was cut
    with the part before it, by one cut."""

    part: BarPart
    left: float
    right: float
    from_mm: float
    to_mm: float
    shares: bool


def slope(deg: float) -> float:
    """How far a cut runs along the bar, to a mm across it."""
    return math.tan(math.radians(deg))


def middle_mm(part: BarPart, deep_mm: float) -> float:
    """A part's length along its middle line.

    Args:
        part: its length is over the longest points. deep_mm: of the section.
    Returns: mm.
    """
    return float(part.length_mm) - deep_mm / 2 * sum(abs(slope(deg)) for deg in part.ends_deg)


def ways(part: BarPart, turns: Turns) -> tuple[tuple[float, float], ...]:
    """How a part may lie: the slopes of its left and its right end.

    Args:
        part: the part. turns: what its section allows.
    Returns: each way once.
    """
    # Both angles of one sign: the long points on one side, so that the ends lean towards each other.
    a, b = slope(part.ends_deg[0]), -slope(part.ends_deg[1])
    found = [(a, b)]
    found += [(b, a)] if turns != "none" else []
    found += [(-a, -b), (-b, -a)] if turns == "both" else []
    return tuple(dict.fromkeys(found))


def laid(wanted: CutWanted, parts: Sequence[BarPart], deep_mm: float, turns: Turns) -> tuple[Lying, ...]:
    """Parts one after the other, next to each the one whose end lies most alike.

    Args:
        wanted: kerf and trim. parts: of one bar. deep_mm, turns: of the section.
    Returns: as they lie; the shortest of the chains from every first part.
    """
    # By shape, not as given: equal parts may have changed places, and must lie as they did.
    parts = sorted(parts, key=lambda part: (-part.length_mm, part.ends_deg, part.due))
    best: tuple[Lying, ...] = ()
    for first in {(part.length_mm, part.ends_deg): part for part in parts}.values():
        for way in ways(first, turns):
            chain = _chain(wanted, parts, first, way, deep_mm, turns)
            if not best or ends_at(wanted, chain, deep_mm) < ends_at(wanted, best, deep_mm) - LEVEL:
                best = chain
    return best


def _chain(
    wanted: CutWanted, parts: Sequence[BarPart], first: BarPart, way: tuple[float, float], deep_mm: float, turns: Turns
) -> tuple[Lying, ...]:
    waiting = list(parts)
    waiting.remove(first)
    at = float(wanted.trim_mm) + deep_mm / 2 * abs(way[0])
    chain = [Lying(first, *way, at, at + middle_mm(first, deep_mm), shares=False)]
    while waiting:
        last = chain[-1]
        tried = [(between_mm(wanted, last.right, way[0], deep_mm), k, way) for k, part in enumerate(waiting)
                 for way in ways(part, turns)]  # fmt: skip
        gap, k, way = min(tried, key=lambda one: (one[0], one[1]))
        part, at = waiting.pop(k), last.to_mm + gap
        same = abs(way[0] - last.right) <= LEVEL
        chain.append(Lying(part, *way, at, at + middle_mm(part, deep_mm), shares=same))
    return tuple(chain)


def kerf_along(wanted: CutWanted, end: float) -> float:
    """What a cut of this slope takes along the bar."""
    return float(wanted.kerf_mm) * math.hypot(1.0, end)


def between_mm(wanted: CutWanted, right: float, left: float, deep_mm: float) -> float:
    """From one part's end to the next one's, along the middle line.

    Args:
        wanted: the kerf. right, left: slopes of the one's right end and the next one's left. deep_mm: of the section.
    Returns: mm.
    """
    kerf = max(kerf_along(wanted, right), kerf_along(wanted, left))
    return kerf + deep_mm / 2 * abs(right - left)


def ends_at(wanted: CutWanted, chain: Sequence[Lying], deep_mm: float) -> float:
    """Where the last cut ends, at its far side: what is beyond it is the rest, squared off.

    Args:
        wanted: the kerf. chain: parts as they lie. deep_mm: of the section.
    Returns: mm from the bar's end.
    """
    last = chain[-1]
    return last.to_mm + kerf_along(wanted, last.right) + deep_mm / 2 * abs(last.right)


def squared(wanted: CutWanted, deep_mm: float) -> tuple[CutWanted, ...]:
    """The same list with square parts, so that its bars may be laid with their mitres.

    Args:
        wanted: with mitred parts. deep_mm: of the section.
    Returns: some lists, the last of which surely can be cut: each part as long as it is over its points, and its widest
        kerf. What costs least at all is reckoned in ends.py.
    """

    def each(length: Callable[[BarPart], float], wedge_mm: float) -> CutWanted:
        parts = tuple(
            replace(part, ends_deg=(0.0, 0.0), length_mm=Decimal(repr(length(part))).quantize(FINE, ROUND_CEILING))
            for part in wanted.parts
        )
        wedge = Decimal(repr(wedge_mm)).quantize(FINE, ROUND_CEILING)
        pieces = tuple(replace(one, length_mm=max(one.length_mm - wedge, FINE)) for one in wanted.pieces)
        keep = max(wanted.rest_keep_mm - wedge, Decimal(0))
        return replace(wanted, parts=parts, pieces=pieces, rest_keep_mm=keep)

    def steepest(part: BarPart) -> float:
        return max(abs(slope(deg)) for deg in part.ends_deg)

    def kerfs(part: BarPart) -> float:
        along = sum(kerf_along(wanted, slope(deg)) for deg in part.ends_deg) / 2
        return middle_mm(part, deep_mm) + along - float(wanted.kerf_mm)

    def whole(part: BarPart) -> float:
        return float(part.length_mm) + kerf_along(wanted, steepest(part)) - float(wanted.kerf_mm)

    wedge = deep_mm * max(map(steepest, wanted.parts))
    return each(kerfs, 0.0), each(kerfs, wedge), each(kerfs, 2 * wedge), each(whole, 0.0)
