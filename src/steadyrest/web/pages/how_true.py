"""How true the tool has been: promises, hours, and the figures that follow."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class KeptRow:
    """kind: "holds", "thin", "gone". kept: "9 of 10". expected: what the odds let expect of them."""

    kind: str
    kept: str
    expected: str


@dataclass(frozen=True, slots=True)
class PromiseRow:
    number: int
    what: str
    due: str
    odds: str
    happened: str


@dataclass(frozen=True, slots=True)
class HourRow:
    """A step that is done: what was planned with hands, and what it took."""

    number: int
    step: str
    who: str
    planned: str
    took: str


@dataclass(frozen=True, slots=True)
class LessonRow:
    """A ratio learned: usual, and in eight times of ten between which two."""

    of: str
    usual: str
    between: str
    steps: int


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure of the shop's own. field: its name in the form."""

    field: str
    says: str
    now: str
    then: str


@dataclass(frozen=True, slots=True)
class FifthRow:
    """A fifth of the odds: what it says, how many fell there, and their share in tenths, for a bar of pegs."""

    says: str
    jobs: str
    pegs: int


@dataclass(frozen=True, slots=True)
class PriceRow:
    """Quotes of like odds: between which two, how many were asked and taken, and how many the odds let expect."""

    odds: str
    asked: int
    won: int
    expected: str


@dataclass(frozen=True, slots=True)
class HowTruePage:
    """fifths: where whole jobs' hours fell in the odds; off: the same in a sentence, "" without any.

    prices, priced: the same of the odds that prices are taken; taken: where the quotes fell in those odds.
    costs, cost_off: as fifths and off, of what whole jobs cost.
    used: since when learned figures are in use, or "". trouble: why they could not be chosen, or ""."""

    top: Top
    kept: tuple[KeptRow, ...]
    promises: tuple[PromiseRow, ...]
    fifths: tuple[FifthRow, ...]
    off: str
    prices: tuple[PriceRow, ...]
    priced: str
    taken: tuple[FifthRow, ...]
    costs: tuple[FifthRow, ...]
    cost_off: str
    lessons: tuple[LessonRow, ...]
    lost: str
    hours: tuple[HourRow, ...]
    figures: tuple[FigureRow, ...]
    used: str
    trouble: str
    token: str
