"""What is wanted of the saw: parts, the pieces they may come from, and what cutting and opening cost."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class BarPiece:
    """A piece on the rack. cost: of opening it, whatever is taken from it."""

    id: str
    length_mm: Decimal
    cost: Decimal


@dataclass(frozen=True, slots=True)
class BarPart:
    """So many parts of one length. length_mm: as sawn, with all that is left on it for later."""

    id: str
    length_mm: Decimal
    count: int


@dataclass(frozen=True, slots=True)
class CutWanted:
    """A cutting list. Written lengths and amounts are kept as they were written: decimals, no floats.

    kerf_mm: lost at each cut. end_trim_mm: cut off the end of a piece first; 0: none. grip_mm: the least that stays in
    the vice. rest_keep_mm: a rest of at least this goes back to the rack, at rest_value_per_mm.
    """

    kerf_mm: Decimal
    end_trim_mm: Decimal
    grip_mm: Decimal
    rest_keep_mm: Decimal
    rest_value_per_mm: Decimal
    pieces: tuple[BarPiece, ...]
    parts: tuple[BarPart, ...]
    currency: str

    @property
    def trim_mm(self) -> Decimal:
        """What trimming the end takes: the end and its cut, or nothing."""
        return self.end_trim_mm + self.kerf_mm if self.end_trim_mm > 0 else Decimal(0)

    def rest_mm(self, piece: BarPiece, parts_mm: list[Decimal]) -> Decimal:
        """What is left of the piece when these parts are cut off it, each with its kerf."""
        return piece.length_mm - self.trim_mm - sum(parts_mm, Decimal(0)) - self.kerf_mm * len(parts_mm)

    def cost_of(self, piece: BarPiece, rest_mm: Decimal) -> Decimal:
        """What opening the piece costs when this is left of it."""
        kept = rest_mm * self.rest_value_per_mm if rest_mm >= self.rest_keep_mm else Decimal(0)
        return piece.cost - kept
