"""How many parts one clamping holds: side by side in a vise, in several vises, on the table, on a vacuum plate.

Jaws that close on several parts hold the thickest of them; so only few stand between hard jaws, and each gets its
share of the grip. Between parts whose sides are cut a cutter must pass.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import MillLimits
from steadyrest.stations.mill.set_ups.held import Hold
from steadyrest.tables.practice import rule

BODY_MM = 60.0  # what a vise's body stands out beside its jaws where the shop file does not tell


@dataclass(frozen=True, slots=True)
class Places:
    """Parts held in one clamping.

    count: of parts. holders: vises that they stand in (1 on a table or plate). force_n: what presses each.
    why: what they stand in, and what allows no more.
    """

    count: int
    holders: int
    force_n: float
    why: tuple[Reason, ...]


def places_of(hold: Hold, limits: MillLimits, *, between_mm: float, most: int) -> Places:
    """The most parts that one clamping holds.

    Args:
        hold: of one part.
        limits: of the mill.
        between_mm: room from part to part.
        most: parts that there are.
    Returns: at least one place.
    """
    if most <= 1 or not hold.long_mm:
        return Places(1, 1, hold.force_n, ())
    if hold.kind in ("vise", "soft jaws"):
        return _in_vises(hold, limits, between_mm=between_mm, most=most)
    if hold.kind == "vacuum plate" and limits.vacuum_mm is not None:
        return _on(hold, sorted(limits.vacuum_mm, reverse=True), between_mm, most, "mill.many_vacuum")
    if hold.kind == "clamps":
        room = [min(one, way) for one, way in zip(limits.table_mm, limits.travel_mm[:2], strict=True)]
        beside = max(between_mm, 2.0 * rule("clamp_edge_mm"))
        return _on(hold, sorted(room, reverse=True), beside, most, "mill.many_clamped")
    return Places(1, 1, hold.force_n, ())


def _in_vises(hold: Hold, limits: MillLimits, *, between_mm: float, most: int) -> Places:
    jaw_mm, long_mm = limits.vise_jaw_mm[0], hold.long_mm
    fit = max(int((jaw_mm + between_mm) / (long_mm + between_mm) + 1e-9), 1)
    alike = int(rule("jaw_alike_soft" if hold.kind == "soft jaws" else "jaw_alike_hard"))
    each = min(fit, alike, most)
    pitch_mm = limits.vise_pitch_mm or jaw_mm + BODY_MM
    held_mm = each * (long_mm + between_mm) - between_mm
    room_mm = min(limits.table_mm[0] - jaw_mm - BODY_MM, limits.travel_mm[0] - held_mm)
    vises = max(min(limits.vises, 1 + int(max(room_mm, 0.0) / pitch_mm), math.ceil(most / each)), 1)
    count = min(each * vises, most)
    if count == 1:
        return Places(1, 1, hold.force_n, ())
    limit = (
        because("mill.more_alike", allowed=float(alike), jaw_mm=jaw_mm)
        if alike < fit
        else because("mill.more_jaw", jaw_mm=jaw_mm, long_mm=long_mm, between_mm=between_mm)
    )
    told = because("mill.many_vise", count=float(count), between_mm=between_mm)
    if vises > 1:
        told = because(
            "mill.many_vises", count=float(count), vises=float(vises), each=float(each), between_mm=between_mm
        )
    why = [told]
    if count < most:
        why.append(limit)
        if vises < limits.vises:
            why.append(because("mill.more_table", vises=float(limits.vises), room_mm=room_mm, pitch_mm=pitch_mm))
    return Places(count, vises, hold.force_n / each, tuple(why))


def _on(hold: Hold, room_mm: list[float], between_mm: float, most: int, key: str) -> Places:
    """Side by side on a table or plate, each held for itself: a vacuum's force goes with each part's own area."""
    long_mm, wide_mm = max(hold.long_mm, hold.width_mm), min(hold.long_mm, hold.width_mm)
    along, across = (
        int((room + between_mm) / (one + between_mm) + 1e-9)
        for room, one in zip(room_mm, (long_mm, wide_mm), strict=True)
    )
    count = max(min(along * across, most), 1)
    if count == 1:
        return Places(1, 1, hold.force_n, ())
    why = Reason(key, (("count", float(count)), ("length_mm", room_mm[0]), ("width_mm", room_mm[1])))
    return Places(count, 1, hold.force_n, (why,))
