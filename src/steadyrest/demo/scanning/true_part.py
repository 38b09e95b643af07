"""What a part truly is, before any scanner: a turned body, what was cut into it, and what wear took away.

The part's own frame: its axis is z, the first stretch begins at z = 0, angles turn about z from x. Lengths in mm,
angles in radians. Sizes are those of the drawing; how far off the part was made (within its limits) and what wear took
since are given apart and never change them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi
from typing import Literal

End = Literal["start", "end"]


@dataclass(frozen=True, slots=True)
class Stretch:
    """One length of the turned outside: a cylinder, or a taper if `end_diameter_mm` is given.

    made_off_mm: how much larger its diameter was made than drawn.
    chamfer_mm: legs of the 45 degree chamfer on its outer corner at (start, end); only where that corner is convex.
    fillet_mm: radius left in its inner corner at (start, end), where it runs against a larger neighbour.
    """

    length_mm: float
    diameter_mm: float
    end_diameter_mm: float | None = None
    chamfer_mm: tuple[float, float] = (0.0, 0.0)
    fillet_mm: tuple[float, float] = (0.0, 0.0)
    made_off_mm: float = 0.0

    @property
    def radii_mm(self) -> tuple[float, float]:
        """As made, at its start and its end."""
        end_mm = self.diameter_mm if self.end_diameter_mm is None else self.end_diameter_mm
        return (self.diameter_mm + self.made_off_mm) / 2, (end_mm + self.made_off_mm) / 2


@dataclass(frozen=True, slots=True)
class TrueBore:
    """A bore on the axis, from one end; through where it is as deep as the part is long.

    end_diameter_mm: at its bottom, if tapered. chamfer_mm: at its mouth.
    point_rad: half angle of a drill point, pi/2 flat.
    """

    diameter_mm: float
    depth_mm: float
    end: End = "start"
    end_diameter_mm: float | None = None
    chamfer_mm: float = 0.0
    point_rad: float = pi / 2
    made_off_mm: float = 0.0

    @property
    def radii_mm(self) -> tuple[float, float]:
        """As made, at its mouth and its bottom."""
        end_mm = self.diameter_mm if self.end_diameter_mm is None else self.end_diameter_mm
        return (self.diameter_mm + self.made_off_mm) / 2, (end_mm + self.made_off_mm) / 2


@dataclass(frozen=True, slots=True)
class TrueKeyway:
    """A keyway in the outside, or in the bore if `inside`; depth from the cylinder's surface at the key's centre line.

    diameter_mm: of the cylinder that it is cut into. round_ends: the half circles lie within from_mm..to_mm.
    """

    width_mm: float
    depth_mm: float
    from_mm: float
    to_mm: float
    diameter_mm: float
    angle_rad: float = 0.0
    round_ends: bool = True
    inside: bool = False
    made_off_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class CrossHole:
    """A hole square to the axis, entered from the side at `angle_rad`.

    reach_mm: how far beyond the axis it goes (negative: it stops before the axis); a large value goes through.
    """

    diameter_mm: float
    at_mm: float
    angle_rad: float = 0.0
    reach_mm: float = 1e3


@dataclass(frozen=True, slots=True)
class AxialHole:
    """A hole along the axis off centre, as of a bolt circle. depth_mm from `end`; a large value goes through."""

    diameter_mm: float
    circle_mm: float
    angle_rad: float
    depth_mm: float = 1e3
    end: End = "start"


@dataclass(frozen=True, slots=True)
class TrueFlat:
    """A flat along the axis; `height_mm` from the axis to the flat."""

    height_mm: float
    from_mm: float
    to_mm: float
    angle_rad: float = 0.0


@dataclass(frozen=True, slots=True)
class TrueGroove:
    """A square groove round the outside (or in the bore if `inside`), to `diameter_mm` at its floor."""

    diameter_mm: float
    at_mm: float
    width_mm: float
    inside: bool = False


@dataclass(frozen=True, slots=True)
class TrueThread:
    """A right-hand outside thread, basic 60 degree profile (ISO 68-1), in a cylinder of its major diameter."""

    diameter_mm: float
    pitch_mm: float
    from_mm: float
    to_mm: float


@dataclass(frozen=True, slots=True)
class Wear:
    """What running took off a seat: a hollow with smooth shoulders under what ran there.

    depth_mm: radial, at its deepest. from_mm, to_mm: the band along the axis. shoulder_mm: how it fades in and out.
    middle_rad, arc_rad: where round the axis and how far; 2 pi or more means evenly all round.
    shoulder_rad: length of the fade at each side of the arc; the sides may differ.
    lean: by how much of its depth the hollow is shallower at `from_mm` than at `to_mm`, 0 to 1.
    inside: the bore's surface is worn, not the outside.
    The band should lie within its seat: it sinks whatever faces lie in it too, and the fade must not be steep there.
    """

    depth_mm: float
    from_mm: float
    to_mm: float
    middle_rad: float = 0.0
    arc_rad: float = 2 * pi
    shoulder_mm: tuple[float, float] = (1.0, 1.0)
    shoulder_rad: tuple[float, float] = (1.2, 1.2)
    lean: float = 0.0
    inside: bool = False


@dataclass(frozen=True, slots=True)
class Fracture:
    """The part is broken off at `at_mm` on the axis; what lay beyond is gone. The break is rough and leans.

    tilt_rad: of the break against square. rough_mm: height of its hills. seen: False leaves the scan open there.
    """

    at_mm: float
    tilt_rad: float = 0.25
    rough_mm: float = 0.6
    seen: bool = True


Cut = TrueKeyway | CrossHole | AxialHole | TrueFlat | TrueGroove | TrueThread


@dataclass(frozen=True, slots=True)
class TruePart:
    """A turned part as drawn, and as worn.

    edge_mm: radius that handling and the scanner's own blur leave on every outer edge.
    """

    name: str
    stretches: tuple[Stretch, ...]
    bores: tuple[TrueBore, ...] = ()
    cuts: tuple[Cut, ...] = ()
    wear: tuple[Wear, ...] = ()
    fracture: Fracture | None = None
    edge_mm: float = 0.12

    @property
    def length_mm(self) -> float:
        return sum(stretch.length_mm for stretch in self.stretches)

    @property
    def largest_mm(self) -> float:
        return max(max(s.diameter_mm, s.end_diameter_mm or 0.0) for s in self.stretches)


@dataclass(frozen=True, slots=True)
class TrueSize:
    """One size that a reader of the scan should find.

    kind: shaft, cone, bore, keyway, hole, flat, groove, thread, bolt circle.
    size_mm: as drawn: diameter (of a cone the larger), width of a keyway or groove, height of a flat above the axis.
    made_mm: the same as made. worn_mm: deepest radial wear on it. along_mm: from and to along the axis.
    depth_mm: of a keyway, from the surface at the key's centre line; floor's diameter of a groove; pitch of a thread.
    """

    kind: str
    size_mm: float
    made_mm: float
    worn_mm: float
    along_mm: tuple[float, float]
    depth_mm: float = 0.0


def truth(part: TruePart) -> tuple[TrueSize, ...]:
    """The sizes of a part as drawn and as made, each with the deepest wear on it; what a break took is left out."""
    sizes = (*_outside(part), *_bored(part), *_cut(part))
    if part.fracture is None:
        return sizes
    return tuple(size for size in sizes if size.along_mm[0] < part.fracture.at_mm)


def _worn(part: TruePart, along_mm: tuple[float, float], *, inside: bool) -> float:
    low, high = along_mm
    return max(
        (w.depth_mm for w in part.wear if w.inside == inside and w.from_mm < high and w.to_mm > low), default=0.0
    )


def _outside(part: TruePart) -> Iterator[TrueSize]:
    at_mm = 0.0
    for stretch in part.stretches:
        along = (at_mm, at_mm + stretch.length_mm)
        at_mm = along[1]
        kind = "shaft" if stretch.end_diameter_mm is None else "cone"
        drawn, made = max(stretch.diameter_mm, stretch.end_diameter_mm or 0.0), 2 * max(stretch.radii_mm)
        yield TrueSize(kind, drawn, made, _worn(part, along, inside=False), along)


def _bored(part: TruePart) -> Iterator[TrueSize]:
    for bore in part.bores:
        depth_mm = min(bore.depth_mm, part.length_mm)
        along = (0.0, depth_mm) if bore.end == "start" else (part.length_mm - depth_mm, part.length_mm)
        yield TrueSize("bore", bore.diameter_mm, 2 * bore.radii_mm[0], _worn(part, along, inside=True), along)


def _cut(part: TruePart) -> Iterator[TrueSize]:
    circles: dict[float, int] = {}
    for cut in part.cuts:
        match cut:
            case TrueKeyway():
                along = (max(cut.from_mm, 0.0), min(cut.to_mm, part.length_mm))
                yield TrueSize("keyway", cut.width_mm, cut.width_mm + cut.made_off_mm, 0.0, along, cut.depth_mm)
            case CrossHole():
                yield TrueSize("hole", cut.diameter_mm, cut.diameter_mm, 0.0, (cut.at_mm, cut.at_mm))
            case AxialHole():
                along = (0.0, min(cut.depth_mm, part.length_mm))
                yield TrueSize("hole", cut.diameter_mm, cut.diameter_mm, 0.0, along)
                circles[cut.circle_mm] = circles.get(cut.circle_mm, 0) + 1
            case TrueFlat():
                yield TrueSize("flat", cut.height_mm, cut.height_mm, 0.0, (cut.from_mm, cut.to_mm))
            case TrueGroove():
                along = (cut.at_mm - cut.width_mm / 2, cut.at_mm + cut.width_mm / 2)
                yield TrueSize("groove", cut.width_mm, cut.width_mm, 0.0, along, cut.diameter_mm)
            case TrueThread():
                along = (cut.from_mm, cut.to_mm)
                yield TrueSize("thread", cut.diameter_mm, cut.diameter_mm, 0.0, along, cut.pitch_mm)
    for circle_mm, count in circles.items():
        if count > 1:
            yield TrueSize("bolt circle", circle_mm, circle_mm, 0.0, (0.0, part.length_mm))
