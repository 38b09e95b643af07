"""Roughing: a take cleared layer by layer, in rings where it is closed in, in rows where it is open to the side.

A closed area is opened at full width, so its passes are no deeper than a full slot bears; the cutter goes down a ramp
at every bottom. An open one is entered from the air, and may be cut deep and narrow instead: the soonest engagement is
taken.
"""

from __future__ import annotations

import math

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.stations.mill.lacking import Lack
from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.mill.taking import Layer, Take
from steadyrest.stations.mill.times.cleared import Spent, in_rings, in_rows
from steadyrest.stations.mill.times.cut import NOTHING, Cut, no_cut
from steadyrest.stations.mill.times.engagement import WORTH_MM, Engaged, clearing, engaged
from steadyrest.stations.mill.times.motion import Drive, drive_of
from steadyrest.stations.mill.times.rings import Area, rings, spread_of
from steadyrest.stations.mill.times.rows import rectangle, rows_over
from steadyrest.tables.practice import rule

SHARES = (0.7, 0.5, 0.35, 0.2, 0.1)  # of the cutter engaged, tried in an open area
OPEN_SHARE = 0.25  # of the boundary: from here on a cutter comes in from the side
NARROW = 1.2  # ways no wider than this many diameters are cut at full width


def rough(place: Place, take: Take) -> Cut:
    """Roughing of all that one tool takes in one set-up.

    Args:
        place: machine and metal.
        take: what it takes, layer by layer.
    Returns: the cut, or every reason against it.
    """
    tool = take.tool
    layers = [layer for layer in take.layers if layer.area_mm2 > 0 and layer.depth_mm > 0]
    if not layers:
        return NOTHING
    refused: list[Reason] = []
    if take.reach_mm > tool.reach_mm:
        number = float(tool.number)
        refused.append(because("mill.tool_short", tool=number, depth_mm=take.reach_mm, allowed_mm=tool.reach_mm))
    opened = [layer for layer in layers if take.rests or is_open(layer, tool.diameter_mm)]
    closed = [layer for layer in layers if layer not in opened]
    if closed and tool.kind == "face mill":
        refused.append(because("milling.face_closed", tool=float(tool.number)))
    tried = [_best(place, take, opened, SHARES), _best(place, take, closed, ())]
    refused.extend(reason for part in tried if not isinstance(part, tuple) for reason in part.refused)
    parts = [part for part in tried if isinstance(part, tuple)]
    if refused:
        short = take.reach_mm > tool.reach_mm and len(refused) == 1
        lacks = (Lack(tool.kind, tool.diameter_mm, tool.diameter_mm, take.reach_mm),) if short else ()
        return no_cut(*refused, lacks=lacks)
    cut_s = travel_s = 0.0
    figures: list[Figure] = []
    for run, spent in parts:
        cut_s += sum(one.cut_s for one in spent)
        travel_s += sum(one.travel_s for one in spent)
        if run is not None:
            figures.extend(_figures(run, sum(one.passes for one in spent)))
    off_s = sum(_all_s([one]) * rule("spread_rows") for _, spent in parts[:1] for one in spent)
    off_s += sum(
        _all_s([one]) * spread_of(area_of(layer), diameter_mm=tool.diameter_mm)
        for layer, one in zip(closed, parts[1][1], strict=True)
    )
    spread = off_s / (cut_s + travel_s) if cut_s + travel_s > 0 else rule("spread_rows")
    return Cut(((tool, cut_s, travel_s),), tuple(dict.fromkeys(figures)), (), spread)


def is_open(layer: Layer, diameter_mm: float) -> bool:
    """Whether a cutter comes to this layer from the side: enough of its boundary is air, and it is no slot.

    Args:
        layer: of a take.
        diameter_mm: of the cutter.
    Returns: true where it is.
    """
    slot = 0.0 < layer.narrowest_mm <= NARROW * diameter_mm and layer.open_share < 0.5
    return layer.open_share >= OPEN_SHARE and not slot


def _best(
    place: Place, take: Take, layers: list[Layer], shares: tuple[float, ...]
) -> tuple[Engaged | None, list[Spent]] | Cut:
    """The engagement that is through soonest (no shares: clearing a closed area); the refusal where none cuts."""
    if not layers:
        return None, []
    best: tuple[Engaged, list[Spent]] | None = None
    refused: list[Reason] = []
    drive = drive_of(place.limits)
    for run in [engaged(place, take.tool, share) for share in shares] or [clearing(place, take.tool)]:
        if isinstance(run, Reason):
            refused.append(run)
            continue
        if run.depth.value < WORTH_MM:
            number = float(take.tool.number)
            refused.extend((because("mill.no_depth", tool=number, depth_mm=run.depth.value), *run.depth.why))
            continue
        spent = [layer_spent(drive, take.tool, layer, run, closed=not shares) for layer in layers]
        if best is None or _all_s(spent) < _all_s(best[1]) - 1e-9:
            best = run, spent
    return best if best is not None else no_cut(*refused)


def _all_s(spent: list[Spent]) -> float:
    return sum(one.cut_s + one.travel_s for one in spent)


def layer_spent(drive: Drive, tool: Tool, layer: Layer, run: Engaged, *, closed: bool) -> Spent:
    """One layer, in as many passes as its depth asks for.

    Args:
        drive: what the axes do.
        tool: the cutter.
        layer: what is cleared.
        run: how it cuts.
        closed: in rings, down a ramp; else in rows, from the air.
    Returns: its time.
    """
    passes = max(math.ceil(layer.depth_mm / run.depth.value - 1e-9), 1)
    fall_mm, lift_mm, diameter = layer.depth_mm / passes, layer.top_mm + layer.depth_mm, tool.diameter_mm
    if closed:
        area = area_of(layer)
        around = rings(area, diameter_mm=diameter, step_mm=run.step_mm)
        return in_rings(
            drive, around, area, step_mm=run.step_mm, feed_mm_min=run.feed_mm_min, passes=passes, fall_mm=fall_mm,
            lift_mm=lift_mm, opening=run.opening,
        )  # fmt: skip
    regions = max(layer.regions, 1)
    length, width = rectangle(layer.area_mm2 / regions, around_mm(layer) / regions)
    over = rule("approach_mm")
    rows = rows_over(length, width, diameter_mm=diameter, step_mm=run.step_mm, over_mm=over, walled=layer.wall_mm > 0)
    return in_rows(drive, rows, regions=regions, feed_mm_min=run.feed_mm_min, passes=passes, lift_mm=lift_mm)


def around_mm(layer: Layer) -> float:
    """All of a layer's boundary, mm: as told, else from its wall and the share of it that is open."""
    if layer.around_mm > 0:
        return layer.around_mm
    return layer.wall_mm / (1.0 - layer.open_share) if layer.open_share < 0.99 else 0.0


def area_of(layer: Layer) -> Area:
    """A layer's figures as the rings need them."""
    regions = max(layer.regions, 1)
    around = around_mm(layer) or 4.0 * math.sqrt(layer.area_mm2 * regions)
    return Area(layer.area_mm2, around, regions, layer.islands, layer.corners, layer.outer, layer.narrowest_mm)


def _figures(run: Engaged, passes: int) -> tuple[Figure, ...]:
    count = Figure(float(passes), "", (because("milling.passes", passes=float(passes), step_mm=run.step_mm),))
    return run.depth, count, run.feed, run.rpm
