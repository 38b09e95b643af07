"""One thing to be made, as read: features, nominals, doubts. All lengths in mm, in the part's own turned-true frame.

A file is read into a Part by part/. Nothing here computes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.solid_grid import Frame, SolidGrid

Vec2 = tuple[float, float]
Vec3 = tuple[float, float, float]
Trust = Literal["sure", "likely", "ask"]
PartKind = Literal["scan", "solid", "flat"]
FeatureKind = Literal[
    "face", "shaft", "bore", "cone", "sphere", "fillet", "chamfer", "slot", "keyway", "groove", "thread", "pocket",
    "boss", "hexagon", "flat", "free",
]  # fmt: skip

SURE = 0.95
LIKELY = 0.6


def trust(odds: float) -> Trust:
    """How far a recovered value may be trusted: sure from 0.95, likely from 0.6, else ask."""
    return "sure" if odds >= SURE else "likely" if odds >= LIKELY else "ask"


@dataclass(frozen=True, slots=True)
class Limits:
    """The smallest and largest size allowed, and why."""

    low_mm: float
    high_mm: float
    why: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Nominal:
    """The size that the drawing would have shown.

    value: in the unit that its size's name ends with, unrounded.
    shown: as a person writes it, such as "1-7/16 in".
    odds: chance that this is the drawing's size, 0 to 1.
    source: "metric preferred", "inch fraction", "bearing bore", "stock size", "as measured", ...
    rivals: the next best candidates as (shown, odds).
    """

    value: float
    shown: str
    odds: float
    source: str
    limits: Limits | None
    why: tuple[Reason, ...]
    rivals: tuple[tuple[str, float], ...] = ()

    @property
    def state(self) -> Trust:
        return "ask" if self.source == "as measured" and self.odds < LIKELY else trust(self.odds)


@dataclass(frozen=True, slots=True)
class Size:
    """One measure of a feature.

    name: the contract's key: "diameter_mm", "width_mm", "depth_mm", "length_mm", "radius_mm", "angle_deg".
    estimate: best estimate of the size before wear, unrounded, in the unit the name ends with.
    measured: the plain fit.
    uncertainty: one sigma of the estimate, noise, arc and correlation included.
    reading: what a hand gauge said, and its sigma; None where nobody measured.
    scanned: estimate and sigma before the film and scale of the whole scan were taken out; None if nothing was.
    below: the size and its sigma if what seems unworn was built up smoothly, and the rest is not worn; None else.
    """

    name: str
    estimate: float
    measured: float
    uncertainty: float
    nominal: Nominal | None = None
    reading: tuple[float, float] | None = None
    scanned: tuple[float, float] | None = None
    below: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Feature:
    """What a machinist would name.

    sizes: the principal one first (a shaft's diameter, a keyway's width), then the others (length, depth).
    axis: unit vector of the feature's axis, or a plane's outward normal.
    at_mm: a point on the axis at the middle of the feature, in the file's own frame.
    along_mm: from and to along the part's axis for a turned feature, measured from the part's first end face.
    wear_mm: radial wear, 95th percentile; 0 where none was found; None where it cannot be judged (no scan).
    wear_along_mm: from and to of the worn stretch along the axis, when worn. worn_share: of its surface; 0 where none
        was found, or nobody said.
    seen: share of the surface that the scanner really saw, 0 to 1; 1 for a solid.
    reached_from: directions out of the part from which a tool reaches it; none for what is turned or asks for nothing.
    on: id of the feature that carries this one (a keyway's shaft, a chamfer's shaft), or None.
    teeth: how many equal teeth or splines stand round it; 0 where none were counted.
    """

    id: str
    kind: FeatureKind
    sizes: tuple[Size, ...]
    axis: Vec3
    at_mm: Vec3
    along_mm: tuple[float, float] | None = None
    through: bool | None = None
    wear_mm: float | None = None
    wear_along_mm: tuple[float, float] | None = None
    seen: float = 1.0
    pattern: str | None = None
    on: str | None = None
    inside: bool = False
    area_mm2: float = 0.0
    why: tuple[Reason, ...] = ()
    reached_from: tuple[Vec3, ...] = ()
    teeth: int = 0
    worn_share: float = 0.0

    def size(self, name: str) -> Size | None:
        return next((size for size in self.sizes if size.name == name), None)


@dataclass(frozen=True, slots=True)
class Pattern:
    """Features that repeat by a rule, such as a bolt circle."""

    id: str
    kind: str
    count: int
    diameter_mm: float | None
    features: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Relation:
    """How surfaces of a scan stand to each other, such as two walls parallel, and whether they were fitted so.

    kind: "parallel", "square", "coaxial", "equal radius", "symmetric" or "evenly spaced".
    features: whose surfaces, each once. imposed: the evidence was for it and they were fitted together.
    odds: that it holds, 0 to 1. misfit_mm: how far it moves any of these surfaces at most.
    """

    kind: str
    features: tuple[str, ...]
    imposed: bool
    odds: float
    misfit_mm: float


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something the file could not settle, and the question that would."""

    what: Reason
    ask: Reason


@dataclass(frozen=True, slots=True)
class NextReading:
    """The reading that tells most of what matters. size: which size of the feature; "": its first."""

    feature: str
    gauge: str
    why: tuple[Reason, ...]
    size: str = ""


@dataclass(frozen=True, slots=True)
class UnitSaid:
    """The file's unit: its name ("mm", "in", "m", or "" if not known), how far to trust it, and why."""

    name: str
    state: Trust
    why: Reason


@dataclass(frozen=True, slots=True)
class Stretch:
    """One stretch of a profile of revolution, outside or inside, at its nominal (or best estimated) size.

    from_mm, to_mm: along the axis from the part's first end face, from < to.
    diameter_from_mm, diameter_to_mm: at both ends; different for a taper.
    feature: id of the feature that it comes from, or None for a stretch that no feature names.
    """

    from_mm: float
    to_mm: float
    diameter_from_mm: float
    diameter_to_mm: float
    feature: str | None = None

    @property
    def length_mm(self) -> float:
        return self.to_mm - self.from_mm

    @property
    def largest_mm(self) -> float:
        return max(self.diameter_from_mm, self.diameter_to_mm)


@dataclass(frozen=True, slots=True)
class Recess:
    """A ring sunk into a face, which no stretch can show.

    from_mm, to_mm: along the axis, from < to. inner_mm, outer_mm: diameters of its walls; the inner one 0, or that of
    the bore that it opens to. opens_high: it opens towards the profile's end, else towards its start.
    feature: id of the feature that it comes from. inner_round_mm, outer_round_mm: radius of a wall that rounds over
    into the face at its mouth, its diameter then that at the floor; 0 of a straight one.
    """

    from_mm: float
    to_mm: float
    inner_mm: float
    outer_mm: float
    opens_high: bool
    feature: str | None = None
    inner_round_mm: float = 0.0
    outer_round_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Profile:
    """The part as turned: outside stretches from end to end without gaps, inside stretches where it is bored.

    origin_mm, axis: the first end face's centre and the axis, in the file's own frame. recesses: sunk into faces.
    """

    origin_mm: Vec3
    axis: Vec3
    outside: tuple[Stretch, ...]
    inside: tuple[Stretch, ...] = ()
    recesses: tuple[Recess, ...] = ()

    @property
    def length_mm(self) -> float:
        return self.outside[-1].to_mm - self.outside[0].from_mm

    @property
    def largest_mm(self) -> float:
        return max(stretch.largest_mm for stretch in self.outside)


@dataclass(frozen=True, slots=True)
class Surface:
    """A simple surface of a part's outside, as found: what the nominal solid is put together from.

    point_mm: on a plane; on a cylinder's axis; a cone's apex. axis: out of the material (plane); along it (cylinder);
        from the apex into the cone. radius_mm: of a cylinder. half_angle_rad: of a cone. inside: material lies outside.
    arc_rad: how far round its axis it reaches. reach_mm: points at which it ends, in all directions.
    feature: id of the one that it belongs to.
    """

    kind: Literal["plane", "cylinder", "cone"]
    point_mm: Vec3
    axis: Vec3
    radius_mm: float
    half_angle_rad: float
    inside: bool
    arc_rad: float
    area_mm2: float
    reach_mm: tuple[Vec3, ...]
    feature: str | None = None


@dataclass(frozen=True, slots=True)
class MassProperties:
    """Of unit density. centre_mm: in the file's frame. inertia_mm5: the tensor about the centre, in the file's axes."""

    volume_mm3: float
    centre_mm: Vec3
    inertia_mm5: tuple[Vec3, Vec3, Vec3]


@dataclass(frozen=True, slots=True)
class Body:
    """One of several bodies in a file. number: from 1, as a person asks for it. size_mm: its box as the file lies."""

    number: int
    size_mm: Vec3
    volume_mm3: float | None


@dataclass(frozen=True, slots=True)
class WearMap:
    """A worn seat laid flat: how deep it is below its size before wear, cell by cell.

    feature: the worn feature's id. along_mm: from and to of the map, measured as the feature's own along_mm.
    depth_mm: one row for each band along the axis, its cells once round from half a turn before the deepest wear to
        half a turn after; radial; None where the scanner saw nothing.
    """

    feature: str
    along_mm: tuple[float, float]
    depth_mm: tuple[tuple[float | None, ...], ...]


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge of a flat part: straight, or an arc where there is a centre.

    turn_rad: how far the arc turns about its centre from start to end, positive to the left; 2 pi for a whole circle.
    """

    start: Vec2
    end: Vec2
    centre: Vec2 | None = None
    turn_rad: float = 0.0


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed line of a flat part, material on its left: an outside runs to the left, a cut-out to the right.

    inside: a cut-out. body: which of the file's parts it belongs to, from 0. features: ids of those found on it.
    """

    edges: tuple[Edge, ...]
    inside: bool
    body: int
    features: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Marking:
    """What is drawn on a flat part and is no outline: a bend line, an engraving. edges need not meet."""

    role: Literal["bend", "engrave"]
    layer: str
    edges: tuple[Edge, ...]


@dataclass(frozen=True, slots=True)
class Flat:
    """A flat part as cut from plate: closed outlines, outsides first, and what is marked on it.

    area, cut_length: of all bodies together, mm2 and mm; cut-outs taken off the area, added to the length.
    """

    outlines: tuple[Outline, ...]
    area: Figure
    cut_length: Figure
    markings: tuple[Marking, ...] = ()


@dataclass(frozen=True, slots=True)
class PlateSide:
    """A part as a plate would have it: its outlines along the frame's first two directions, cut through the third.

    flat: with no features on its outlines. frame: right-handed unit vectors in the file's frame. thickness_mm: its box
    along the third.
    """

    flat: Flat
    frame: Frame
    thickness_mm: float


@dataclass(frozen=True, slots=True)
class Datum:
    """What places are measured from. name: A, B, C. kind: "face" or "axis". feature: id of the face, if it has one.

    at_mm: a point of it, in the file's own frame. axis: out of a face; along an axis.
    """

    name: str
    kind: Literal["face", "axis"]
    feature: str | None
    at_mm: Vec3
    axis: Vec3
    why: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class DatumPlace:
    """How far a feature's middle lies in from a face, or off an axis."""

    datum: str
    mm: float


@dataclass(frozen=True, slots=True)
class Part:
    """One thing to be made, as read from a file.

    size_mm: the box in the part's own turned-true frame, largest first for a prismatic part; (length, d, d) for a
    turned one. profile: for parts that are turned (keyways, cross holes and flats besides are features).
    repaired, lost: what reading mended, and what it could not keep, worded as reasons.
    flat: outlines of a flat part, whose size_mm is (x, y, 0): a drawing does not tell the thickness.
    wear_maps: of the worn seats of a turned scan, where enough of them was seen.
    mass: volume, centre and inertia where the surface is closed.
    bodies: where the file holds more than one, each; what was read is all of them together.
    frame: a prismatic part's own directions in the file's frame, right-handed; size_mm is measured along them.
    grid: the body as cells, where that was asked for.
    surfaces: its planes, cylinders and cones, where the cells were asked for.
    plate_side: its outlines across its thickness, where it is thin enough to be cut from plate, likewise.
    datums: what places are measured from, the first named first.
    """

    name: str
    kind: PartKind
    unit: UnitSaid
    size_mm: Vec3
    volume_mm3: float | None
    features: tuple[Feature, ...]
    axisymmetric: bool
    patterns: tuple[Pattern, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    next_reading: NextReading | None = None
    profile: Profile | None = None
    solids: int | None = None
    approach_directions_min: int | None = None
    stock_size: str | None = None
    broken: bool = False
    noise_mm: float = 0.0
    system: str | None = None
    repaired: tuple[Reason, ...] = ()
    lost: tuple[Reason, ...] = ()
    flat: Flat | None = None
    wear_maps: tuple[WearMap, ...] = ()
    bodies: tuple[Body, ...] = ()
    mass: MassProperties | None = None
    relations: tuple[Relation, ...] = ()
    frame: tuple[Vec3, Vec3, Vec3] | None = None
    grid: SolidGrid | None = None
    datums: tuple[Datum, ...] = ()
    surfaces: tuple[Surface, ...] = ()
    plate_side: PlateSide | None = None

    def feature(self, name: str) -> Feature:
        return next(feature for feature in self.features if feature.id == name)
