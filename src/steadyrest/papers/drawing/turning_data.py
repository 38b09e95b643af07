"""The shape of a part as plain numbers, for the picture that can be turned in the browser.

A turned part is its nominal profile, any other its box; what was cut out of it is laid over that as round and long
holes. Its own frame: the middle of the part, x along a turned part's axis or a box's longest edge, right-handed.
Whatever is drawn is drawn at its nominal size; what is not drawn is named.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot

import numpy as np
import numpy.typing as npt

from steadyrest.papers.drawing import ink, legend
from steadyrest.papers.drawing.besides import numeral_of
from steadyrest.papers.drawing.box_views import box_of
from steadyrest.papers.drawing.turning_cuts import ALONG, NOWHERE, Cut, Frame, box_cuts, opening_cuts, round_cuts, vec
from steadyrest.papers.drawing.worn_stretch import by_wear, step_of
from steadyrest.part.handover.nominal_profile import nominal_profile
from steadyrest.shop.part import Feature, Part, Profile, Vec3

Vector = npt.NDArray[np.float64]
SLANT = 0.55
SQUARE = 0.02
EDGES = ("chamfer", "fillet")


@dataclass(frozen=True, slots=True)
class Ring:
    """A stretch of the outside. radius: at both ends. mark: which of the marks it belongs to, or -1.

    worn: the step of its wear as in the flat picture, 1 to 5, or 0.
    """

    from_mm: float
    to_mm: float
    radius_from_mm: float
    radius_to_mm: float
    mark: int
    worn: int


@dataclass(frozen=True, slots=True)
class Mark:
    """A feature that can be pointed at. toward: where one stands to see it best. says: what it is, in words.

    worn: the step of its wear, or 0.
    """

    numeral: str
    says: str
    toward: Vec3
    worn: int


@dataclass(frozen=True, slots=True)
class Colours:
    """Of the picture: lines, faces, cut faces, and the steps of wear from the least to the deepest."""

    ink: str
    body: str
    cut: str
    worn: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Turning:
    """All that the picture needs.

    rings: the outside of a turned part, from end to end; empty for a box. box_mm: its edges, or zeros.
    cuts: what was taken out. marks: features drawn, the largest first. reach_mm: from the middle to the farthest point.
    undrawn: numerals of features that are in the list of sizes and not in the picture.
    """

    rings: tuple[Ring, ...]
    box_mm: Vec3
    cuts: tuple[Cut, ...]
    marks: tuple[Mark, ...]
    reach_mm: float
    light: Colours
    dark: Colours
    undrawn: tuple[str, ...]


def turning(part: Part, *, unit: str = "mm") -> Turning | None:
    """The shape of a part, or nothing where there is none to turn: a flat part, a part without a size.

    Args:
        part: as read and named.
        unit: "mm" or "in", the reader's, for what the marks say.
    Returns: plain numbers, mm.
    """
    if part.flat is not None or not part.features or min(part.size_mm) <= 0:
        return None
    if part.profile is not None and part.profile.outside:
        return turned(part, nominal_profile(part), unit)
    return boxed(part, unit)


def turned(part: Part, profile: Profile, unit: str) -> Turning:
    """A turned part: its nominal profile, and what was cut into it."""
    middle = (profile.outside[0].from_mm + profile.outside[-1].to_mm) / 2
    frame = turned_frame(part, profile, middle)
    cuts = tuple(round_cuts(part, profile, frame, middle))
    named = {s.feature for s in profile.outside} | {cut.feature for cut in cuts}
    listed = marked(part, named)
    places = {feature.id: k for k, feature in enumerate(listed)}
    rings = tuple(
        Ring(s.from_mm - middle, s.to_mm - middle, s.diameter_from_mm / 2, s.diameter_to_mm / 2,
             places.get(s.feature or "", NOWHERE), step)
        for stretch in profile.outside
        for s, step in by_wear(stretch, part)
    )  # fmt: skip
    reach = max(hypot(x, r) for ring in rings
                for x, r in ((ring.from_mm, ring.radius_from_mm), (ring.to_mm, ring.radius_to_mm)))  # fmt: skip
    marks = tuple(mark(part, feature, frame, unit, middle=middle) for feature in listed)
    return whole(part, rings, (0.0, 0.0, 0.0), numbered(cuts, places), marks, reach)


def boxed(part: Part, unit: str) -> Turning:
    """A part that is not turned: its box, and what was cut into it."""
    frame, box = box_frame(part)
    cuts = opening_cuts(part, tuple(box_cuts(part, frame, box)), box)
    listed = marked(part, {cut.feature for cut in cuts})
    places = {feature.id: k for k, feature in enumerate(listed)}
    marks = tuple(mark(part, feature, frame, unit) for feature in listed)
    reach = hypot(*box) / 2
    return whole(part, (), box, numbered(cuts, places), marks, reach)


def whole(
    part: Part, rings: tuple[Ring, ...], box: Vec3, cuts: tuple[Cut, ...], marks: tuple[Mark, ...], reach: float
) -> Turning:
    """The picture with its colours, and the numerals of what it leaves out."""
    drawn = {one.numeral for one in marks}
    rest = (numeral_of(f) for f in part.features if f.sizes and f.kind != "face")
    undrawn = tuple(numeral for numeral in rest if numeral not in drawn)
    return Turning(rings, box, cuts, marks, reach, colours(ink.LIGHT), colours(ink.DARK), undrawn)


def colours(palette: ink.Palette) -> Colours:
    """The flat picture's colours: both pictures say the same."""
    steps = range(1, len(ink.LIGHTNESS) + 1)
    return Colours(palette.ink, palette.body, palette.cut, tuple(palette.wear(step) for step in steps))


def marked(part: Part, named: set[str | None]) -> list[Feature]:
    """Features that are drawn and have a size, the most telling first."""
    found = [f for f in part.features if f.id in named and f.sizes]
    return sorted(found, key=lambda f: (f.kind in EDGES, step_of(part, f.id) == 0, -f.area_mm2, f.id))


def numbered(cuts: tuple[Cut, ...], places: dict[str, int]) -> tuple[Cut, ...]:
    """Cuts with the mark that each belongs to."""
    return tuple(replace(cut, mark=places.get(cut.feature or "", NOWHERE)) for cut in cuts)


def mark(part: Part, feature: Feature, frame: Frame, unit: str, *, middle: float = 0.0) -> Mark:
    """A feature as it is pointed at."""
    said = [legend.main_text(part, feature, unit), legend.rest_text(part, feature, unit).replace(" · ", ", ")]
    return Mark(
        numeral=numeral_of(feature),
        says=", ".join(text for text in said if text),
        toward=toward(feature, frame, middle),
        worn=step_of(part, feature.id),
    )


def toward(feature: Feature, frame: Frame, middle: float) -> Vec3:
    """Where one stands to see a feature: before it, a little to the side; beside a shaft."""
    axis = frame.way(feature.axis)
    if feature.kind in ("shaft", "groove", "thread", "cone", "hexagon", *EDGES) and not feature.inside:
        low, high = feature.along_mm or (middle, middle)
        return unit_of(np.array([SLANT if (low + high) / 2 > middle else -SLANT, 0.5, 1.0]))
    if feature.kind in ("bore", "thread", "cone"):
        # A hole's axis runs in from its mouth; one that goes through is seen from the side that it is nearer to.
        place = frame.place(feature.at_mm)
        sense = -1.0 if feature.through is False else 1.0 if float(place @ axis) >= 0 else -1.0
        axis = axis * sense
    aside = np.array([0.0, 1.0, 0.0]) if abs(axis[1]) < 0.7 else np.array([0.0, 0.0, 1.0])
    other = np.cross(axis, aside)
    return unit_of(axis + 0.35 * aside + SLANT * other)


def unit_of(v: Vector) -> Vec3:
    return vec(v / np.linalg.norm(v))


def turned_frame(part: Part, profile: Profile, middle: float) -> Frame:
    """x along the axis; z towards what was cut in from the side, so that it is seen at first."""
    x = np.array(profile.axis) / np.linalg.norm(profile.axis)
    beside = [np.array(f.axis) for f in part.features
              if f.kind in ("keyway", "flat", "bore", "slot") and abs(float(np.dot(f.axis, x))) < 0.5]  # fmt: skip
    z = next(iter(beside), np.eye(3)[int(np.argmin(np.abs(x)))])
    z = z - float(z @ x) * x
    z /= np.linalg.norm(z)
    # Lengths along a profile count from its first stretch.
    origin = np.array(profile.origin_mm) + (middle - profile.outside[0].from_mm) * x
    return Frame(np.array([x, np.cross(z, x), z]), origin)


def box_frame(part: Part) -> tuple[Frame, Vec3]:
    """The box's own directions, longest edge first, and its edges."""
    box = box_of(part)
    centre = [centre_along(part, d, low, size) for d, low, size in zip(box.directions, box.low, box.size, strict=True)]
    middle = np.array(centre) @ box.directions
    directions = box.directions.copy()
    if np.linalg.det(directions) < 0:
        directions[1] = -directions[1]
    x, y, z = (float(edge) for edge in box.size)
    return Frame(directions, middle), (x, y, z)


def centre_along(part: Part, way: Vector, low: float, size: float) -> float:
    """The box's middle in a direction: half way between its outermost faces, or half an edge from the only one."""
    faces = [(float(way @ np.array(f.axis)), float(way @ np.array(f.at_mm))) for f in part.features if f.kind == "face"]
    high = max((at for looks, at in faces if looks > ALONG), default=None)
    foot = min((at for looks, at in faces if looks < -ALONG), default=None)
    if high is not None and foot is not None:
        return (high + foot) / 2
    if high is not None:
        return high - size / 2
    return foot + size / 2 if foot is not None else low + size / 2
