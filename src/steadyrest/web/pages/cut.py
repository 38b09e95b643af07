"""The cut list: wanted lengths, and how they are cut from the rack."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class StepRow:
    """One part coming off. moved: on the saw before the cut; off: what comes off."""

    part: str
    length: str
    ends: str
    moved: str
    off: str


@dataclass(frozen=True, slots=True)
class BarShown:
    """One piece to be cut. label: its own, where it may be written down as cut; "" of one to buy.

    state: such as "written down as cut".
    """

    name: str
    label: str
    where: str
    says: str
    heavy: str
    steps: tuple[StepRow, ...]
    rest: str
    state: str


@dataclass(frozen=True, slots=True)
class CutShown:
    """A list. where: its address; sure: how near the cheapest it is; open: how many are still to be cut."""

    where: str
    says: str
    sure: str
    bars: tuple[BarShown, ...]
    lacking: tuple[str, ...]
    doubts: tuple[str, ...]
    cautions: tuple[str, ...]
    open: int


@dataclass(frozen=True, slots=True)
class CutPage:
    """bars: to choose from, (key, words). typed: what the form says. jobs: number and words. touch: the form's mark.
    rows: lists that were made, (key, words)."""

    top: Top
    guard: str
    bars: tuple[tuple[str, str], ...]
    typed: dict[str, str]
    unit: str
    plan: CutShown | None
    people: tuple[tuple[str, str], ...]
    jobs: tuple[tuple[int, str], ...]
    touch: str
    trouble: str
    rows: tuple[tuple[str, str], ...]
