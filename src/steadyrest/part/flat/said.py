"""What reading a drawing mended, what it could not keep, and what it doubts: three lists, each by layer and place."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from steadyrest.part.flat.chains import Chained, Loop, Open
from steadyrest.part.flat.crossings import crossings
from steadyrest.part.flat.curve import Curve, box_of, loop_area
from steadyrest.part.flat.drawn import Drawn
from steadyrest.part.flat.near import Crowded
from steadyrest.part.flat.nest import Nested
from steadyrest.part.flat.unit import GAP_MM, Close
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Doubt, Vec2
from steadyrest.trouble import BadInput

Stop = Callable[[], bool]
NEARLY_CLOSED = 0.1  # of a chain's length: an open outline with less than that between its ends was meant to close
HOLLOW = 0.8
THIN = 0.015  # of a part's diagonal: a wall thinner than that is more likely one line drawn as two
NAMED_PLACES = 6


@dataclass(frozen=True, slots=True)
class Work:
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


def length_said(work: Work, length: float) -> str:
    """A small length: in mm, or in the file's own numbers while the unit is asked."""
    return f"{length:.2g}" if work.close.gap < GAP_MM else f"{length:.2g} mm"


def drawn_twice(work: Work, dropped: Sequence[Curve]) -> Iterator[Reason]:
    """What was drawn twice, by layer and place."""
    for layer in sorted({c.layer for c in dropped}):
        on = [c for c in dropped if c.layer == layer]
        yield because(
            "flat.repaired_twice", count=float(len(on)), layer=layer, places=work.places([c.at(0.5) for c in on])
        )


def gaps_said(work: Work, made: Chained) -> Iterator[Reason]:
    """Gaps that were closed, by layer and place."""
    for layer in sorted({g.layer for g in made.closed}):
        on = sorted((g for g in made.closed if g.layer == layer), key=lambda g: -g.gap)
        widest = length_said(work, on[0].gap)
        at = work.places([g.at for g in on])
        yield because("flat.repaired_gap", count=float(len(on)), layer=layer, widest=widest, places=at)


def chords_said(work: Work, smooth: Sequence[tuple[Loop, int]]) -> Iterator[Reason]:
    """Short lines that were read as arcs."""
    became = [(loop, chords) for loop, chords in smooth if chords]
    if became:
        at = work.places([loop[0].start for loop, _ in became])
        chords = float(sum(chords for _, chords in became))
        yield because("flat.repaired_chords", count=float(len(became)), chords=chords, places=at)


def tiny_said(work: Work, loops: Sequence[Loop]) -> Iterator[Reason]:
    """Closed lines that enclose less than the gap that is closed."""
    if loops:
        at = work.places([loop[0].start for loop in loops])
        yield because("flat.lost_tiny", count=float(len(loops)), places=at)


def free_said(work: Work) -> Iterator[Reason]:
    """Free curves kept as short lines."""
    if work.drawn.flattened:
        within = length_said(work, work.close.free)
        yield because("flat.lost_flattened", count=float(work.drawn.flattened), within=within)


def fitted_doubts(work: Work) -> Iterator[Doubt]:
    """Splines that are given only by points that they pass."""
    if work.drawn.fitted:
        yield Doubt(because("flat.fitted", count=float(work.drawn.fitted)), because("flat.ask_fitted"))


def open_said(work: Work, chain: Open) -> Reason:
    """An open chain, by layer and place."""
    layer, at = chain.curves[0].layer, work.place(chain.at)
    lines, long = float(len(chain.curves)), length_said(work, chain.length)
    if chain.inner:
        return because("flat.lost_inner", layer=layer, place=at, lines=lines, long=long)
    if chain.gap is None:
        return because("flat.lost_branch", layer=layer, place=at, lines=lines, long=long)
    return because("flat.lost_open", layer=layer, place=at, gap=length_said(work, chain.gap), lines=lines, long=long)


def open_doubts(work: Work, made: Chained) -> Iterator[Doubt]:
    """Questions about open chains: an outline that nearly closes may be a lost hole."""
    nearly = [c for c in made.open if c.gap is not None and c.gap < NEARLY_CLOSED * c.length and len(c.curves) > 1]
    for chain in nearly[:NAMED_PLACES]:
        what = because(
            "flat.open",
            layer=chain.curves[0].layer,
            place=work.place(chain.at),
            gap=length_said(work, chain.gap or 0.0),
        )
        yield Doubt(what, because("flat.ask_open"))
    inner = [c for c in made.open if c.inner]
    if inner:
        yield Doubt(because("flat.inner", places=work.places([c.at for c in inner])), because("flat.ask_inner"))
    rest = [c for c in made.open if c not in nearly and not c.inner]
    if rest:
        what = because("flat.stray", count=float(len(rest)), places=work.places([c.at for c in rest]))
        yield Doubt(what, because("flat.ask_stray"))


def crossing_doubts(work: Work, loops: Sequence[Loop]) -> Iterator[Doubt]:
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


def nothing_closes(work: Work, made: Chained) -> BadInput:
    """Why there is no part: where the outline is open."""
    longest = max(made.open, key=lambda chain: chain.length, default=None)
    if longest is None:
        return BadInput(where=work.name, what="no line in it has a length.", do="Export it again.")
    where = f"{work.name}, layer {longest.curves[0].layer}, near {work.place(longest.at)}"
    if longest.gap is None:
        return BadInput(where=where, what="no line closes.", do="Close the outline in the drawing and export it again.")
    what = f"the outline is open by {length_said(work, longest.gap)}."
    return BadInput(where=where, what=what, do="Close it there and export it again.")


def thin_doubts(work: Work, lines: Sequence[Nested]) -> Iterator[Doubt]:
    """Parts that would be nothing but a thin wall: an outline drawn as two lines side by side."""
    for line in lines:
        if line.inside:
            continue
        own = [other for other in lines if other.body == line.body]
        areas = [abs(loop_area(o.loop)) for o in own]
        # Nearly all of it is one cut-out: a perforated plate has narrow walls too.
        if len(own) < 2 or max(areas[1:]) < HOLLOW * areas[0]:
            continue
        width = 2 * math.fsum(loop_area(o.loop) for o in own) / math.fsum(c.length for o in own for c in o.loop)
        low_x, low_y, high_x, high_y = box_of(line.loop)
        if width < THIN * math.hypot(high_x - low_x, high_y - low_y):
            what = because(
                "flat.thin",
                part=str(line.body + 1),
                width=length_said(work, width),
                place=work.place(line.loop[0].start),
            )
            yield Doubt(what, because("flat.ask_thin"))
