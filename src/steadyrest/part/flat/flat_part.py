"""A drawing of a flat part as a Part: outlines, features, and what was repaired, lost and doubted."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Literal

from steadyrest.part.files.dxf import read_drawing
from steadyrest.part.flat.chains import Loop, chained
from steadyrest.part.flat.curve import Curve, box_of, loop_area
from steadyrest.part.flat.drawn import Drawn
from steadyrest.part.flat.features import features_of
from steadyrest.part.flat.layers import Role
from steadyrest.part.flat.near import Crowded
from steadyrest.part.flat.nest import Nested, nested
from steadyrest.part.flat.said import (
    Said,
    Work,
    chords_said,
    crossing_doubts,
    drawn_twice,
    fitted_doubts,
    free_said,
    gaps_said,
    nothing_closes,
    open_doubts,
    open_said,
    thin_doubts,
    tiny_said,
)
from steadyrest.part.flat.smooth import smoothed
from steadyrest.part.flat.twice import once
from steadyrest.part.flat.unit import as_drawn, closeness, unit_of
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.part import Doubt, Edge, Flat, Marking, Outline, Part, UnitSaid
from steadyrest.trouble import BadInput

Progress = Callable[[str, float], None]
Stop = Callable[[], bool]
MOST_LOOPS = 20_000


def flat_part(data: bytes, name: str, *, unit: str | None, progress: Progress, stop: Stop) -> Part:
    """The flat part in a DXF file; its sizes are not named yet.

    Args:
        data: the whole file.
        name: its name, for messages and for the part.
        unit: "mm", "in" or "m" for a file that names none, or one that its own size contradicts.
        progress: told what is being done and how far it is.
        stop: asked now and then; True ends the work.
    Returns: the part, in mm (in the file's own numbers while the unit is asked).
    Raises: BadInput: not a drawing, damaged, empty, or without any closed line. InterruptedError: stop said so.
    """
    progress("reading the file", 0.0)
    drawing = read_drawing(data, name)
    if not drawing.entities:
        raise BadInput(where=name, what="nothing is drawn in it.", do="Export the view of the part again.")
    said, mm, doubts = unit_of(drawing, name, unit, stop)
    close = closeness(said)
    lines = as_drawn(drawing, name, mm=mm, free=close.free, stop=stop)
    progress("outlines", 0.3)
    work = Work(name=name, mm=mm, close=close, drawn=lines, stop=stop)
    cut, cut_doubts = cut_curves(lines, name)
    loops, said_of = closed_lines(work, cut)
    progress("features", 0.6)
    return part_of(work, loops, said, replace(said_of, doubts=(*doubts, *cut_doubts, *said_of.doubts)))


def cut_curves(lines: Drawn, name: str) -> tuple[list[Curve], tuple[Doubt, ...]]:
    """What is cut: on layers that say so or say nothing; where there is none, all that is drawn, and doubted.

    Raises: BadInput: nothing is drawn in lines.
    """
    cut = [*lines.curves.get("cut", []), *lines.curves.get(None, [])]
    if cut:
        return cut, ()
    others: dict[Role | None, list[Curve]] = {role: some for role, some in lines.curves.items() if some}
    cut = [c for some in others.values() for c in some]
    if not cut:
        what = "no line, arc or circle is drawn in its model space."
        raise BadInput(where=name, what=what, do="Export the part's outline as lines and arcs.")
    layers = ", ".join(sorted({c.layer for c in cut}))
    return cut, (Doubt(because("flat.only_layers", layers=layers), because("flat.ask_layers")),)


def closed_lines(work: Work, cut: list[Curve]) -> tuple[list[Loop], Said]:
    """Closed lines from what is cut, and what was said on the way.

    Raises: BadInput: nothing closes; where the longest chain is open is named.
    """
    close = work.close
    repaired: list[Reason] = []
    doubts: list[Doubt] = []
    try:
        single = once(cut, 2 * close.snap)
    except Crowded:
        what = "more lines lie over each other than in any drawing of a part."
        raise BadInput(where=work.name, what=what, do="Export the part alone.") from None
    repaired.extend(drawn_twice(work, single.dropped))
    if work.stop():
        raise InterruptedError
    made = chained(single.curves, snap=close.snap, tolerance=close.gap)
    if not made.loops:
        raise nothing_closes(work, made)
    if len(made.loops) > MOST_LOOPS:
        what = f"it holds {len(made.loops)} closed lines, more than any part."
        raise BadInput(where=work.name, what=what, do="Export one part.")
    worth: list[Loop] = []
    tiny: list[Loop] = []
    for loop in made.loops:
        (worth if abs(loop_area(loop)) > close.gap**2 else tiny).append(loop)
    smooth = [smoothed(loop, close.free) for loop in worth]
    loops = [loop for loop, _ in smooth]
    repaired.extend(gaps_said(work, made))
    repaired.extend(chords_said(work, smooth))
    lost = [*work.drawn.lost, *(open_said(work, chain) for chain in made.open)]
    lost.extend(tiny_said(work, tiny))
    lost.extend(free_said(work))
    doubts.extend(open_doubts(work, made))
    doubts.extend(fitted_doubts(work))
    doubts.extend(crossing_doubts(work, loops))
    return loops, Said(tuple(repaired), tuple(lost), tuple(doubts))


def part_of(work: Work, loops: Sequence[Loop], unit: UnitSaid, said: Said) -> Part:
    """The part from its closed lines."""
    if not loops:
        raise BadInput(where=work.name, what="its closed lines enclose nothing.", do="Export it again.")
    lines = nested(loops, work.close.free * 4)
    found = features_of(lines, work.close.gap / 2)
    low_x, low_y, high_x, high_y = box_of(c for line in lines for c in line.loop)
    bodies = sum(not line.inside for line in lines)
    doubts = [*said.doubts, Doubt(because("flat.thickness"), because("flat.ask_thickness"))]
    if bodies > 1:
        doubts.append(Doubt(because("flat.several", count=float(bodies)), because("flat.ask_which")))
    doubts.extend(thin_doubts(work, lines))
    markings = markings_of(work.drawn)
    for marking in markings:
        if marking.role == "bend":
            what = because("flat.bend_lines", count=float(len(marking.edges)), layer=marking.layer)
            doubts.append(Doubt(what, because("flat.ask_bend")))
    lost = list(said.lost)
    aside = work.drawn.curves.get("aside", [])
    if aside and work.drawn.curves.keys() & {"cut", None}:
        layers = ", ".join(sorted({c.layer for c in aside}))
        lost.append(because("flat.lost_aside_lines", count=float(len(aside)), layers=layers))
    return Part(
        name=work.name,
        kind="flat",
        unit=unit,
        size_mm=(high_x - low_x, high_y - low_y, 0.0),
        volume_mm3=None,
        features=found.features,
        axisymmetric=is_ring(lines),
        patterns=found.patterns,
        doubts=tuple(doubts),
        solids=bodies,
        repaired=said.repaired,
        lost=tuple(lost),
        flat=flat_of(lines, found.of_loop, markings, unit),
    )


def is_ring(lines: Sequence[Nested]) -> bool:
    """Whether the part is a plain disc, or a ring: nothing but circles about one centre."""
    centres = [line.loop[0].centre for line in lines if len(line.loop) == 1]
    if len(centres) != len(lines) or len(lines) > 2 or centres[0] is None:
        return False
    radius = lines[0].loop[0].radius
    return all(c is not None and math.dist(c, centres[0]) < 1e-4 * radius for c in centres)


def markings_of(lines: Drawn) -> tuple[Marking, ...]:
    """Bend lines and engravings, by layer; none where they had to be read as what is cut."""
    if not lines.curves.keys() & {"cut", None}:
        return ()
    roles: tuple[Literal["bend", "engrave"], ...] = ("bend", "engrave")
    layers = {role: sorted({c.layer for c in lines.curves.get(role, [])}) for role in roles}
    return tuple(
        Marking(role, layer, tuple(edge_of(c) for c in lines.curves[role] if c.layer == layer))
        for role in roles
        for layer in layers[role]
    )


def flat_of(
    lines: Sequence[Nested], of_loop: Sequence[tuple[str, ...]], markings: tuple[Marking, ...], unit: UnitSaid
) -> Flat:
    """Outlines for the picture, plate and cutting, with their area and length."""
    outlines = tuple(
        Outline(tuple(edge_of(c) for c in line.loop), line.inside, line.body, ids)
        for line, ids in zip(lines, of_loop, strict=True)
    )
    holes = float(sum(line.inside for line in lines))
    area = math.fsum(loop_area(line.loop) for line in lines)
    length = math.fsum(c.length for line in lines for c in line.loop)
    known = unit.state != "ask"
    areas = because("flat.area", outsides=float(len(lines)) - holes, holes=holes)
    lengths = because("flat.cut_length", outlines=float(len(lines)))
    why = () if known else (because("flat.own_numbers"),)
    return Flat(
        outlines=outlines,
        area=Figure(area, "mm2" if known else "1", (areas, *why)),
        cut_length=Figure(length, "mm" if known else "1", (lengths, *why)),
        markings=markings,
    )


def edge_of(curve: Curve) -> Edge:
    return Edge(curve.start, curve.end, curve.centre, curve.turn_rad)
