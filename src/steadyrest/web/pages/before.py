"""Before they leave: what to ask and try while the part and the visitor are still here."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class QuestionRow:
    """key, rank: as the form sends them back. numeral: the feature's number in the picture, or ""."""

    key: str
    rank: int
    ask: str
    gauge: str
    numeral: str
    why: tuple[str, ...]
    cautions: tuple[str, ...]
    typed: str


@dataclass(frozen=True, slots=True)
class AnsweredRow:
    about: str
    said: str
    when: str


@dataclass(frozen=True, slots=True)
class BeforePage:
    """trouble: why the last answer was not written down, or ""."""

    top: Top
    job: int
    what: str
    questions: tuple[QuestionRow, ...]
    answered: tuple[AnsweredRow, ...]
    trouble: str
    guard: str
