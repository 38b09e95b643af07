"""What is wanted of the saw: parts, the pieces they may come from, and what cutting and opening cost."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Turns = Literal["none", "end for end", "both"]


@dataclass(frozen=True, slots=True)
class BarPiece:
    """A piece on the rack. cost: of opening it, whatever is taken from it."""

    id: str
    length_mm: Decimal
    cost: Decimal


@dataclass(frozen=True, slots=True)
class BarPart:
    """So many parts of one length. length_mm: as sawn, over its longest points, with all that is left on it for later.

    faced_mm: of that, what is faced off at its two ends. ends_deg: how far each cut is swung from square; the same sign
    at both: the long points lie on one side, else across. due: its rank, 0 the first.
    """

    id: str
    length_mm: Decimal
    count: int
    faced_mm: Decimal = Decimal(0)
    ends_deg: tuple[float, float] = (0.0, 0.0)
    due: int = 0

    @property
    def mitred(self) -> bool:
        """Whether an end is not square."""
        return self.ends_deg != (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class BarSection:
    """What the bar looks like across. deep_mm: across the plane in which the saw swings; kg_per_m: None: not known.

    turns: how a part may lie in the saw without its section lying otherwise: "none", "end for end", or "both", that and
    on its other side, so that a mitre comes the other way round.
    """

    shape: str
    size_mm: tuple[float, ...]
    deep_mm: float
    kg_per_m: float | None
    turns: Turns


@dataclass(frozen=True, slots=True)
class SawTime:
    """cut_s: of one cut. load_s: a piece to the saw and set to length. stack: so many equal pieces are cut at once."""

    cut_s: float
    load_s: float
    stack: int
    person_per_hour: Decimal


@dataclass(frozen=True, slots=True)
class CutWanted:
    """A cutting list. Written lengths and amounts are kept as they were written: decimals, no floats.

    kerf_mm: lost at each cut. end_trim_mm: cut off the end of a piece first; 0: none. grip_mm: the least that stays in
    the vice. rest_keep_mm: a rest of at least this goes back to the rack, at rest_value_per_mm. lift_kg: what may be
    moved by hand; while more than that is on the saw, the longest part comes off first.
    """

    kerf_mm: Decimal
    end_trim_mm: Decimal
    grip_mm: Decimal
    rest_keep_mm: Decimal
    rest_value_per_mm: Decimal
    pieces: tuple[BarPiece, ...]
    parts: tuple[BarPart, ...]
    currency: str
    section: BarSection | None = None
    saw: SawTime | None = None
    lift_kg: float | None = None

    @property
    def in_order(self) -> bool:
        """Whether more is asked than which part comes from which piece: section, saw, mitres, facing, due times."""
        more = any(part.mitred or part.faced_mm for part in self.parts) or len({part.due for part in self.parts}) > 1
        return more or self.section is not None or self.saw is not None or self.lift_kg is not None

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
