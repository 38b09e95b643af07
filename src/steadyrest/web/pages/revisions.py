"""The drawings of a job: each revision beside the one before."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class StopMark:
    """Nobody goes on by this plan. job: its number. says: why, in words."""

    job: int
    says: str


@dataclass(frozen=True, slots=True)
class DifferenceRow:
    """One thing that is different. numeral: in the picture; "" for the whole part."""

    numeral: str
    what: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class RevisionRow:
    """A revision. at: its place among them, from 0, for its picture. came: who handed it in when. words: said with it.

    read: its file was read. summary: how much is different from the one before. rows: what. turned: the file lies
    otherwise. marked, gone: features stand filled in its picture, and in that of the one before.
    entry: for striking it, else "".
    """

    at: int
    name: str
    before: str
    came: str
    words: str
    read: bool
    summary: str
    turned: bool
    rows: tuple[DifferenceRow, ...]
    marked: bool
    gone: bool
    entry: str


@dataclass(frozen=True, slots=True)
class RevisionsPage:
    """revisions: the newest first. stop: None where the plan is of the newest. may_plan: the newest is read.

    answers: (what, before, after) that planning from the newest changed. reading: tasks under way.
    due: for the field. may_hand_in: the job is one part.
    """

    top: Top
    number: int
    what: str
    guard: str
    touches: tuple[str, str]
    stop: StopMark | None
    may_plan: bool
    due: str
    revisions: tuple[RevisionRow, ...]
    answers: tuple[tuple[str, str, str], ...]
    reading: tuple[int, ...]
    trouble: str
