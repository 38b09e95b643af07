"""May I leave it running: the form that takes a program, and the answer."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.papers.leaving_words import LeavingWords
from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class CheckedRow:
    """A program that was checked before. again: its number, where its file was kept, so that it can be opened."""

    program: str
    machine: str
    answer: str
    when: str
    again: int


@dataclass(frozen=True, slots=True)
class LeavePage:
    """The form. trouble: the one line that says what was wrong with the last try. The rest: what the fields hold.

    machines: names. kept: programs that were handed in before, as (number of the check, words).
    checked: what was checked lately, newest first. guard: the form's token.
    """

    top: Top
    trouble: str
    machines: tuple[str, ...]
    machine: str
    unit: str
    blank: str
    kept: tuple[tuple[int, str], ...]
    checked: tuple[CheckedRow, ...]
    guard: str


@dataclass(frozen=True, slots=True)
class ReleaseForm:
    """Handing it over to the machine. needs_somebody: the check said no.

    last: the last release in words, "" if there is none. differences: to that one, in moves.
    """

    needs_somebody: bool
    last: str
    differences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LeavingPage:
    """The answer. check: its number, for pictures and the sheet. then: what the check said, where it differs now.

    people: (id, name), for forms. edge_trouble: why an edge's end was not written down.
    has_path: there is something to draw. trouble: why the last release did not go. release: None where the machine has
    no watched folder.
    """

    top: Top
    check: int
    words: LeavingWords
    then: str
    has_path: bool
    people: tuple[tuple[str, str], ...]
    release: ReleaseForm | None
    trouble: str
    edge_trouble: str
    guard: str
