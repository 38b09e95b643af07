"""The nominal half section of a turned part as DXF: x along the axis, y the radius, in mm."""

from __future__ import annotations

import io
import math
from collections.abc import Generator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from steadyrest.part.handover.datum_marks import DatumMark, datum_marks
from steadyrest.part.handover.flatted import flat_cuts, seen_from_its_side
from steadyrest.part.handover.holed import hole_cuts, seen_from_its_mouth
from steadyrest.part.handover.keyed import key_cuts, seen_from_above
from steadyrest.part.handover.left_out import left_out
from steadyrest.part.handover.nominal_profile import nominal_profile
from steadyrest.part.handover.outline import Segment, edges, outline
from steadyrest.part.handover.recessed import half_section, ring_cuts
from steadyrest.shop.part import Part
from steadyrest.wording.say import say

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

LAYERS = {
    "outline": "CONTINUOUS",
    "bore": "CONTINUOUS",
    "keyway": "CONTINUOUS",
    "cross hole": "CONTINUOUS",
    "recess": "CONTINUOUS",
    "flat": "CONTINUOUS",
    "centre line": "CENTER",
    "datum": "CONTINUOUS",
}
OVERHANG = 0.03  # of the length, by which the centre line stands out


def profile_dxf(part: Part) -> bytes:
    """The nominal profile as a drawing in DXF (R2010, mm): outline, bores, recesses in faces, keyways, flats and
    hexagons seen from above, cross holes seen from their mouth, centre line, and what places are measured from.

    The same part gives the same bytes. What it leaves out stands as a comment at the head of the file.

    Args:
        part: a turned part.
    Returns: the file.
    Raises: BadInput: the part is not a turned one.
    """
    from ezdxf import units
    from ezdxf.filemanagement import new

    profile = nominal_profile(part)
    line = outline(part, profile)
    keys = key_cuts(part, profile)
    holes = {cut.feature: seen_from_its_mouth(cut) for cut in hole_cuts(part, profile)}
    rings = ring_cuts(part, profile)
    flats = {cut.feature: seen_from_its_side(cut) for cut in flat_cuts(part, profile)}
    with same_every_time():
        drawing = new("R2010", setup=["linetypes"], units=units.MM)
        for name, linetype in LAYERS.items():
            drawing.layers.add(name, linetype=linetype)
        space = drawing.modelspace()
        outside, bores = edges(line)
        draw(space, outside, "outline")
        for bore in bores:
            draw(space, bore, "bore")
        for key in keys:
            draw(space, seen_from_above(key), "keyway")
        for circle in holes.values():
            draw(space, circle, "cross hole")
        for ring in rings:
            draw(space, half_section(ring), "recess")
        for flat in flats.values():
            draw(space, flat, "flat")
        over = OVERHANG * profile.length_mm
        ends = (profile.outside[0].from_mm - over, 0.0), (profile.outside[-1].to_mm + over, 0.0)
        space.add_line(*ends, dxfattribs={"layer": "centre line"})
        draw_marks(space, datum_marks(part, profile))
        text = io.StringIO()
        drawing.write(text)
    drawn = {cut.feature for cut in (*keys, *rings)} | {f for f, seen in holes.items() if seen}
    notes = left_out(part, frozenset(drawn | flats.keys()) | line.fillets)
    head = "".join(f"999\n{say(note)}\n" for note in notes)
    return (head + text.getvalue()).encode("utf-8")


def draw(space: Modelspace, segments: tuple[Segment, ...], layer: str) -> None:
    """Segments as LINE and ARC."""
    for segment in segments:
        if segment.centre is None:
            space.add_line(segment.start, segment.end, dxfattribs={"layer": layer})
            continue
        cx, cy = segment.centre
        a, b = (math.degrees(math.atan2(y - cy, x - cx)) for x, y in (segment.start, segment.end))
        start, end = (a, b) if segment.left else (b, a)
        space.add_arc(segment.centre, segment.radius_mm, start, end, dxfattribs={"layer": layer})


def draw_marks(space: Modelspace, marks: Sequence[DatumMark]) -> None:
    """Datum letters with their triangles, on a layer of their own."""
    for mark in marks:
        space.add_lwpolyline(mark.triangle, close=True, dxfattribs={"layer": "datum"})
        space.add_text(mark.letter, height=mark.high_mm, dxfattribs={"layer": "datum"}).set_placement(mark.at)


@contextmanager
def same_every_time() -> Generator[None]:
    """No time stamps and no fresh identifiers in what is written meanwhile."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
