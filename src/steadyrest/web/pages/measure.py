"""Measure: every limit of a piece with a field for its reading, what the reading decides, and what next if not."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class GaugeRow:
    """A gauge to choose. planned: the one on the measuring plan."""

    id: str
    says: str
    planned: bool


@dataclass(frozen=True, slots=True)
class ToldRow:
    """A reading that was told. entry: its number, as a correction names it."""

    entry: int
    says: str
    when: str


@dataclass(frozen=True, slots=True)
class Deciding:
    """The form that says what becomes of a wrong or open size. touch: its mark."""

    touch: str
    choices: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class SizeRow:
    """A size to measure. feature, size: as the form sends them back; anchor: where the page jumps to.

    state: "open", "right", ... stands: the same in words, with what was read. accept: what the gauge has to read.
    typed: what was typed and not written down. deciding: None where there is nothing to decide. touch: the form's mark.
    """

    anchor: str
    feature: str
    size: str
    numeral: str
    what: str
    shown: str
    limits: str
    accept: str
    state: str
    stands: str
    odds: str
    nexts: tuple[str, ...]
    why: tuple[str, ...]
    gauges: tuple[GaugeRow, ...]
    overdue: tuple[str, ...]
    told: tuple[ToldRow, ...]
    decided: str
    deciding: Deciding | None
    typed: str
    touch: str


@dataclass(frozen=True, slots=True)
class PieceRow:
    """Another piece of the lot, and how it stands."""

    number: int
    says: str


@dataclass(frozen=True, slots=True)
class MeasurePage:
    """piece, pieces: which of how many. state: of the whole piece, in words. own: sizes with limits of their own.

    general: those by the general tolerance. measured: pieces with readings. after: the next piece, 0 for none.
    trouble: why the last reading was not written down, and at_fault: the anchor of its size. people: (id, name).
    """

    top: Top
    job: int
    what: str
    piece: int
    pieces: int
    state: str
    own: tuple[SizeRow, ...]
    general: tuple[SizeRow, ...]
    measured: tuple[PieceRow, ...]
    after: int
    people: tuple[tuple[str, str], ...]
    unit: str
    has_picture: bool
    trouble: str
    at_fault: str
    guard: str
