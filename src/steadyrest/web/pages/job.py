"""One job: the six answers on one sheet."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top, Worded


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One size of a feature. numeral: the feature's number in the picture. trust: "sure", "likely" or "ask"."""

    feature: str
    numeral: str
    name: str
    nominal: Worded
    trust: str
    limits: Worded
    measured: str
    wear: str


@dataclass(frozen=True, slots=True)
class DoubtRow:
    what: str
    ask: str


@dataclass(frozen=True, slots=True)
class PhaseRow:
    name: str
    time: Worded
    who: str


@dataclass(frozen=True, slots=True)
class StepRow:
    name: str
    machine: str
    holding: str
    person: str
    machine_time: str
    alone: Worded
    phases: tuple[PhaseRow, ...]
    tools: tuple[str, ...]
    limits: tuple[Worded, ...]
    cautions: tuple[str, ...]
    hold_points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RouteRow:
    """A route that was not chosen, and why."""

    name: str
    cost: str
    finish: str
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RefusedRow:
    who: str
    reasons: tuple[str, ...]
    nearest: str


@dataclass(frozen=True, slots=True)
class OtherRow:
    """Another job, and what taking this one does to it."""

    name: str
    before: str
    after: str
    says: str


@dataclass(frozen=True, slots=True)
class LoadRow:
    who: str
    asked: str
    there: str


@dataclass(frozen=True, slots=True)
class NightRow:
    start: str
    end: str
    who: str
    machine: str
    job: str
    what: str


@dataclass(frozen=True, slots=True)
class BreakRow:
    quantity: int
    each: str
    total: str


@dataclass(frozen=True, slots=True)
class MeasureRow:
    feature: str
    size: str
    limits: str
    gauge: str
    accept: str
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadingField:
    """The next reading to take by hand, as a form: feature and size by key, and in words."""

    feature: str
    size: str
    says: str
    with_what: str
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class JobPage:
    """picture, pegs, night: SVG drawn by us. papers: (words, address). readings: hand readings already entered."""

    top: Top
    number: int
    what: str
    asked: str
    answer: str
    answer_why: tuple[str, ...]
    nearest_yes: str
    cautions: tuple[str, ...]
    picture: str
    sizes: tuple[SizeRow, ...]
    doubts: tuple[DoubtRow, ...]
    next_reading: ReadingField | None
    readings: tuple[str, ...]
    pegs: str
    finish: Worded
    odds: Worded
    offer: Worded
    walk_away: Worded
    cost: Worded
    breaks: tuple[BreakRow, ...]
    piece: Worded
    steps: tuple[StepRow, ...]
    others_routes: tuple[RouteRow, ...]
    refused: tuple[RefusedRow, ...]
    night: str
    night_rows: tuple[NightRow, ...]
    others: tuple[OtherRow, ...]
    load: tuple[LoadRow, ...]
    measures: tuple[MeasureRow, ...]
    papers: tuple[tuple[str, str], ...]
    seed: int
    guard: str
