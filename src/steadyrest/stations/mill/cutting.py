"""What one set-up's work takes: facing, clearing, walls, floors, slopes, holes and edges, each timed or refused."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.shop.part import Feature, Part
from steadyrest.stations import sizes
from steadyrest.stations.mill import times
from steadyrest.stations.mill.drilling_holes import drilled, half_hole
from steadyrest.stations.mill.geometry import Worked
from steadyrest.stations.mill.lacking import Lack
from steadyrest.stations.mill.set_ups.needs import dot
from steadyrest.stations.mill.spindles import Place
from steadyrest.stations.mill.times import Cut
from steadyrest.stations.mill.times.cut import no_cut
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class NotCut:
    """Features that are not made: their ids, every reason, and the tools that would undo it (none: no tool does).

    nearest: another change that would.
    """

    features: tuple[str, ...]
    reasons: tuple[Reason, ...]
    lacks: tuple[Lack, ...] = ()
    nearest: Reason | None = None


@dataclass(slots=True)
class Work:
    """One set-up's cuts, filled piece by piece. tilted: ids of sloped faces laid level by tilting."""

    cuts: list[Cut] = field(default_factory=list[Cut])
    made: list[Feature] = field(default_factory=list[Feature])
    undone: list[NotCut] = field(default_factory=list[NotCut])
    places: int = 0
    tilted: list[str] = field(default_factory=list[str])

    def take(self, cut: Cut, features: Sequence[Feature], *, places: int = 1) -> bool:
        """Keep a cut with the features that it makes, or its refusal."""
        if cut.refused:
            if features:
                self.undone.append(NotCut(tuple(feature.id for feature in features), cut.refused, cut.lacks))
            return False
        if cut.tools:
            self.cuts.append(cut)
            self.places += places
        self.made.extend(features)
        return True


def work_of(place: Place, part: Part, set_up: Worked, *, ra_um: float, halves: Sequence[tuple[str, bool]] = ()) -> Work:
    """All that is cut in one set-up.

    Args:
        place: machine and metal, its grip that of this set-up's holding.
        part: with its features.
        set_up: which of them, and what each tool takes.
        ra_um: mean roughness wanted of sloped surfaces.
        halves: ids of holes drilled half way here, and whether this is the second half.
    Returns: the cuts and what they make; refusals beside them.
    """
    work = Work()
    names = {feature.id: feature for feature in part.features}
    fine = {name: why for name in (*set_up.cut, *set_up.drilled) if (why := _too_fine(place, names[name])) is not None}
    work.undone.extend(
        NotCut((name,), (why,), nearest=because("mill.nearest_ground", feature=name)) for name, why in fine.items()
    )
    _cleared(work, place, set_up, [names[name] for name in set_up.cut if name not in fine], ra_um=ra_um)
    half = {name for name, _ in halves}
    for feature, cut, both in drilled(
        place, part, [names[n] for n in set_up.drilled if n not in fine and n not in half]
    ):
        work.take(cut, both if both else (feature,))
    for name, last in halves:
        if name not in fine:
            work.take(half_hole(place, names[name]), (names[name],) if last else ())
    _edges(work, place, [names[name] for name in set_up.edges])
    return work


def _too_fine(place: Place, feature: Feature) -> Reason | None:
    return sizes.too_fine(feature, repeat_mm=place.limits.repeat_mm, machine=place.machine.name)


def _cleared(work: Work, place: Place, set_up: Worked, features: list[Feature], *, ra_um: float) -> None:
    """The skin faced off, the takes roughed, walls and floors finished, slopes in rows."""
    good = True
    reasons: list[Reason] = []
    lacks: list[Lack] = []
    exact = [feature for feature in features if sizes.limits_mm(feature) is not None]
    loose = [feature for feature in features if sizes.limits_mm(feature) is None]
    for side in set_up.sides:
        if side.faced_mm is not None:
            long, wide, deep = side.faced_mm
            faced = times.face(place, length_mm=long, width_mm=wide, depth_mm=deep)
            good &= work.take(faced, ())
            reasons.extend(faced.refused)
            lacks.extend(faced.lacks)
        for take in side.takes:
            rough = times.rough(place, take)
            good &= work.take(rough, ())
            reasons.extend(rough.refused)
            lacks.extend(rough.lacks)
    if not good:
        why = tuple(dict.fromkeys(reasons))
        work.undone.append(NotCut(tuple(feature.id for feature in features), why, tuple(dict.fromkeys(lacks))))
        return
    for side in set_up.sides:
        for take in side.takes:
            widths = [sizes.width_mm(feature) for feature in exact]
            tight = min(widths, default=rule("open_limits_mm"))
            walls = times.finish_walls(place, take, limits_mm=tight)
            if walls.refused and exact:
                work.undone.append(NotCut(tuple(feature.id for feature in exact), walls.refused, walls.lacks))
                exact = []
                walls = times.finish_walls(place, take, limits_mm=rule("open_limits_mm"))
            if walls.refused:
                reasons.extend(walls.refused)
            work.take(walls, ())
            work.take(times.finish_floors(place, take, limits_mm=rule("open_limits_mm")), ())
    sloped = [feature for feature in loose if _is_sloped(feature, set_up)]
    work.made.extend(feature for feature in (*exact, *loose) if feature not in sloped)
    for feature in sloped:
        rows = _slope(place, feature, ra_um=ra_um)
        flat = _laid_level(place, feature) if feature.id in set_up.tilted else None
        good = flat is not None and not flat.refused and (bool(rows.refused) or _run_s(flat) < _run_s(rows))
        if good:
            work.tilted.append(feature.id)
        work.take(flat if good and flat is not None else rows, (feature,))


def _is_sloped(feature: Feature, set_up: Worked) -> bool:
    """Whether a surface is neither level nor upright from any side that it is worked from."""
    ups = [side.up for side in set_up.sides]
    lean = [abs(dot(feature.axis, up)) for up in ups]
    if feature.kind == "fillet":
        return not any(one > rule("same_direction_cos") for one in lean)
    if feature.kind in ("free", "sphere"):
        return True
    level = any(one > rule("same_direction_cos") or one < 0.05 for one in lean)
    return (feature.kind == "cone" and not feature.inside) or (feature.kind == "face" and not level)


def _run_s(cut: Cut) -> float:
    return cut.cut_s + cut.travel_s


def _laid_level(place: Place, face: Feature) -> Cut:
    """A sloped face tilted until it lies level, and faced: its steps off, the last pass thin."""
    long = math.sqrt(face.area_mm2)
    cut = times.face(place, length_mm=long, width_mm=long, depth_mm=rule("thin_slab_mm"))
    tools = tuple((tool, cut_s, way_s + rule("turn_index_s")) for tool, cut_s, way_s in cut.tools)
    return replace(cut, tools=tools)


def _slope(place: Place, feature: Feature, *, ra_um: float) -> Cut:
    """Rows over a sloped surface with the largest round-ended tool that goes into its hollow."""
    radius = sizes.value_mm(feature, "radius_mm")
    most = radius if feature.inside and radius else math.inf
    round_ended = [t for t in place.machine.tools if t.kind == "ball mill" and t.diameter_mm / 2.0 <= most + 0.01]
    if not round_ended:
        name = place.machine.name
        if most < math.inf:
            why = because("mill.no_ball_small", machine=name, feature=feature.id, diameter_mm=2.0 * most)
            return no_cut(why, lacks=(Lack("ball mill", 2.0 * most),))
        return no_cut(because("mill.no_tool", machine=name, kind="ball mill"), lacks=(Lack("ball mill"),))
    tool = max(round_ended, key=lambda t: (t.diameter_mm, -t.number))
    rise = radius if radius and feature.kind == "fillet" else math.sqrt(feature.area_mm2)
    return times.finish_sloped(place, tool=tool, area_mm2=feature.area_mm2, height_mm=rise, ra_um=ra_um)


def _edges(work: Work, place: Place, features: Iterable[Feature]) -> None:
    """Chamfers along edges, and countersinks, by their width."""
    for feature in features:
        if feature.kind == "cone":
            wide = sizes.value_mm(feature, "depth_mm") or 0.0
            long = math.pi * (sizes.value_mm(feature, "diameter_mm") or 0.0)
        elif feature.kind == "chamfer":
            wide = sizes.value_mm(feature, "width_mm") or 0.0
            long = feature.area_mm2 / (wide * math.sqrt(2.0)) if wide > 0 else 0.0
        else:
            work.undone.append(
                NotCut((feature.id,), (because("mill.not_milled", feature=feature.id, kind=sizes.called(feature)),))
            )
            continue
        work.take(times.chamfer(place, edge_mm=long, width_mm=wide), (feature,))


def tools_of(cut: Cut) -> tuple[Tool, ...]:
    """The tools of a cut, each once, in their order."""
    return tuple(tool for tool, _, _ in cut.tools)


def held_place(place: Place, force_n: float) -> Place:
    """The place with the grip of another holding: what the passes may push against."""
    return replace(place, limits=replace(place.limits, vise_grip_n=force_n))
