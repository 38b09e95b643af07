"""The path over the blank: solid where it cuts, dashed where it hurries, thick and thin by tool, tools by numeral.

A mill's path is seen from above and, below that, from the front; a lathe's beside its axis. One scale, work
coordinates. A filled numeral marks where the machine would stand and wait. Rapids are drawn as far as the frame.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from steadyrest import units
from steadyrest.papers.drawing import ink, numerals
from steadyrest.papers.drawing.ink import Palette, Point
from steadyrest.papers.drawing.legend import wrapped
from steadyrest.papers.drawing.numerals import Mark
from steadyrest.papers.drawing.path_lines import clipped, flattened, strokes
from steadyrest.program.night.stretches import cutting
from steadyrest.program.run import FloatArray, Motion, Run
from steadyrest.shop.leaving import Blank, BoxBlank

MARGIN = 5.0
NEAR = 0.6  # how much of the blank is shown beyond what is cut, in sizes of that
AROUND = 0.06  # of the drawing's width, left round what is cut for the rapids to be seen
NARROWEST_MM = 80.0
HIGHEST_SHARE = 1.1
WIDTHS = (0.6, 0.2, 0.42, 0.3)
RAPID_WIDTH = 0.16
SIZE, SMALL, LINE = 4.2, 3.6, 5.6
MOST_TOOLS, MOST_STOPS = 12, 8
OFF_SHARE = 0.0005
GAP = 8.0
COVERED = 0.3  # of the frame by ink; a path that would cover more is drawn finer
FINEST = 0.3


@dataclass(frozen=True, slots=True)
class ToolOnPath:
    """A tool as the list below the path names it. said: kind and time in the cut, in words."""

    number: int
    said: str


@dataclass(frozen=True, slots=True)
class StopOnPath:
    """Where the machine would stand and wait: before a move, with the reason in words."""

    before: int
    said: str


@dataclass(frozen=True, slots=True)
class View:
    """A way of looking: which work axis runs across, which one up, and how they are called."""

    across: int
    up: int
    name: str


TOP, FRONT, BESIDE = View(0, 1, "from above"), View(0, 2, "from the front"), View(2, 0, "beside the axis")


@dataclass(frozen=True, slots=True)
class Paper:
    """Where a view lies on paper."""

    view: View
    low: FloatArray
    high: FloatArray
    left: float
    top: float
    scale: float

    def at(self, points: FloatArray) -> FloatArray:
        """Work coordinates (..., 3) on paper."""
        flat = points[..., [self.view.across, self.view.up]]
        x = self.left + (flat[..., 0] - self.low[self.view.across]) * self.scale
        y = self.top + (self.high[self.view.up] - flat[..., 1]) * self.scale
        return np.stack([x, y], axis=-1)

    @property
    def size(self) -> tuple[float, float]:
        span = self.high - self.low
        return float(span[self.view.across]) * self.scale, float(span[self.view.up]) * self.scale


def path_svg(
    run: Run,
    *,
    blank: Blank | None,
    lathe: bool,
    tools: Sequence[ToolOnPath] = (),
    stops: Sequence[StopOnPath] = (),
    width_mm: float = 180.0,
    unit: units.LengthUnit = "mm",
    dark: bool = False,
) -> str:
    """The path of a run over its blank as SVG text.

    Args:
        run: one execution.
        blank: in work coordinates; None where nobody said.
        lathe: X is a radius, and the view is beside the axis.
        tools: for the list below, in the order of their first cut.
        stops: where it would stand and wait.
        width_mm: of the drawing on paper; at least 80.
        unit: the reader's, for the size of the frame.
        dark: light ink for a dark page.
    Returns: SVG text; empty where nothing is cut.
    Raises: ValueError: the drawing is too narrow.
    """
    if width_mm < NARROWEST_MM:
        raise ValueError(f"path_svg: width_mm {width_mm!r} must be at least {NARROWEST_MM}")
    cuts = cutting(run)
    if not cuts.any():
        return ""
    colours = ink.DARK if dark else ink.LIGHT
    low, high = reach(run, cuts, blank, lathe=lathe)
    views = (BESIDE,) if lathe else (TOP, FRONT)
    scale = scale_of(low, high, views, width_mm)
    tools_cut, first = np.unique(run.moves.tool[cuts], return_index=True)
    order = [int(tool) for tool in tools_cut[np.argsort(first)]]
    shapes: list[str] = []
    y, grid_mm = 2.0, 0.0
    for number, view in enumerate(views):
        width = float(high[view.across] - low[view.across]) * scale
        paper = Paper(view, low, high, (width_mm - width) / 2, y, scale)
        drawn = one_view(
            run, cuts, paper, blank, order, stops if number == 0 else (), colours, width_mm, named=number == 0
        )
        shapes += drawn.shapes
        grid_mm = max(grid_mm, drawn.grid_mm / scale)
        y += drawn.height + GAP
    rows = listed(order, tools, stops, top=y - GAP / 2, width=width_mm, colours=colours)
    shapes += rows.shapes
    y = rows.bottom
    spans = (units.show_length(round(float(v), 1), unit, fractions=False) for v in (high - low)[list(seen(views))])
    off = units.show_length(grid_mm, unit, fractions=False)
    for said in wrapped(f"{len(run.moves)} moves; frame {' × '.join(spans)}; drawn within {off}", SMALL, width_mm - 8):
        y += 4.6
        shapes.append(ink.text((MARGIN, y), said, size=SMALL, fill=colours.soft))
    names = ", ".join(f"T{tool}" for tool in order)
    description = f"Solid lines cut, dashed lines are rapids. Tools in order: {names}. " + " ".join(
        f"Stop {k}: {stop.said}." for k, stop in enumerate(stops, start=1)
    )
    return ink.svg(
        shapes, width_mm=width_mm, height_mm=y + 3, title="The path over the blank", description=description.strip()
    )


def seen(views: Sequence[View]) -> tuple[int, ...]:
    """The axes that the views show, each once."""
    return tuple(sorted({axis for view in views for axis in (view.across, view.up)}))


def reach(run: Run, cuts: npt.NDArray[np.bool_], blank: Blank | None, *, lathe: bool) -> tuple[FloatArray, FloatArray]:
    """The box of what is cut and of the blank, with a little room for rapids, in work coordinates."""
    moves = run.moves
    points = np.vstack([(moves.start_mm - moves.offset_mm)[cuts], (moves.end_mm - moves.offset_mm)[cuts]])
    arcs = cuts & (moves.motion != Motion.LINE)
    if arcs.any():
        pieces = flattened(moves, np.flatnonzero(arcs), off_mm=0.05)
        points = np.vstack([points, pieces.reshape(-1, 3)])
    low, high = points.min(axis=0), points.max(axis=0)
    corners = blank_corners(blank, lathe=lathe)
    if corners is not None:
        # Of a bar a metre long only what stands near the cut, or the cut could not be seen.
        near = NEAR * float((high - low).max())
        low = np.minimum(low, np.maximum(corners[0], low - near))
        high = np.maximum(high, np.minimum(corners[1], high + near))
    if lathe:
        low[0] = min(0.0, float(low[0]))
    room = AROUND * float((high - low).max())
    low, high = low - room, high + room
    if lathe:
        low[0] = min(low[0] + room, 0.0) - 0.25 * room
    return low, high


def blank_corners(blank: Blank | None, *, lathe: bool) -> tuple[FloatArray, FloatArray] | None:
    """The blank's box."""
    if blank is None:
        return None
    if isinstance(blank, BoxBlank):
        return np.array(blank.min_mm), np.array(blank.max_mm)
    r, (z0, z1) = blank.diameter_mm / 2, blank.z_mm
    return (
        (np.array([0.0, 0.0, z0]), np.array([r, 0.0, z1])) if lathe else (np.array([-r, -r, z0]), np.array([r, r, z1]))
    )


def scale_of(low: FloatArray, high: FloatArray, views: Sequence[View], width_mm: float) -> float:
    """Paper millimetres per millimetre, so that all views fit in width and not too high."""
    span = np.maximum(high - low, 1e-6)
    wide = max(float(span[view.across]) for view in views)
    tall = sum(float(span[view.up]) for view in views)
    return min((width_mm - 2 * MARGIN) / wide, HIGHEST_SHARE * width_mm / tall)


@dataclass(frozen=True, slots=True)
class Drawing:
    shapes: list[str]
    height: float
    grid_mm: float


def one_view(
    run: Run,
    cuts: npt.NDArray[np.bool_],
    paper: Paper,
    blank: Blank | None,
    order: Sequence[int],
    stops: Sequence[StopOnPath],
    colours: Palette,
    width_mm: float,
    *,
    named: bool,
) -> Drawing:
    """One view: blank, rapids, cuts; numerals above and stops below where it is named."""
    tool_marks = anchors(run, cuts, paper, order[:MOST_TOOLS]) if named else []
    stop_marks = [Mark(str(k), x, x, y) for k, (x, y) in enumerate(places(run, stops[:MOST_STOPS], paper), start=1)]
    blank_ink = replace(colours, ink=colours.paper, paper=colours.ink)
    edge = {"left": 2.0, "right": width_mm - 2.0}
    over = numerals.row(tool_marks, level=0.0, up=True, colours=colours, **edge)
    lift = over.height + numerals.CLEAR if tool_marks else 4.0
    paper = replace(paper, top=paper.top + lift)
    shapes: list[str] = [frame(paper, colours), *body(blank, paper, lathe=paper.view is BESIDE, colours=colours)]
    if paper.view is BESIDE:
        shapes.append(axis_line(paper, colours))
    path, grid_mm, _ = path_of(run, np.flatnonzero(~cuts), paper)
    if path:
        shapes.append(stroke(path, RAPID_WIDTH, colours.soft, dash="1.4 1.1"))
    by_tool = [path_of(run, np.flatnonzero(cuts & (run.moves.tool == tool)), paper) for tool in order]
    covered = sum(length * WIDTHS[k % len(WIDTHS)] for k, (_, _, length) in enumerate(by_tool))
    finer = min(1.0, max(FINEST, COVERED * paper.size[0] * paper.size[1] / max(covered, 1e-9)))
    for k, (path, grid, _) in enumerate(by_tool):
        grid_mm = max(grid_mm, grid)
        if path:
            shapes.append(stroke(path, finer * WIDTHS[k % len(WIDTHS)], colours.ink))
    tool_marks = [replace(mark, y=mark.y + lift) for mark in tool_marks]
    over = numerals.row(tool_marks, level=paper.top - numerals.CLEAR, up=True, colours=colours, **edge)
    foot = paper.top + paper.size[1]
    stop_marks = [replace(mark, y=mark.y + lift) for mark in stop_marks]
    under = numerals.row(stop_marks, level=foot + numerals.CLEAR, up=False, colours=blank_ink, **edge)
    shapes += [*over.shapes, *under.shapes]
    shapes += [ink.circle((mark.low, mark.y), 0.9, fill=colours.ink) for mark in stop_marks]
    below = numerals.CLEAR + under.height if stop_marks else 0.0
    shapes.append(ink.text((paper.left, foot + below + 4.6), paper.view.name, size=SMALL, fill=colours.soft))
    return Drawing(shapes, lift + paper.size[1] + below + 5.0, grid_mm)


def path_of(run: Run, which: npt.NDArray[np.int64], paper: Paper) -> tuple[str, float, float]:
    """Some moves as one path within the frame; how far off it may be, and how long it is, mm on paper."""
    if not len(which):
        return "", 0.0, 0.0
    pieces = paper.at(flattened(run.moves, which, off_mm=OFF_SHARE * 180 / paper.scale))
    width, height = paper.size
    pieces = clipped(pieces, (paper.left, paper.top), (paper.left + width, paper.top + height))
    drawn = strokes(pieces)
    path = " ".join(
        "M" + "L".join(f"{ink.number(float(x))} {ink.number(float(y))}" for x, y in line) for line in drawn.points
    )
    length = sum(float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in drawn.points)
    return path, drawn.grid_mm, length


def stroke(path: str, width: float, colour: str, *, dash: str = "") -> str:
    """A path as a line."""
    dashes = {"stroke_dasharray": dash} if dash else {}
    return ink.element(
        "path", d=path, fill="none", stroke=colour, stroke_width=width, stroke_linejoin="round",
        stroke_linecap="butt" if dash else "round", **dashes,
    )  # fmt: skip


def frame(paper: Paper, colours: Palette) -> str:
    """The edge where rapids are cut off."""
    width, height = paper.size
    return ink.element(
        "rect", x=paper.left, y=paper.top, width=width, height=height, fill="none", stroke=colours.soft,
        stroke_width=0.12,
    )  # fmt: skip


def body(blank: Blank | None, paper: Paper, *, lathe: bool, colours: Palette) -> list[str]:
    """The blank's outline in this view."""
    corners = blank_corners(blank, lathe=lathe)
    if corners is None:
        return []
    (x0, y0), (x1, y1) = paper.at(np.clip(np.stack(corners), paper.low, paper.high))
    if not isinstance(blank, BoxBlank) and paper.view is TOP:
        across = ((float(x0 + x1) / 2, float(y0 + y1) / 2), abs(float(x1 - x0)) / 2)
        return [ink.circle(*across, fill=colours.body, stroke=colours.ink, width=0.3)]
    sides = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    outline = [(float(x), float(y)) for x, y in sides]
    return [ink.polygon(outline, fill=colours.body, stroke=colours.ink, width=0.3)]


def axis_line(paper: Paper, colours: Palette) -> str:
    """The lathe's axis."""
    ends = paper.at(np.array([[0.0, 0.0, paper.low[2]], [0.0, 0.0, paper.high[2]]]))
    (x0, y0), (x1, y1) = ((float(x), float(y)) for x, y in ends)
    return ink.line((x0, y0), (x1, y1), colours.soft, width=0.2, dash="5 1.2 0.8 1.2")


def anchors(run: Run, cuts: npt.NDArray[np.bool_], paper: Paper, order: Sequence[int]) -> list[Mark]:
    """For each tool a point of its own cutting path, as near the upper edge as the others leave room."""
    taken: list[float] = []
    marks: list[Mark] = []
    width = paper.size[0]
    for tool in order:
        which = np.flatnonzero(cuts & (run.moves.tool == tool))
        # Enough of them to choose from; a million moves are not needed to find a place for a numeral.
        which = which[:: max(1, len(which) // 4000)]
        points = paper.at(run.moves.end_mm[which] - run.moves.offset_mm[which])
        apart = np.ones(len(points)) * 1e9
        for x in taken:
            apart = np.minimum(apart, np.abs(points[:, 0] - x))
        free = apart >= numerals.APART
        if not free.any():
            continue
        # Room beside the others counts for more than height.
        score = np.minimum(apart, 0.15 * width) - 0.5 * (points[:, 1] - paper.top)
        k = int(np.argmax(np.where(free, score, -np.inf)))
        x, y = (float(v) for v in points[k])
        taken.append(x)
        marks.append(Mark(str(tool), x, x, y))
    return marks


def places(run: Run, stops: Sequence[StopOnPath], paper: Paper) -> list[Point]:
    """Where each stop stands on paper: the end of the last move before it, held inside the frame."""
    found: list[Point] = []
    width, height = paper.size
    for stop in stops:
        move = min(max(stop.before - 1, 0), len(run.moves) - 1)
        x, y = (float(v) for v in paper.at(run.moves.end_mm[move] - run.moves.offset_mm[move]))
        x = min(max(x, paper.left), paper.left + width)
        while any(abs(x - other) < numerals.APART for other, _ in found):
            x += numerals.APART if x < paper.left + width / 2 else -numerals.APART
        found.append((x, min(max(y, paper.top), paper.top + height)))
    return found


@dataclass(frozen=True, slots=True)
class Listed:
    shapes: list[str]
    bottom: float


def listed(
    order: Sequence[int], tools: Sequence[ToolOnPath], stops: Sequence[StopOnPath], *, top: float, width: float,
    colours: Palette,
) -> Listed:  # fmt: skip
    """The tools with a sample of their line, and the stops, in words."""
    said = {tool.number: tool.said for tool in tools}
    shapes: list[str] = []
    y = top
    columns = 2 if width >= 150 and len(order) > 3 else 1
    each = (width - 2 * MARGIN) / columns
    for k, tool in enumerate(order):
        column, row = divmod(k, -(-len(order) // columns))
        x, y = MARGIN + column * each, top + (row + 1) * (LINE + 1.4)
        shapes += numerals.numeral((x + 3, y - 1.5), str(tool), colours)
        stroke = WIDTHS[k % len(WIDTHS)]
        shapes.append(ink.line((x + 8, y - 1.5), (x + 18, y - 1.5), colours.ink, width=stroke))
        shapes.append(ink.text((x + 21, y), said.get(tool, "not in the machine's list"), size=SIZE, fill=colours.ink))
    y = top + (-(-len(order) // columns) + 1) * (LINE + 1.4)
    shapes.append(ink.line((MARGIN + 8, y - 1.5), (MARGIN + 18, y - 1.5), colours.soft, width=0.25, dash="1.4 1.1"))
    shapes.append(ink.text((MARGIN + 21, y), "rapid", size=SIZE, fill=colours.soft))
    filled = replace(colours, ink=colours.paper, paper=colours.ink)
    for k, stop in enumerate(stops[:MOST_STOPS], start=1):
        y += LINE + 1.4
        shapes += numerals.numeral((MARGIN + 3, y - 1.5), str(k), filled)
        for more, said in enumerate(wrapped(stop.said, SIZE, width - 2 * MARGIN - 8)):
            y += LINE if more else 0.0
            shapes.append(ink.text((MARGIN + 8, y), said, size=SIZE, fill=colours.ink))
    if len(stops) > MOST_STOPS:
        y += LINE
        said = f"and {len(stops) - MOST_STOPS} more stops"
        shapes.append(ink.text((MARGIN + 8, y), said, size=SIZE, fill=colours.ink))
    return Listed(shapes, y + 1.5)
