"""Quotes from a list: one row a step, won or lost, with the actual time of what was done."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass

from steadyrest.shop.figure import Reason, because
from steadyrest.trouble import BadInput

NEEDED = ("job", "step", "station", "person", "estimate_s", "rivals")
YES, NO = frozenset({"1", "true", "yes"}), frozenset({"0", "false", "no"})
LONGEST_S = 1e10  # some three hundred years; beyond that it is a slip
MOST_RIVALS = 1000


@dataclass(frozen=True, slots=True)
class QuotedStep:
    """One step as it was estimated. actual_s: None: not done, or not written down. person: "" for nobody."""

    step: str
    station: str
    person: str
    estimate_s: float
    actual_s: float | None


@dataclass(frozen=True, slots=True)
class Quote:
    """One job as it was offered. rivals: how many others offered too. won: it was given to us."""

    job: str
    rivals: int
    won: bool
    steps: tuple[QuotedStep, ...]

    @property
    def estimate_s(self) -> float:
        """Seconds estimated for the whole job."""
        return sum(step.estimate_s for step in self.steps)

    @property
    def actual_s(self) -> float | None:
        """Seconds the whole job took; None unless every step has its time."""
        actual = [step.actual_s for step in self.steps]
        return None if None in actual else sum(one for one in actual if one is not None)


@dataclass(frozen=True, slots=True)
class QuoteList:
    """Quotes in the order in which their jobs first appear, and what is doubted about them."""

    quotes: tuple[Quote, ...]
    doubts: tuple[Reason, ...]


def read_past(text: str, where: str) -> QuoteList:
    """Quotes of the past, won and lost.

    Args:
        text: CSV with a head: job, step, station, person, estimate_s, rivals, won and actual_s, in any order.
        where: the file's name, for what is said about it.
    Returns: the quotes; none, if only the head stands there.
    Raises: BadInput: a column is missing, or a row cannot be meant.
    """
    return _read(text, where, past=True)


def read_new(text: str, where: str) -> QuoteList:
    """Jobs to ask about; all were won. An actual_s is not looked at.

    Args:
        text: CSV as of the past; won and actual_s may be left out.
        where: the file's name, for what is said about it.
    Returns: the quotes, all won.
    Raises: BadInput: a column is missing, a row cannot be meant, or there is no job.
    """
    found = _read(text, where, past=False)
    if not found.quotes:
        raise BadInput(where=where, what="no job stands in it.", do="Give a row a step under the head.")
    return found


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    job: str
    rivals: int
    won: bool
    step: QuotedStep
    needless: bool  # a lost quote with a time


def _read(text: str, where: str, *, past: bool) -> QuoteList:
    jobs: dict[str, list[_Row]] = {}
    for row in _rows(text, where, past=past):
        rows = jobs.setdefault(row.job, [])
        if rows and (rows[0].rivals, rows[0].won) != (row.rivals, row.won):
            what = f"job {row.job} has other rivals or another won than on line {rows[0].line}."
            raise BadInput(where=f"{where}, line {row.line}", what=what, do="Write the same on all its rows.")
        rows.append(row)
    quotes = tuple(Quote(job, rows[0].rivals, rows[0].won, tuple(r.step for r in rows)) for job, rows in jobs.items())
    every = [row for rows in jobs.values() for row in rows]
    doubts: list[Reason] = []
    if past:
        open_steps = sum(row.won and row.step.actual_s is None for row in every)
        needless = sum(row.needless for row in every)
        doubts += [because("lessons.open", steps=open_steps)] * (open_steps > 0)
        doubts += [because("lessons.needless", steps=needless)] * (needless > 0)
        doubts += [because("lessons.nothing_done")] * all(row.step.actual_s is None for row in every)
    elif lost := sum(not quote.won for quote in quotes):
        doubts.append(because("lessons.asked_lost", jobs=lost))
    return QuoteList(quotes, tuple(doubts))


def _rows(text: str, where: str, *, past: bool) -> Iterator[_Row]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        head = [name.strip() for name in next(reader, [])]
        needed = (*NEEDED, "won", "actual_s") if past else NEEDED
        if missing := [name for name in needed if name not in head]:
            do = f"The first line must name {', '.join(needed)}."
            raise BadInput(where=f"{where}, line 1", what=f"no column {missing[0]}.", do=do)
        if twice := [name for name in needed if head.count(name) > 1]:
            raise BadInput(where=f"{where}, line 1", what=f"column {twice[0]} stands there twice.", do="Keep one.")
        for cells in reader:
            at = f"{where}, line {reader.line_num}"
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) > len(head) or len(cells) < len(head) - (head[-1] == "actual_s"):
                what = f"{len(cells)} values under a head of {len(head)}."
                raise BadInput(where=at, what=what, do="Give each column one; quote a text that has a comma.")
            row = dict(zip(head, (cell.strip() for cell in cells), strict=False))
            yield _row(row, at, reader.line_num, past=past)
    except csv.Error as fault:
        do = "Write plain comma-separated values."
        raise BadInput(where=f"{where}, line {reader.line_num}", what=f"not CSV ({fault}).", do=do) from None


def _row(row: dict[str, str], at: str, line: int, *, past: bool) -> _Row:
    for name in ("job", "step", "station"):
        if not row[name]:
            raise BadInput(where=at, what=f"{name} is empty.", do="Every step has a job, a name and a station.")
    rivals = _number(row["rivals"], "rivals", at, "Write 0 if nobody else offered.")
    if rivals != int(rivals) or not 0 <= rivals <= MOST_RIVALS:
        what = f"rivals is {row['rivals']!r}."
        raise BadInput(where=at, what=what, do=f"Write a whole number from 0 to {MOST_RIVALS}.")
    won = _won(row["won"], at) if "won" in row else True
    needless = past and not won and row.get("actual_s", "") not in ("", "0")
    actual_s = _seconds(row["actual_s"], "actual_s", at) if past and won and row.get("actual_s") else None
    estimate_s = _seconds(row["estimate_s"], "estimate_s", at)
    step = QuotedStep(row["step"], row["station"], row["person"], estimate_s, actual_s)
    return _Row(line, row["job"], int(rivals), won, step, needless)


def _won(text: str, at: str) -> bool:
    if text.lower() in YES | NO:
        return text.lower() in YES
    raise BadInput(where=at, what=f"won is {text!r}.", do="Write 1 for a job that was given to us, 0 for a lost one.")


def _seconds(text: str, name: str, at: str) -> float:
    found = _number(text, name, at, "Write seconds, such as 5400.")
    if not 0 < found <= LONGEST_S:
        do = "Write seconds above 0 and below 10000000000; leave actual_s empty where a step was not done."
        raise BadInput(where=at, what=f"{name} is {text!r}.", do=do)
    return found


def _number(text: str, name: str, at: str, do: str) -> float:
    try:
        found = float(text)
    except ValueError:
        found = math.nan
    if not math.isfinite(found):
        raise BadInput(where=at, what=f"{name} is {text!r}, not a number.", do=do)
    return found
