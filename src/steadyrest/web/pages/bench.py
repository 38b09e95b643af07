"""The bench: the jobs there are, soonest due first, what is being read, and what could not be."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class BenchRow:
    """planned: whether there is a plan, and so pegs. odds: of the due time, in words. promise: what may be promised."""

    number: int
    what: str
    due: str
    answer: str
    planned: bool
    pegs: int
    odds: str
    promise: str


@dataclass(frozen=True, slots=True)
class TaskRow:
    id: int
    what: str
    says: str


@dataclass(frozen=True, slots=True)
class BenchPage:
    """besides: how many jobs are over or were never answered, in words, "" for none."""

    top: Top
    jobs: tuple[BenchRow, ...]
    besides: str
    reading: tuple[TaskRow, ...]
    failed: tuple[TaskRow, ...]
