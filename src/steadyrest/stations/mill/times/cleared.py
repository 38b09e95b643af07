"""The time of clearing an area: its rings or rows with their links, entries and ways back, pass after pass.

A closed area is entered down a ramp at every bottom, at each pass. Where it is small, the cutter goes down along its
outer ring instead, a little with every turn, and once round level at the end: whichever is sooner.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.stations.mill.times.motion import Drive
from steadyrest.stations.mill.times.rings import Area, Ring
from steadyrest.stations.mill.times.rows import Rows
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Spent:
    """cut_s: feeding. travel_s: links and entries in the air. passes: how many."""

    cut_s: float
    travel_s: float
    passes: int


def in_rings(
    drive: Drive,
    around: tuple[Ring, ...],
    area: Area,
    *,
    step_mm: float,
    feed_mm_min: float,
    passes: int,
    fall_mm: float,
    lift_mm: float,
    opening: float = 1.0,
) -> Spent:
    """A closed area in rings.

    Args:
        drive: what the axes do.
        around: the rings of one pass, outermost first.
        area: that they clear.
        step_mm: from ring to ring.
        feed_mm_min: of the cut.
        passes: one below the other. fall_mm: how deep each goes.
        lift_mm: from the lowest floor to what a link must clear.
        opening: share of the feed at which the innermost ways are opened.
    Returns: all passes.
    """
    regions, outermost, more = max(area.regions, 1), around[0], bool(around[1:])
    round_s = sum(drive.path_s(ring.length_mm, ring.pieces, feed_mm_min) for ring in around if ring.length_mm > 0)
    loops = regions + area.islands
    links = loops * sum(ring.pieces for ring in around) / max(outermost.pieces, 1e-9) - regions
    round_s += links * drive.piece_s(step_mm, feed_mm_min, drive.corner_speed())
    round_s += (1.0 / opening - 1.0) * innermost_mm(around) / feed_mm_min * 60.0
    # Where rings go round an island, the ways beside it end one before the other: a bottom, and an entry, more.
    bottoms = regions + (area.islands if more else 0)
    ramps_s = _ramps_s(drive, around, bottoms, step_mm=step_mm, feed_mm_min=feed_mm_min, passes=passes, fall_mm=fall_mm)
    if not area.islands:
        outer_s = drive.path_s(outermost.length_mm, outermost.pieces, feed_mm_min)
        ramps_s = min(ramps_s, _spiral_s(outermost, regions, outer_s, passes=passes, fall_mm=fall_mm))
    cut_s = passes * round_s + ramps_s
    clear_mm, across_mm = rule("approach_mm"), math.sqrt(area.area_mm2 / regions)
    hop_s = drive.across_s(across_mm)
    travel_s = regions * (2.0 * drive.upward_s(lift_mm + clear_mm) + hop_s)
    hops = passes * bottoms - regions  # from bottom to bottom, and back to the first for the next pass
    travel_s += hops * (2.0 * drive.upward_s(fall_mm + clear_mm) + hop_s)
    return Spent(cut_s, travel_s, passes)


def _ramps_s(
    drive: Drive,
    around: tuple[Ring, ...],
    bottoms: int,
    *,
    step_mm: float,
    feed_mm_min: float,
    passes: int,
    fall_mm: float,
) -> float:
    """Down a ramp at every bottom of every pass, to and fro along a piece of a ring."""
    leg_mm = max(sum(ring.length_mm for ring in around) / max(sum(ring.pieces for ring in around), 1.0), step_mm)
    ramp_mm = (fall_mm + rule("ramp_clear_mm")) / math.tan(math.radians(rule("ramp_deg")))
    legs = max(math.ceil(ramp_mm / leg_mm), 1)
    return passes * bottoms * legs * drive.piece_s(ramp_mm / legs, rule("ramp_feed_share") * feed_mm_min)


def _spiral_s(ring: Ring, regions: int, round_s: float, *, passes: int, fall_mm: float) -> float:
    """Down along the outer ring, no steeper than a ramp: what turning down takes more than the ring itself."""
    drop_mm = ring.length_mm / regions * math.tan(math.radians(rule("ramp_deg")))
    if drop_mm <= 0:
        return math.inf
    # A turn that goes down by a whole pass has cut that pass's ring as well; the last is gone round level besides.
    turns = passes * fall_mm / min(drop_mm, fall_mm) + rule("ramp_clear_mm") / drop_mm
    return (max(turns - passes, 0.0) + 1.0) * round_s


def innermost_mm(around: tuple[Ring, ...]) -> float:
    """Length of the rings that have none inside them: the ways that are opened at full width.

    Args:
        around: the rings, outermost first.
    Returns: mm.
    """
    after = [*(ring.pieces for ring in around[1:]), 0.0]
    return sum(
        ring.length_mm * (1.0 - min(inside / ring.pieces, 1.0))
        for ring, inside in zip(around, after, strict=True)
        if ring.pieces > 0
    )


def in_rows(drive: Drive, rows: Rows, *, regions: int, feed_mm_min: float, passes: int, lift_mm: float) -> Spent:
    """Open areas in rows, each entered from the air, each pass begun where the one before ended.

    Args:
        drive: what the axes do.
        rows: of one pass over one area.
        regions: such areas.
        feed_mm_min: of the cut.
        passes: one below the other.
        lift_mm: from the lowest floor to what a link must clear.
    Returns: all passes.
    """
    lift_s = drive.upward_s(lift_mm + rule("approach_mm"))
    travel_s = regions * (2.0 * lift_s + drive.across_s(rows.length_mm))
    return Spent(passes * regions * rows.time_s(drive, feed_mm_min), travel_s, passes)
