"""A drawing of a flat part as a Part: outlines, features, and what was repaired, lost and doubted."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from steadyrest.part.files.dxf import Drawing, read_drawing
from steadyrest.part.flat.chains import Chained, Loop, Open, chained
from steadyrest.part.flat.crossings import crossings
from steadyrest.part.flat.curve import Curve, box_of, loop_area
from steadyrest.part.flat.drawn import Drawn, drawn
from steadyrest.part.flat.features import features_of
from steadyrest.part.flat.layers import Role
from steadyrest.part.flat.near import Crowded
from steadyrest.part.flat.nest import Nested, nested
from steadyrest.part.flat.smooth import smoothed
from steadyrest.part.flat.twice import once
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.part import Doubt, Edge, Flat, Marking, Outline, Part, UnitSaid, Vec2
from steadyrest.trouble import BadInput

Progress = Callable[[str, float], None]
Stop = Callable[[], bool]
GIVEN_MM = {"mm": 1.0, "in": 25.4, "m": 1000.0}
GAP_MM = 0.02
SNAP_MM = 0.0005
FREE_MM = 0.005
NEARLY_CLOSED = 0.1  # of a chain's length: an open outline with less than that between its ends was meant to close
SMALLEST_MM, LARGEST_MM = 1.0, 15_000.0  # a cut part's longest side; beyond, the unit in the file is in doubt
THIN = 0.02  # of a part's diagonal: a wall thinner than that is more likely one line drawn as two
NAMED_PLACES = 6
MOST_LOOPS = 20_000


@dataclass(frozen=True, slots=True)
class Close:
    """How near is near, in the part's unit (where that is unknown: as if it were inches, the careful way)."""

    gap: float
    snap: float
    free: float


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
    work = _Work(name=name, mm=mm, close=close, drawn=lines, stop=stop)
    cut, cut_doubts = cut_curves(lines, name)
    loops, said_of = closed_lines(work, cut)
    progress("features", 0.6)
    return part_of(work, loops, said, replace(said_of, doubts=(*doubts, *cut_doubts, *said_of.doubts)))


@dataclass(frozen=True, slots=True)
class _Work:
    """What every step of one file needs."""

    name: str
    mm: float
    close: Close
    drawn: Drawn
    stop: Stop

    def place(self, at: Vec2) -> str:
        """A place as the drawing itself would name it."""
        x, y = (round(v / self.mm, 4) + 0.0 for v in at)
        return f"x {x:.6g} y {y:.6g}"

    def places(self, found: Sequence[Vec2]) -> str:
        said = ", ".join(self.place(at) for at in found[:NAMED_PLACES])
        return said + (f" and {len(found) - NAMED_PLACES} more" if len(found) > NAMED_PLACES else "")


@dataclass(frozen=True, slots=True)
class Said:
    """What reading mended, what it could not keep, what it doubts."""

    repaired: tuple[Reason, ...] = ()
    lost: tuple[Reason, ...] = ()
    doubts: tuple[Doubt, ...] = ()


def unit_of(drawing: Drawing, name: str, given: str | None, stop: Stop) -> tuple[UnitSaid, float, tuple[Doubt, ...]]:
    """The unit, how many mm it is, and doubts: the header's where the size agrees with it, else the one given, else asked.

    Raises: BadInput: as for the drawing itself.
    """
    asked = UnitSaid("", "ask", because("read.unit_missing"))
    told = UnitSaid(given, "sure", because("read.unit_given", unit=given)) if given is not None else asked
    if drawing.unit is None:
        return told, GIVEN_MM[given] if given else 1.0, ()
    header, mm = drawing.unit
    lines = as_drawn(drawing, name, mm=mm, free=FREE_MM * max(1.0, mm), stop=stop)
    seen = [c for some in lines.curves.values() for c in some]
    low_x, low_y, high_x, high_y = box_of(seen) if seen else (0.0, 0.0, SMALLEST_MM, SMALLEST_MM)
    longest = max(high_x - low_x, high_y - low_y)
    if not SMALLEST_MM <= longest <= LARGEST_MM:
        doubt = Doubt(because("read.odd_size", size_mm=longest), because("read.ask_one_size"))
        if given is not None:
            return told, GIVEN_MM[given], (Doubt(because("flat.unit_odd", given=given, unit=header), doubt.ask),)
        return UnitSaid("", "ask", because("flat.unit_contradicted", unit=header, size_mm=longest)), 1.0, (doubt,)
    doubts: tuple[Doubt, ...] = ()
    if given is not None and given != header:
        doubts = (Doubt(because("read.unit_both", given=given, unit=header), because("read.ask_one_size")),)
    return UnitSaid(header, "sure", because("read.unit_in_file", unit=header)), mm, doubts


def closeness(unit: UnitSaid) -> Close:
    """Distances that count as none; a file without a unit may be in inches, where 0.02 would be half a millimetre."""
    share = 1.0 if unit.state != "ask" else 1 / 25.4
    return Close(GAP_MM * share, SNAP_MM * share, FREE_MM * share)


def as_drawn(drawing: Drawing, name: str, *, mm: float, free: float, stop: Stop) -> Drawn:
    """The drawing's curves. Raises: BadInput: a number in it is none, or blocks contain themselves."""
    try:
        return drawn(drawing, mm=mm, tolerance=free, stop=stop)
    except ValueError as fault:
        line, _, what = str(fault).partition(": ")
        raise BadInput(where=f"{name}, {line}", what=f"{what}.", do="Export it again.") from None


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


def closed_lines(work: _Work, cut: list[Curve]) -> tuple[list[Loop], Said]:
    """Closed lines from what is cut, and what was said on the way.

    Raises: BadInput: nothing closes; the widest place of the longest chain is named.
    """
    close = work.close
    repaired: list[Reason] = []
    lost = list(work.drawn.lost)
    doubts: list[Doubt] = []
    try:
        single = once(cut, 2 * close.snap)
        repaired.extend(drawn_twice(work, single.dropped))
        cut = list(single.curves)
    except Crowded:
        doubts.append(Doubt(because("flat.crowded"), because("flat.ask_crowded")))
    if work.stop():
        raise InterruptedError
    made = chained(cut, snap=close.snap, tolerance=close.gap)
    if not made.loops:
        raise nothing_closes(work, made)
    if len(made.loops) > MOST_LOOPS:
        what = f"it holds {len(made.loops)} closed lines, more than any part."
        raise BadInput(where=work.name, what=what, do="Export one part.")
    repaired.extend(gaps_said(work, made))
    for chain in made.open:
        lost.append(open_said(work, chain))
    doubts.extend(open_doubts(work, made))
    loops, became = [], []
    for loop in made.loops:
        smooth, chords = smoothed(loop, max(close.free, 1e-7))
        loops.append(smooth)
        if chords:
            became.append((chords, smooth[0].start))
    if became:
        chords = float(sum(n for n, _ in became))
        at = work.places([at for _, at in became])
        repaired.append(because("flat.repaired_chords", count=float(len(became)), chords=chords, places=at))
    if work.drawn.flattened:
        within = length_said(work, close.free)
        lost.append(because("flat.lost_flattened", count=float(work.drawn.flattened), within=within))
    if work.drawn.fitted:
        ask = because("flat.ask_fitted")
        doubts.append(Doubt(because("flat.fitted", count=float(work.drawn.fitted)), ask))
    doubts.extend(crossing_doubts(work, loops))
    return [loop for loop in loops if abs(loop_area(loop)) > close.gap**2], Said(tuple(repaired), tuple(lost), tuple(doubts))


def length_said(work: _Work, length: float) -> str:
    """A small length: in mm, or in the file's own numbers while the unit is asked."""
    return f"{length:.2g}" if work.close.gap < GAP_MM else f"{length:.2g} mm"


def drawn_twice(work: _Work, dropped: Sequence[Curve]) -> Iterator[Reason]:
    """What was drawn twice, by layer and place."""
    for layer in sorted({c.layer for c in dropped}):
        on = [c for c in dropped if c.layer == layer]
        yield because("flat.repaired_twice", count=float(len(on)), layer=layer, places=work.places([c.at(0.5) for c in on]))


def gaps_said(work: _Work, made: Chained) -> Iterator[Reason]:
    """Gaps that were closed, by layer and place."""
    for layer in sorted({g.layer for g in made.closed}):
        on = sorted((g for g in made.closed if g.layer == layer), key=lambda g: -g.gap)
        widest = length_said(work, on[0].gap)
        at = work.places([g.at for g in on])
        yield because("flat.repaired_gap", count=float(len(on)), layer=layer, widest=widest, places=at)


def open_said(work: _Work, chain: Open) -> Reason:
    """An open chain, by layer and place."""
    layer, at = chain.curves[0].layer, work.place(chain.at)
    lines, long = float(len(chain.curves)), length_said(work, chain.length)
    if chain.inner:
        return because("flat.lost_inner", layer=layer, place=at, lines=lines, long=long)
    if chain.gap is None:
        return because("flat.lost_branch", layer=layer, place=at, lines=lines, long=long)
    return because("flat.lost_open", layer=layer, place=at, gap=length_said(work, chain.gap), lines=lines, long=long)


def open_doubts(work: _Work, made: Chained) -> Iterator[Doubt]:
    """Questions about open chains: an outline that nearly closes may be a lost hole."""
    nearly = [c for c in made.open if c.gap is not None and c.gap < NEARLY_CLOSED * c.length and len(c.curves) > 1]
    for chain in nearly[:NAMED_PLACES]:
        what = because(
            "flat.open", layer=chain.curves[0].layer, place=work.place(chain.at), gap=length_said(work, chain.gap or 0.0)
        )
        yield Doubt(what, because("flat.ask_open"))
    inner = [c for c in made.open if c.inner]
    if inner:
        yield Doubt(because("flat.inner", places=work.places([c.at for c in inner])), because("flat.ask_inner"))
    rest = [c for c in made.open if c not in nearly and not c.inner]
    if rest:
        what = because("flat.stray", count=float(len(rest)), places=work.places([c.at for c in rest]))
        yield Doubt(what, because("flat.ask_stray"))


def crossing_doubts(work: _Work, loops: Sequence[Loop]) -> Iterator[Doubt]:
    """Where outlines cross themselves or each other."""
    try:
        found = crossings(loops, 2 * work.close.gap)
    except Crowded:
        yield Doubt(because("flat.crowded"), because("flat.ask_crowded"))
        return
    for own, key in ((True, "flat.crosses_itself"), (False, "flat.crosses_other")):
        places = [at for at, itself in found if itself is own]
        if places:
            yield Doubt(Reason(key, (("places", work.places(places)),)), because("flat.ask_crossing"))


def nothing_closes(work: _Work, made: Chained) -> BadInput:
    """Why there is no part: where the outline is open."""
    longest = max(made.open, key=lambda chain: chain.length, default=None)
    if longest is None:
        return BadInput(where=work.name, what="no line in it has a length.", do="Export it again.")
    where = f"{work.name}, layer {longest.curves[0].layer}, near {work.place(longest.at)}"
    if longest.gap is None:
        return BadInput(where=where, what="no line closes.", do="Close the outline in the drawing and export it again.")
    what = f"the outline is open by {length_said(work, longest.gap)}."
    return BadInput(where=where, what=what, do="Close it there and export it again.")


def part_of(work: _Work, loops: Sequence[Loop], unit: UnitSaid, said: Said) -> Part:
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


def thin_doubts(work: _Work, lines: Sequence[Nested]) -> Iterator[Doubt]:
    """Parts that would be nothing but a thin wall: an outline drawn as two lines side by side."""
    for line in lines:
        own = [other for other in lines if other.body == line.body]
        if line.inside or len(own) < 2:
            continue
        width = 2 * math.fsum(loop_area(o.loop) for o in own) / math.fsum(c.length for o in own for c in o.loop)
        low_x, low_y, high_x, high_y = box_of(line.loop)
        if width < THIN * math.hypot(high_x - low_x, high_y - low_y):
            what = because("flat.thin", part=str(line.body + 1), width=length_said(work, width), place=work.place(line.loop[0].start))
            yield Doubt(what, because("flat.ask_thin"))


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
    found: list[Marking] = []
    for role in ("bend", "engrave"):
        on = lines.curves.get(role, [])
        for layer in sorted({c.layer for c in on}):
            found.append(Marking(role, layer, tuple(edge_of(c) for c in on if c.layer == layer)))
    return tuple(found)


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
