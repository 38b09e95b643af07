"""Which cut-outs are cut, which holes are drilled instead, and what is too narrow for the kerf or for its neighbour."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import STRtree, maximum_inscribed_circle
from shapely.geometry import Polygon

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Feature, Outline, Part
from steadyrest.stations import sizes
from steadyrest.stations.plate.edges import too_coarse
from steadyrest.stations.plate.setting import Setting
from steadyrest.stock.sheet_outlines import ring_of
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Openings:
    """What becomes of every outline of a part.

    cut: outlines that are cut, by their place in Flat. drilled: bores that are not cut, each with why.
    small: of those, bores that are cut too small first, and finished by what drills or bores them.
    refused: features (none: an outline without a name) and why. notes: what else is to be known.
    """

    cut: tuple[int, ...]
    drilled: tuple[tuple[str, Reason], ...]
    small: tuple[str, ...]
    refused: tuple[tuple[tuple[str, ...], Reason], ...]
    notes: tuple[Reason, ...]


def openings(part: Part, setting: Setting, repeat_mm: float) -> Openings:
    """Sort every outline of the part.

    Args:
        part: flat, with its thickness.
        setting: way, kerf, thickness.
        repeat_mm: of the machine.
    Returns: what is cut, drilled, refused.
    """
    assert part.flat is not None
    t = setting.thickness_mm
    smallest = max(setting.figure("least_hole_mm"), setting.figure("hole_ratio") * t)
    features = {feature.id: feature for feature in part.features}
    cut: list[int] = []
    drilled: list[tuple[str, Reason]] = []
    small: list[str] = []
    refused: list[tuple[tuple[str, ...], Reason]] = []
    notes: list[Reason] = []
    for k, outline in enumerate(part.flat.outlines):
        named = [features[name] for name in outline.features if name in features]
        bore = next((one for one in named if one.kind == "bore"), None) if outline.inside else None
        wide = opening_mm(outline) if outline.inside else 0.0
        names = tuple(one.id for one in named)
        if bore is not None and wide < smallest:
            why = because("plate.hole_small", has_mm=round(wide, 3), least_mm=smallest, ratio=round(wide / t, 2),
                          least_ratio=setting.figure("hole_ratio"))  # fmt: skip
            drilled.append((bore.id, why))
            continue
        if outline.inside and bore is None and wide < smallest:
            refused.append((names, because("plate.narrow", has_mm=wide, least_mm=smallest, way=setting.way)))
            continue
        coarse = too_coarse(bore, setting, repeat_mm) if bore is not None else None
        if bore is not None and coarse is not None:
            drilled.append((bore.id, coarse))
            left = wide - 2.0 * setting.figure("allowance_mm")
            if left >= smallest:
                small.append(bore.id)
                notes.append(because("plate.cut_small", feature=bore.id, diameter_mm=left))
                cut.append(k)
            continue
        if outline.inside and (sharp := _sharp(named, setting)) is not None:
            notes.append(sharp)
        for one in named:
            if one is not bore and (edge := too_coarse(one, setting, repeat_mm)) is not None:
                refused.append(((one.id,), edge))
                notes.append(because("plate.edge_stock", feature=one.id, stock_mm=rule("plate_edge_stock_mm")))
        cut.append(k)
    kept, webbed = _webs(part, cut, setting, features)
    for names, bored, why in webbed:
        if bored is not None:
            drilled.append((bored, why))
        else:
            refused.append((names, why))
    return Openings(tuple(kept), tuple(drilled), tuple(small), tuple(refused), tuple(dict.fromkeys(notes)))


def opening_mm(outline: Outline) -> float:
    """The largest circle that goes into a cut-out, its diameter."""
    shape = Polygon(ring_of(outline.edges))
    if not shape.is_valid:
        shape = shape.buffer(0)
    if shape.is_empty:
        return 0.0
    first = outline.edges[0]
    if len(outline.edges) <= 2 and all(edge.centre is not None for edge in outline.edges) and first.centre is not None:
        return 2.0 * ((first.start[0] - first.centre[0]) ** 2 + (first.start[1] - first.centre[1]) ** 2) ** 0.5
    return 2.0 * float(maximum_inscribed_circle(shape, tolerance=0.05).length)


def _sharp(named: list[Feature], setting: Setting) -> Reason | None:
    """An inside corner rounder than half the kerf stays as round as that."""
    radii = [sizes.value_mm(one, "radius_mm") for one in named if one.kind == "fillet"]
    sharpest = min((radius for radius in radii if radius is not None), default=None)
    if sharpest is None or sharpest >= setting.kerf_mm / 2.0:
        return None
    return because("plate.corner_stays", has_mm=sharpest, radius_mm=setting.kerf_mm / 2.0)


def web_mm(setting: Setting) -> float:
    """The narrowest web that is left between two cuts."""
    return max(setting.figure("least_web_mm"), setting.figure("web_ratio") * setting.thickness_mm)


def _webs(
    part: Part, cut: list[int], setting: Setting, features: dict[str, Feature]
) -> tuple[list[int], list[tuple[tuple[str, ...], str | None, Reason]]]:
    """What is left to cut after cut-outs that stand too near another line, the smallest first, are left out."""
    assert part.flat is not None
    outlines = part.flat.outlines
    shapes = {k: Polygon(ring_of(outlines[k].edges)) for k in cut}
    web = web_mm(setting)
    kept = list(cut)
    out: list[tuple[tuple[str, ...], str | None, Reason]] = []
    for k in sorted((k for k in cut if outlines[k].inside), key=lambda k: shapes[k].area):
        others = [j for j in kept if j != k and outlines[j].body == outlines[k].body]
        lines = [shapes[j].exterior for j in others]
        near = STRtree(lines).query(shapes[k].exterior, predicate="dwithin", distance=web - 1e-6) if lines else ()
        if not len(near):
            continue
        has = min(lines[i].distance(shapes[k].exterior) for i in near)
        names = outlines[k].features
        bore = next((name for name in names if name in features and features[name].kind == "bore"), None)
        why = because("plate.web", has_mm=round(has, 2), least_mm=web)
        out.append((names, bore, why))
        kept.remove(k)
    return kept, out
