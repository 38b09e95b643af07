"""Drawings as text, written tag by tag: shares nothing with the reader nor with any library."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from steadyrest.part.flat.flat_part import flat_part
from steadyrest.part.nominal.name import name_sizes
from steadyrest.shop.part import Part
from steadyrest.wording.say import say

Pair = tuple[int, object]


def tags(*pairs: Pair) -> str:
    return "".join(f"{code}\n{value}\n" for code, value in pairs)


def drawing(entities: str, *, blocks: str = "", unit: int | None = 4, layers: str = "") -> bytes:
    head = tags((0, "SECTION"), (2, "HEADER"), (9, "$INSUNITS"), (70, unit), (0, "ENDSEC")) if unit is not None else ""
    tables = (
        tags((0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER")) + layers + tags((0, "ENDTAB"), (0, "ENDSEC"))
    )
    held = tags((0, "SECTION"), (2, "BLOCKS")) + blocks + tags((0, "ENDSEC"))
    drawn = tags((0, "SECTION"), (2, "ENTITIES")) + entities + tags((0, "ENDSEC"), (0, "EOF"))
    return (head + tables + held + drawn).encode()


def line(x0: float, y0: float, x1: float, y1: float, layer: str = "0", *more: Pair) -> str:
    return tags((0, "LINE"), (8, layer), (10, x0), (20, y0), (11, x1), (21, y1), *more)


def lines(points: Iterable[tuple[float, float]], layer: str = "0") -> str:
    return "".join(line(*a, *b, layer) for a, b in pairwise(points))


def rectangle(x0: float, y0: float, x1: float, y1: float, layer: str = "0") -> str:
    return lines([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)], layer)


def circle(x: float, y: float, r: float, layer: str = "0", *more: Pair) -> str:
    return tags((0, "CIRCLE"), (8, layer), (10, x), (20, y), (40, r), *more)


def arc(x: float, y: float, r: float, first: float, last: float, layer: str = "0") -> str:
    return tags((0, "ARC"), (8, layer), (10, x), (20, y), (40, r), (50, first), (51, last))


def polyline(points: Iterable[tuple[float, float, float]], *, closed: bool = True, layer: str = "0") -> str:
    vertices = [pair for x, y, bulge in points for pair in ((10, x), (20, y), (42, bulge))]
    return tags((0, "LWPOLYLINE"), (8, layer), (70, int(closed)), *vertices)


def insert(name: str, x: float = 0, y: float = 0, *more: Pair) -> str:
    return tags((0, "INSERT"), (8, "0"), (2, name), (10, x), (20, y), *more)


def block(name: str, entities: str, x: float = 0, y: float = 0) -> str:
    return tags((0, "BLOCK"), (2, name), (10, x), (20, y)) + entities + tags((0, "ENDBLK"))


def layer(name: str, *, colour: int = 7, flags: int = 0, linetype: str = "CONTINUOUS") -> str:
    return tags((0, "LAYER"), (2, name), (70, flags), (62, colour), (6, linetype))


def read(data: bytes, unit: str | None = None) -> Part:
    """The part, named; and every sentence of it worded once."""
    part = name_sizes(flat_part(data, "plate.dxf", unit=unit, progress=lambda _, __: None, stop=lambda: False))
    for reason in (part.unit.why, *part.repaired, *part.lost, *(r for d in part.doubts for r in (d.what, d.ask))):
        assert say(reason)
    assert all(say(reason) for feature in part.features for reason in feature.why)
    return part


def sizes(part: Part, kind: str) -> list[tuple[float, ...]]:
    """The sizes of every feature of a kind, rounded to 0.1 um."""
    return sorted(tuple(round(s.estimate, 4) for s in f.sizes) for f in part.features if f.kind == kind)


def said(part: Part, what: str) -> set[str]:
    """The keys of one of the three lists: "repaired", "lost" or "doubts"."""
    if what == "doubts":
        return {d.what.key for d in part.doubts}
    return {reason.key for reason in getattr(part, what)}
