"""The whole drawing as lines and arcs: blocks put where they are inserted, what draws nothing counted and said."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from steadyrest.part.files.dxf import Block, Drawing, Record
from steadyrest.part.flat.curve import Curve
from steadyrest.part.flat.entities import Placement, Unread, curves_of, facing
from steadyrest.part.flat.layers import Role, role_of
from steadyrest.shop.figure import Reason, because

CURVES = ("LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE")
# Nothing is cut along these, by what they are.
ASIDE = {
    "TEXT": "text", "MTEXT": "text", "ATTDEF": "text", "RTEXT": "text", "DIMENSION": "dimension",
    "ARC_DIMENSION": "dimension", "LARGE_RADIAL_DIMENSION": "dimension", "LEADER": "leader", "MULTILEADER": "leader",
    "MLEADER": "leader", "TOLERANCE": "tolerance frame", "HATCH": "hatch", "MPOLYGON": "hatch", "POINT": "point",
    "VIEWPORT": "viewport", "IMAGE": "picture", "WIPEOUT": "mask", "OLE2FRAME": "pasted object", "ACAD_TABLE": "table",
    "RAY": "endless line", "XLINE": "endless line", "SOLID": "filled area", "TRACE": "filled area",
}  # fmt: skip
DEEPEST = 24  # blocks inside blocks
MOST_CURVES = 150_000
NOTHING_MM = 1e-9  # a line no longer than that is a point: its direction is lost in rounding
MOST_VISITS = 300_000


@dataclass(frozen=True, slots=True)
class Drawn:
    """curves: by role; None is a layer that says nothing. lost: what was left out, said. flattened: free curves."""

    curves: dict[Role | None, list[Curve]]
    lost: tuple[Reason, ...]
    flattened: int
    fitted: int
    tilted: bool


@dataclass(slots=True)
class _Walk:
    """What is gathered on the way through the blocks."""

    drawing: Drawing
    tolerance: float
    stop: Callable[[], bool]
    curves: dict[Role | None, list[Curve]] = field(default_factory=dict[Role | None, list[Curve]])
    aside: Counter[str] = field(default_factory=Counter[str])
    unread: Counter[str] = field(default_factory=Counter[str])
    strange: Counter[str] = field(default_factory=Counter[str])
    hidden: Counter[str] = field(default_factory=Counter[str])
    missing: Counter[str] = field(default_factory=Counter[str])
    paper: int = 0
    flattened: int = 0
    fitted: int = 0
    visits: int = 0
    kept: int = 0


def drawn(drawing: Drawing, *, mm: float, tolerance: float, stop: Callable[[], bool]) -> Drawn:
    """Every curve of model space.

    Args:
        drawing: as read.
        mm: how many mm one of its units is.
        tolerance: how far chords may lie from a free curve, mm.
        stop: asked now and then.
    Returns: curves by role, and what was left out.
    Raises: ValueError: a number is missing, blocks without end, too many curves. InterruptedError: stop said so.
    """
    walk = _Walk(drawing, tolerance, stop)
    model = [r for r in drawing.entities if not r.number(67, 0)]
    walk.paper = len(drawing.entities) - len(model)
    _walk_all(walk, model, Placement(a=mm, d=mm), "0", ())
    return Drawn(walk.curves, tuple(_left_out(walk)), walk.flattened, walk.fitted, "flat.lost_tilted" in walk.unread)


def _walk_all(
    walk: _Walk, found: list[Record] | tuple[Record, ...], placed: Placement, layer: str, inside: tuple[str, ...]
) -> None:
    for record in found:
        walk.visits += 1
        if walk.visits > MOST_VISITS:
            raise ValueError(f"line {record.line}: blocks repeat more than any drawing of a part does")
        if walk.visits % 256 == 0 and walk.stop():
            raise InterruptedError
        own = layer if record.layer == "0" and inside else record.layer
        known = walk.drawing.layers.get(own.lower())
        if (known is not None and known.hidden) or record.number(60, 0):
            walk.hidden[own] += 1
        elif record.kind == "INSERT":
            _walk_insert(walk, record, placed, own, inside)
        elif record.kind in CURVES:
            _take(walk, record, placed, own)
        elif record.kind in ASIDE:
            walk.aside[ASIDE[record.kind]] += 1
        else:
            walk.strange[record.kind.lower()] += 1


def _walk_insert(walk: _Walk, record: Record, placed: Placement, layer: str, inside: tuple[str, ...]) -> None:
    """A block where it is inserted, as often as its rows and columns say."""
    name = record.text(2)
    block = walk.drawing.blocks.get(name.lower())
    if block is None:
        walk.missing[name] += 1
        return
    if name.lower() in inside or len(inside) >= DEEPEST:
        raise ValueError(f"line {record.line}: block {name} contains itself")
    try:
        facing(record)
    except Unread as why:
        walk.unread[str(why)] += 1
        return
    for place in _places(record, block):
        _walk_all(walk, block.entities, placed.after(place), layer, (*inside, name.lower()))


def _places(record: Record, block: Block) -> Iterator[Placement]:
    """Where the block lies, once for each row and column."""
    turn = math.radians(record.number(50, 0.0))
    cos, sin = math.cos(turn), math.sin(turn)
    sx, sy = record.number(41, 1.0), record.number(42, 1.0)
    columns, rows = (max(1, int(record.number(code, 1))) for code in (70, 71))
    if columns * rows > MOST_VISITS:
        raise ValueError(f"line {record.line}: a block {columns} times {rows} times")
    dx, dy = record.number(44, 0.0), record.number(45, 0.0)
    x, y = record.number(10, 0.0), record.number(20, 0.0)
    bx, by = block.base
    for row in range(rows):
        for column in range(columns):
            ax, ay = column * dx, row * dy
            shift = Placement(cos, sin, -sin, cos, x + cos * ax - sin * ay, y + sin * ax + cos * ay)
            yield facing(record).after(shift).after(Placement(sx, 0.0, 0.0, sy, -sx * bx, -sy * by))


def _take(walk: _Walk, record: Record, placed: Placement, layer: str) -> None:
    """An entity's curves, by what its layer and line type say."""
    try:
        curves = curves_of(record, placed, layer=layer, tolerance=walk.tolerance)
    except Unread as why:
        walk.unread[str(why)] += 1
        return
    curves = tuple(c for c in curves if c.length > NOTHING_MM and (c.closed or math.dist(c.start, c.end) > NOTHING_MM))
    if not curves:
        walk.unread["flat.lost_degenerate"] += 1
        return
    walk.kept += len(curves)
    if walk.kept > MOST_CURVES:
        raise ValueError(f"line {record.line}: more lines than any drawing of a part holds")
    linetype = record.text(6).lower()
    known = walk.drawing.layers.get(layer.lower())
    if linetype in ("", "bylayer") and known is not None:
        linetype = known.linetype
    walk.curves.setdefault(role_of(layer, linetype), []).extend(curves)
    walk.flattened += any(c.made == "chord" for c in curves)
    walk.fitted += record.kind == "SPLINE" and not record.has(10)


def _left_out(walk: _Walk) -> Iterator[Reason]:
    """What was left out, one sentence each."""
    for kind, count in sorted(walk.strange.items()):
        yield because("flat.lost_kind", count=float(count), kind=kind)
    for name, count in sorted(walk.missing.items()):
        yield because("flat.lost_block", count=float(count), block=name)
    for key, count in sorted(walk.unread.items()):
        yield Reason(key, (("count", float(count)),))
    if walk.hidden:
        layers = ", ".join(sorted(walk.hidden))
        yield because("flat.lost_hidden", count=float(sum(walk.hidden.values())), layers=layers)
    if walk.paper:
        yield because("flat.lost_paper", count=float(walk.paper))
    if walk.aside:
        said = ", ".join(
            f"{count} {kind}" + ("s" if count > 1 and kind != "text" else "")
            for kind, count in sorted(walk.aside.items())
        )
        yield because("flat.lost_aside", what=said)
