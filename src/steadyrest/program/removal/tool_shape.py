"""The shape of a tool as the stock meets it: from the shop's words for tools to two families of turning profiles.

Glossary. The *tip* is the programmed point, on the axis at the lowest end. The *lift* of a profile at a distance from
the axis is how far above the tip the tool ends there; above that, all is tool. A lathe's tool is its programmed point
with the metal that stands over it, towards its own side (out, in, or about the centre).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import IntEnum

from steadyrest.tables.practice import rule


class Form(IntEnum):
    """The two families of profiles, and none."""

    NONE = 0  # nothing in the spindle
    BULL = 1  # flat, with rounded corners; corner = radius is a ball, corner = 0 a plain end mill
    CONE = 2  # a flat tip, then a cone up to the radius


class Side(IntEnum):
    """Which side of a turning tool's point its body is on."""

    OUT = 0  # away from the axis: turning, facing, grooving, parting off
    IN = 1  # towards the axis: boring
    CENTRE = 2  # about the axis: drills, reamers, taps


@dataclass(frozen=True, slots=True)
class ToolShape:
    """One tool's shape. Lengths mm.

    number: as called. role: the shop's word ("rough", "finish", ...). form: family of its profile.
    radius_mm: largest. flat_mm: of the flat at the tip. corner_mm: rounding of a BULL. slope: rise per mm of a CONE.
    cuts: false for a probe. known: false where the list does not tell its size.
    length_mm, holder_mm: stick-out, and the holder's diameter above it; 0 where not known.
    teeth: how many; 0 not known. lead_rad: the edge's angle to the feed.
    side: of a turning tool. width_mm: of a grooving or parting edge, the usual one where not known; 0 for the others.
    reach_mm: of a turning tool, how thick a ring it takes from a face in one go.
    thread: it cuts a helix and not all of a round.
    """

    number: int
    role: str
    form: Form
    radius_mm: float
    flat_mm: float
    corner_mm: float
    slope: float
    cuts: bool
    known: bool
    length_mm: float
    holder_mm: float
    teeth: int
    lead_rad: float
    side: Side
    width_mm: float
    reach_mm: float
    thread: bool

    def __post_init__(self) -> None:
        sizes = (self.radius_mm, self.flat_mm, self.corner_mm, self.slope, self.length_mm, self.holder_mm)
        if not all(math.isfinite(size) and size >= 0.0 for size in sizes) or self.corner_mm > self.radius_mm:
            raise ValueError(f"ToolShape: tool {self.number!r} has sizes that no tool has: {sizes!r}")


def tool_shape(
    number: int,
    kind: str,
    *,
    diameter_mm: float,
    role: str = "",
    length_mm: float = 0.0,
    holder_mm: float = 0.0,
    edge_mm: float = 0.0,
    width_mm: float = 0.0,
    reach_mm: float = 0.0,
    point_rad: float = 0.0,
    teeth: int = 0,
    lead_rad: float = math.pi / 2.0,
) -> ToolShape:
    """A tool's shape from the shop's list.

    Args:
        number: as the program calls it.
        kind: the shop's word: "end mill", "ball end mill", "drill", "chamfer mill", "turning", "boring", ...
        diameter_mm: of a turning tool 0; of a milling tool 0 where the list does not say.
        role: "rough", "finish", "face", "drill", "probe", "part-off".
        length_mm: stick-out; 0 not known.
        holder_mm: diameter of the holder above it; 0 not known.
        edge_mm: corner radius of a mill, nose radius of a turning tool.
        width_mm: of a grooving or parting edge.
        reach_mm: deepest cut of a turning edge; 0 takes the shop's usual one.
        point_rad: full point angle of a drill, chamfering or centring tool; 0 takes the usual one of its kind.
        teeth: 0 not known.
        lead_rad: the edge's angle to the feed.
    Returns: its shape. A kind without a word that is known here counts as a plain cylinder.
    Source: point angles: tables/practice.toml.
    """
    word = kind.lower()
    radius = diameter_mm / 2.0
    form, flat, corner, slope = Form.BULL, radius, 0.0, 0.0
    usual = _usual_point(word)
    if "ball" in word:
        flat, corner = 0.0, radius
    elif usual is not None:
        form, flat, slope = Form.CONE, 0.0, 1.0 / math.tan((point_rad or math.radians(usual)) / 2.0)
    elif 0.0 < edge_mm <= radius:
        flat, corner = radius - edge_mm, edge_mm
    side = Side.IN if "bor" in word and diameter_mm == 0.0 else Side.OUT
    if any(name in word for name in ("drill", "ream", "tap")):
        side = Side.CENTRE
    elif "boring" in word or "inside" in word:
        side = Side.IN
    grooves = any(name in word for name in ("groov", "part-off", "part off", "parting", "cut-off"))
    grooves = grooves or role == "part-off"
    known = width_mm > 0.0 if grooves else diameter_mm > 0.0
    if grooves and not known:
        width_mm = rule("groove_width_mm")
    return ToolShape(
        number=number,
        role=role,
        form=form,
        radius_mm=radius,
        flat_mm=flat,
        corner_mm=corner,
        slope=slope,
        cuts="probe" not in word and role != "probe",
        known=known,
        length_mm=length_mm,
        holder_mm=holder_mm,
        teeth=teeth,
        lead_rad=lead_rad,
        side=side,
        width_mm=width_mm,
        reach_mm=reach_mm or rule("face_ring_mm"),
        thread="thread" in word,
    )


def _usual_point(word: str) -> float | None:
    """The usual full point angle of a kind, degrees; None for tools with a flat end."""
    if "slot drill" in word:
        return None
    if "centre drill" in word or "center drill" in word:
        return rule("centre_point_deg")
    if "spot" in word or "chamfer" in word or "countersink" in word:
        return rule("chamfer_point_deg")
    return rule("point_deg") if "drill" in word else None
