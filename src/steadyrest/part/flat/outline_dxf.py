"""The outlines of a flat part as DXF: closed, every arc an arc, bend lines and engraving on layers of their own."""

from __future__ import annotations

import io
import math

from steadyrest.part.handover.datum_marks import DatumMark
from steadyrest.part.handover.dxf import draw, draw_marks, same_every_time
from steadyrest.part.handover.outline import Segment
from steadyrest.shop.figure import because
from steadyrest.shop.part import Edge, Marking, Outline, Part
from steadyrest.trouble import BadInput
from steadyrest.wording.say import say

LAYERS = ("outline", "cut-out", "bend", "engrave", "datum")


def outline_dxf(part: Part) -> bytes:
    """The part's outlines as a drawing in DXF (R2010), in mm; in the file's own numbers and unitless while it is asked.

    The same part gives the same bytes.

    Args:
        part: a flat part.
    Returns: the file.
    Raises: BadInput: the part is not a flat one.
    """
    if part.flat is None:
        raise BadInput(where=part.name, what="this is no flat part.", do="Its nominal solid is written as STEP.")
    return lines_dxf(part.flat.outlines, part.flat.markings, known=part.unit.state != "ask")


def lines_dxf(
    outlines: tuple[Outline, ...],
    markings: tuple[Marking, ...] = (),
    *,
    marks: tuple[DatumMark, ...] = (),
    known: bool = True,
) -> bytes:
    """Closed lines as a drawing in DXF (R2010).

    Args:
        outlines: outsides and cut-outs. markings: bend lines and engraving. marks: letters of what is measured from.
        known: they are in mm; else unitless, as the file has them.
    Returns: the file; the same lines give the same bytes.
    """
    from ezdxf import units
    from ezdxf.filemanagement import new

    with same_every_time():
        drawing = new("R2010", units=units.MM if known else 0)
        for name in LAYERS:
            drawing.layers.add(name)
        space = drawing.modelspace()
        for outline in outlines:
            layer = "cut-out" if outline.inside else "outline"
            for edge in outline.edges:
                if whole(edge) and edge.centre is not None:
                    space.add_circle(edge.centre, math.dist(edge.start, edge.centre), dxfattribs={"layer": layer})
                else:
                    draw(space, (segment(edge),), layer)
        for marking in markings:
            draw(space, tuple(segment(edge) for edge in marking.edges), marking.role)
        draw_marks(space, marks)
        text = io.StringIO()
        drawing.write(text)
    head = "" if known else f"999\n{say(because('handover.unit_unknown'))}\n"
    return (head + text.getvalue()).encode("utf-8")


def whole(edge: Edge) -> bool:
    return abs(edge.turn_rad) > 2 * math.pi - 1e-9


def segment(edge: Edge) -> Segment:
    return Segment(edge.start, edge.end, edge.centre, left=edge.turn_rad > 0)
