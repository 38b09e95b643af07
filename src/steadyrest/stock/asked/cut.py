"""The request file of `steadyrest stock cut`."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import cast

from steadyrest.shop.shop_fields import Fields
from steadyrest.stock.asked.fields import amount, currency, ids, ranks, request, unread
from steadyrest.stock.cutting.mitred import middle_mm
from steadyrest.stock.cutting.wanted import BarPart, BarPiece, BarSection, CutWanted, SawTime, Turns
from steadyrest.stock.pieces import SIZES, area_mm2, possible
from steadyrest.tables.materials import find_material

KEYS = (
    "kerf_mm", "end_trim_mm", "grip_mm", "currency", "rest_keep_mm", "rest_value_per_mm", "time_limit_s",
    "face_mm", "piece", "part", "section", "saw", "lift_kg",
)  # fmt: skip
PIECE_KEYS = ("id", "length_mm", "cost", "heat_number")
PART_KEYS = ("id", "length_mm", "count", "face_mm", "ends_deg", "due")
SECTION_KEYS = ("shape", "size_mm", "material", "density_kg_m3", "deep_mm", "turns")
SAW_KEYS = ("cut_s", "load_s", "stack", "person_per_hour")
STEEPEST_DEG = 75.0
ALL_TURNS: tuple[Turns, ...] = ("none", "end for end", "both")
# How a section may lie in the saw and lie there as before.
TURNS: Mapping[str, Turns] = {"angle": "none", "channel": "end for end", "casting": "none"}
LONGEST_MM = 1e6
MOST_PARTS = 20_000
SECONDS = 60.0
MOST_SECONDS = 3600.0


def read_cut(text: str, where: str) -> tuple[tuple[CutWanted, float], tuple[str, ...]]:
    """Which parts are to be cut from which pieces, and how long to look for the best way.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: the values and the seconds, and the keys that were not read.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    file = request(text, where)
    pieces, parts = file.each("piece"), file.each("part")
    piece_names, part_names = ids(pieces, "piece"), ids(parts, "part")
    due = {name: row.table["due"] for name, row in zip(part_names, parts, strict=True) if "due" in row.table}
    rank = ranks(due, dict(zip(part_names, parts, strict=True)))
    section = file.inner("section") if "section" in file.table else None
    saw = file.inner("saw") if "saw" in file.table else None
    face_mm = _mm(file, "face_mm", 1000, 0.0)
    wanted = CutWanted(
        kerf_mm=_mm(file, "kerf_mm", 1000),
        end_trim_mm=_mm(file, "end_trim_mm", LONGEST_MM, 0.0),
        grip_mm=_mm(file, "grip_mm", LONGEST_MM, 0.0),
        rest_keep_mm=_mm(file, "rest_keep_mm", LONGEST_MM, 0.0),
        rest_value_per_mm=_exactly(amount(file, "rest_value_per_mm", 0.0)),
        pieces=tuple(
            BarPiece(name, _mm(row, "length_mm", LONGEST_MM, above=True), _exactly(amount(row, "cost")))
            for name, row in zip(piece_names, pieces, strict=True)
        ),
        parts=tuple(
            _part(name, row, rank[name], face_mm, section) for name, row in zip(part_names, parts, strict=True)
        ),
        currency=currency(file),
        section=_section(section) if section else None,
        saw=_saw(saw) if saw else None,
        lift_kg=file.number("lift_kg", above=True, high=1e6) if "lift_kg" in file.table else None,
    )
    for name, row, part in zip(part_names, parts, wanted.parts, strict=True):
        if wanted.section is not None and middle_mm(part, wanted.section.deep_mm) <= 0:
            raise row.wrong("ends_deg", f"{name} is too short for such ends: they meet.", "Check its length.")
    if sum(part.count for part in wanted.parts) > MOST_PARTS:
        raise file.wrong("part", f"more than {MOST_PARTS} parts.", "Split the list.")
    seconds = file.number("time_limit_s", SECONDS, high=MOST_SECONDS)
    known = [(section, SECTION_KEYS)] if section else []
    known += [(saw, SAW_KEYS)] if saw else []
    rows = [*known, *((row, PIECE_KEYS) for row in pieces), *((row, PART_KEYS) for row in parts)]
    beside = tuple(key for row, known in rows for key in unread(row, known))
    return (wanted, seconds), (*unread(file, KEYS), *beside)


def _part(name: str, row: Fields, due: int, face_mm: Decimal, section: Fields | None) -> BarPart:
    """A part as it is sawn. Raises: BadInput: mitred without a section, or steeper than a saw swings."""
    faced = 2 * _mm(row, "face_mm", 1000, float(face_mm))
    ends = (0.0, 0.0)
    if "ends_deg" in row.table:
        found = row.numbers("ends_deg", count=2, above=False, low=-STEEPEST_DEG, high=STEEPEST_DEG)
        ends = (found[0], found[1])
        if section is None and ends != (0.0, 0.0):
            raise row.wrong("ends_deg", "how deep the bar is at the saw is not said.", "Add [section].")
    length = _mm(row, "length_mm", LONGEST_MM, above=True) + faced
    return BarPart(name, length, row.whole("count", high=MOST_PARTS), faced, ends, due)


def _section(fields: Fields) -> BarSection:
    """The bar across. Raises: BadInput: sizes that cannot be, a metal that no table has."""
    shape = fields.text("shape", among=tuple(SIZES))
    size = fields.numbers("size_mm")
    if wrong := possible(shape, size):
        raise fields.wrong("size_mm", f"{wrong}.", "Measure again.")
    density = fields.number("density_kg_m3", above=True, high=1e5) if "density_kg_m3" in fields.table else None
    if density is None and "material" in fields.table:
        density = find_material(fields.text("material"), fields.place("material")).density_kg_m3
    per_m = None if density is None else area_mm2(shape, size) * density * 1e-6
    deep_mm = fields.number("deep_mm", size[0], above=True, high=20_000)
    turns = cast(Turns, fields.text("turns", TURNS.get(shape, "both"), among=ALL_TURNS))
    return BarSection(shape, size, deep_mm, per_m, turns)


def _saw(fields: Fields) -> SawTime:
    return SawTime(
        fields.number("cut_s", high=1e5), fields.number("load_s", 0.0, high=1e5),
        fields.whole("stack", 1, low=1, high=100), _exactly(amount(fields, "person_per_hour", 0.0)),
    )  # fmt: skip


def _mm(fields: Fields, key: str, high: float, default: float | None = None, *, above: bool = False) -> Decimal:
    return _exactly(fields.number(key, default, high=high, above=above))


def _exactly(value: float) -> Decimal:
    """The decimal that was written: the shortest that reads as this number."""
    return Decimal(repr(value)).normalize()
