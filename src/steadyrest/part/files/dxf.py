"""The tags of a DXF file: header unit, layers, blocks and entities, each with the line where it stands.

Text and binary, of every release. A tag is a group code and a value; a record is what stands from one code 0 to the
next. Read here and not by the library that writes our drawings: that one gives a file without a header the unit metre,
needs another reader for old releases, and says no line numbers. What the tags draw is part/flat/'s business.
Source: the published DXF reference (group codes by range, binary sentinel), from memory; checked against ezdxf.
"""

from __future__ import annotations

import math
import re
import struct
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from steadyrest.trouble import BadInput

SENTINEL = b"AutoCAD Binary DXF\r\n\x1a\x00"
UNITS = {1: ("in", 25.4), 2: ("ft", 304.8), 4: ("mm", 1.0), 5: ("cm", 10.0), 6: ("m", 1000.0), 13: ("um", 0.001)}
MOST_RECORDS = 400_000
MOST_TAGS = 12_000_000
FARTHEST = 1e9  # in the file's unit; beyond it nothing can be told from rounding
ESCAPED = re.compile(r"\\U\+([0-9A-Fa-f]{4})")
CHILDREN = ("VERTEX", "ATTRIB")

Tag = tuple[int, str | float, int]


@dataclass(frozen=True, slots=True)
class Record:
    """One entity or table entry: its kind, tags (group code, value), the line it begins on, and what hangs on it."""

    kind: str
    tags: tuple[Tag, ...]
    line: int
    children: tuple[Record, ...] = ()

    def text(self, code: int, default: str = "") -> str:
        return next((str(v).strip() for c, v, _ in self.tags if c == code), default)

    def has(self, code: int) -> bool:
        return any(c == code for c, _, _ in self.tags)

    def number(self, code: int, default: float | None = None) -> float:
        """The first number of a code. Raises: ValueError: it is not there and has no default, or is no number."""
        for c, value, line in self.tags:
            if c == code:
                return finite(value, line)
        if default is None:
            raise ValueError(f"line {self.line}: {self.kind} lacks its group {code}")
        return default

    def numbers(self, code: int) -> tuple[float, ...]:
        return tuple(finite(value, line) for c, value, line in self.tags if c == code)

    @property
    def layer(self) -> str:
        return self.text(8, "0")


@dataclass(frozen=True, slots=True)
class Layer:
    name: str
    hidden: bool
    linetype: str


@dataclass(frozen=True, slots=True)
class Block:
    name: str
    base: tuple[float, float]
    entities: tuple[Record, ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """What a file holds. unit: (name, mm) of its header, None where it names none. entities: of model and paper."""

    unit: tuple[str, float] | None
    layers: dict[str, Layer]
    blocks: dict[str, Block]
    entities: tuple[Record, ...]


def is_dxf(data: bytes) -> bool:
    """Whether the bytes open as a DXF file does, text or binary."""
    if data.startswith(SENTINEL[:18]):
        return True
    lines = [line.strip() for line in data[:8192].lstrip(b"\xef\xbb\xbf").splitlines()]
    while len(lines) > 2 and lines[0] == b"999":
        lines = lines[2:]
    return lines[:2] == [b"0", b"SECTION"]


def read_drawing(data: bytes, name: str) -> Drawing:
    """The drawing in a DXF file.

    Args:
        data: the whole file, text or binary.
        name: the file's name, for messages.
    Returns: unit, layers, blocks and entities, as tags.
    Raises: BadInput: not a DXF file, cut short, damaged, or larger than any drawing of a part; with the line.
    """
    if not is_dxf(data):
        raise BadInput(where=name, what="this does not open as a DXF file does.", do="Export it again as DXF.")
    try:
        tags = binary_tags(data) if data.startswith(SENTINEL[:18]) else text_tags(data)
        sections = sections_of(records(tags))
        header, tables, blocks, entities = (sections.get(s, []) for s in ("HEADER", "TABLES", "BLOCKS", "ENTITIES"))
        return Drawing(header_unit(header), layers_of(tables), blocks_of(blocks), tuple(grouped(entities)))
    except ValueError as fault:
        line, _, what = str(fault).partition(": ")
        raise BadInput(where=f"{name}, {line}", what=f"{what}.", do="Export or copy it again.") from None


def text_tags(data: bytes) -> Iterator[Tag]:
    """Group code and value of each pair of lines. Raises: ValueError: a code that is none."""
    lines = data.lstrip(b"\xef\xbb\xbf").splitlines()
    for k in range(0, len(lines) - 1, 2):
        code = lines[k].strip()
        try:
            number = int(code)
        except ValueError:
            if not code and not b"".join(lines[k:]).strip():
                return
            raise ValueError(f"line {k + 1}: {plain(code[:20])!r} is no group code") from None
        yield number, plain(lines[k + 1]), k + 2


def plain(raw: bytes) -> str:
    """Text as written: UTF-8, else the older western code page; code points written out are put in."""
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        text = raw.decode("cp1252", errors="replace")
    return ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) if "\\U+" in text else text


def binary_tags(data: bytes) -> Iterator[Tag]:
    """Tags of a binary file; the byte stands for the line. Raises: ValueError: cut short in a value."""
    if not data.startswith(SENTINEL):
        raise ValueError("byte 0: the mark of a binary file is damaged")
    wide = data[len(SENTINEL) : len(SENTINEL) + 2] == b"\0\0"  # old releases give a code one byte
    at = len(SENTINEL)
    try:
        while at < len(data):
            begun = at
            if wide or data[at] == 255:
                at += 0 if wide else 1
                (code,) = struct.unpack_from("<h", data, at)
                at += 2
            else:
                code, at = data[at], at + 1
            value, at = binary_value(data, code, at)
            yield code, value, begun
    except (struct.error, IndexError):
        raise ValueError(f"byte {at}: the file is cut short") from None


def binary_value(data: bytes, code: int, at: int) -> tuple[str | float, int]:
    """One value by its group code's range, and where the next tag begins."""
    if 310 <= code < 320 or code == 1004:
        return "", at + 1 + data[at]
    form = binary_form(code)
    if form:
        return struct.unpack_from(form, data, at)[0], at + struct.calcsize(form)
    end = data.find(b"\0", at)
    if end < 0:
        raise IndexError
    return plain(data[at:end]), end + 1


def binary_form(code: int) -> str:
    """How a number of this code is packed; empty for text."""
    if 10 <= code < 60 or 110 <= code < 150 or 210 <= code < 240 or 460 <= code < 470 or 1010 <= code < 1060:
        return "<d"
    if 60 <= code < 80 or 170 <= code < 180 or 270 <= code < 290 or 370 <= code < 390 or 400 <= code < 410:
        return "<h"
    if 90 <= code < 100 or 420 <= code < 430 or 440 <= code < 460 or code == 1071:
        return "<i"
    if 160 <= code < 170:
        return "<q"
    if 290 <= code < 300:
        return "<b"
    return "<h" if 1060 <= code < 1071 else ""


def records(tags: Iterable[Tag]) -> Iterator[Record]:
    """Tags from one code 0 to the next. Raises: ValueError: no end mark, or too many."""
    kind, begun, held, count = "", 0, list[Tag](), 0
    for many, (code, value, line) in enumerate(tags):
        if many > MOST_TAGS or count > MOST_RECORDS:
            raise ValueError(f"line {line}: more than any drawing of a part holds")
        if code == 0:
            if kind:
                yield Record(kind, tuple(held), begun)
            kind, begun, held, count = str(value).strip().upper(), line, [], count + 1
            if kind == "EOF":
                yield Record(kind, (), begun)
                return
        elif code != 999:
            held.append((code, value, line))
    raise ValueError(f"line {begun}: the file is cut short; its end mark is missing")


def sections_of(found: Iterable[Record]) -> dict[str, list[Record]]:
    """Records by section; the header's variables stand in its mark. Raises: ValueError: a section without an end."""
    sections: dict[str, list[Record]] = {}
    inside = ""
    for record in found:
        if record.kind == "SECTION":
            if inside:
                raise ValueError(f"line {record.line}: section {inside} has no end")
            inside = record.text(2).upper() or "?"
            sections.setdefault(inside, []).append(record)
        elif record.kind == "ENDSEC":
            inside = ""
        elif record.kind == "EOF" and inside:
            raise ValueError(f"line {record.line}: section {inside} has no end")
        elif inside in ("TABLES", "BLOCKS", "ENTITIES"):
            sections[inside].append(record)
    for name in ("BLOCKS", "ENTITIES", "TABLES"):
        sections[name] = [r for r in sections.get(name, []) if r.kind != "SECTION"]
    return sections


def header_unit(header: list[Record]) -> tuple[str, float] | None:
    """What the header says one unit is; None where it is silent, says none, or one that drawings of parts have not."""
    wanted = False
    for record in header:
        for code, value, line in record.tags:
            if code == 9:
                wanted = str(value).strip().upper() == "$INSUNITS"
            elif wanted and code == 70:
                return UNITS.get(int(finite(value, line)))
    return None


def layers_of(tables: list[Record]) -> dict[str, Layer]:
    """Layers by name in small letters."""
    return {
        record.text(2).lower(): Layer(
            name=record.text(2),
            hidden=bool(int(record.number(70, 0)) & 1) or record.number(62, 7) < 0,
            linetype=record.text(6).lower(),
        )
        for record in tables
        if record.kind == "LAYER" and record.has(2)
    }


def blocks_of(found: list[Record]) -> dict[str, Block]:
    """Blocks by name in small letters."""
    blocks: dict[str, Block] = {}
    head: Record | None = None
    held: list[Record] = []
    for record in found:
        if record.kind == "BLOCK":
            head, held = record, []
        elif record.kind == "ENDBLK" and head is not None:
            name = head.text(2)
            blocks[name.lower()] = Block(name, (head.number(10, 0.0), head.number(20, 0.0)), tuple(grouped(held)))
            head = None
        else:
            held.append(record)
    return blocks


def grouped(found: list[Record]) -> Iterator[Record]:
    """Entities with what hangs on them: a polyline's vertices."""
    head: Record | None = None
    held: list[Record] = []
    for record in found:
        if head is not None and record.kind in CHILDREN:
            held.append(record)
            continue
        if head is not None:
            yield Record(head.kind, head.tags, head.line, tuple(held))
            head = None
        if record.kind in ("POLYLINE", "INSERT"):
            head, held = record, []
        elif record.kind not in ("SEQEND", *CHILDREN):
            yield record
    if head is not None:
        yield Record(head.kind, head.tags, head.line, tuple(held))


def finite(value: str | float, line: int) -> float:
    """A number that a drawing can hold. Raises: ValueError: with the line."""
    try:
        number = float(value)
    except ValueError:
        raise ValueError(f"line {line}: {str(value).strip()[:20]!r} is no number") from None
    if not math.isfinite(number) or abs(number) > FARTHEST:
        raise ValueError(f"line {line}: {str(value).strip()[:20]} is no length of a part")
    return number
