"""The request file of `steadyrest stock cut`."""

from __future__ import annotations

from decimal import Decimal

from steadyrest.shop.shop_fields import Fields
from steadyrest.stock.asked.fields import amount, currency, ids, request, unread
from steadyrest.stock.cutting.wanted import BarPart, BarPiece, CutWanted

KEYS = (
    "kerf_mm", "end_trim_mm", "grip_mm", "currency", "rest_keep_mm", "rest_value_per_mm", "time_limit_s",
    "piece", "part",
)  # fmt: skip
PIECE_KEYS, PART_KEYS = ("id", "length_mm", "cost"), ("id", "length_mm", "count")
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
            BarPart(name, _mm(row, "length_mm", LONGEST_MM, above=True), row.whole("count", high=MOST_PARTS))
            for name, row in zip(part_names, parts, strict=True)
        ),
        currency=currency(file),
    )
    if sum(part.count for part in wanted.parts) > MOST_PARTS:
        raise file.wrong("part", f"more than {MOST_PARTS} parts.", "Split the list.")
    seconds = file.number("time_limit_s", SECONDS, high=MOST_SECONDS)
    rows = [*((row, PIECE_KEYS) for row in pieces), *((row, PART_KEYS) for row in parts)]
    beside = tuple(key for row, known in rows for key in unread(row, known))
    return (wanted, seconds), (*unread(file, KEYS), *beside)


def _mm(fields: Fields, key: str, high: float, default: float | None = None, *, above: bool = False) -> Decimal:
    return _exactly(fields.number(key, default, high=high, above=above))


def _exactly(value: float) -> Decimal:
    """The decimal that was written: the shortest that reads as this number."""
    return Decimal(repr(value)).normalize()
