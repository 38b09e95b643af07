"""A change as a person says it: "lathe down 22:00 to 09:00", "ana in 17:00 to 20:00", "drop 214".

    drop JOB                                  the order is lost, or refused
    PERSON in FROM to TO [cost AMOUNT]        somebody is there for longer
    PERSON away FROM to TO                    somebody is not there
    MACHINE down FROM to TO                   a machine stands
    JOB due MOMENT                            another due time
    JOB outside STEP DAYS days [cost AMOUNT]  a step is done elsewhere

A moment is ISO 8601 with its offset, or a time of day: the next such moment after now (a TO: after its FROM).
`add FILE.toml` is read by the desk, which opens files.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation

from steadyrest.promise.asked import AskedWeek
from steadyrest.promise.suppose.change import Away, Change, Drop, Due, Extra, Outside, Stands
from steadyrest.trouble import BadInput

CLOCK = re.compile(r"([01]\d|2[0-3]):([0-5]\d)")
WAYS = (
    '"drop JOB", "PERSON in FROM to TO [cost AMOUNT]", "PERSON away FROM to TO", "MACHINE down FROM to TO", '
    '"JOB due MOMENT", "JOB outside STEP DAYS days [cost AMOUNT]" or "add FILE.toml"'
)
DAY_S = 86_400.0


def read_change(text: str, asked: AskedWeek) -> Change:
    """One change from its words.

    Args:
        text: as WAYS says; names with spaces stand in quotation marks.
        asked: the week it is about.
    Returns: the change; times in seconds after the week's now.
    Raises: BadInput: it cannot be read, or names what is not there.
    """
    try:
        words = shlex.split(text)
    except ValueError:
        raise _wrong(text, "a quotation mark is not closed.", "Close it.") from None
    match words:
        case ["drop", job]:
            return Drop(_job(text, job, asked))
        case [person, "in", *when]:
            begin, end, rest = _stretch(text, when, asked)
            return Extra(_person(text, person, asked), begin, end, _cost(text, rest))
        case [person, "away", *when]:
            begin, end, rest = _stretch(text, when, asked)
            _over(text, rest)
            return Away(_person(text, person, asked), begin, end)
        case [machine, "down", *when]:
            begin, end, rest = _stretch(text, when, asked)
            _over(text, rest)
            return Stands(_among(text, machine, asked.week.machines, "machine"), begin, end)
        case [job, "due", when]:
            return Due(_job(text, job, asked), _moment(text, when, asked.now, asked.now))
        case [job, "outside", step, days, "days" | "day", *rest]:
            there = next(one for one in asked.week.jobs if one.id == _job(text, job, asked))
            name = _among(text, step, [one.id for one in there.steps], f"step of {job}")
            return Outside(job, name, _days(text, days) * DAY_S, _cost(text, rest))
        case _:
            raise _wrong(text, "it cannot be understood.", f"Say {WAYS}.")


def _wrong(text: str, what: str, do: str) -> BadInput:
    return BadInput(where=f"--suppose {text!r}", what=what, do=do)


def _among(text: str, name: str, names: Sequence[str], what: str) -> str:
    if name not in names:
        known = ", ".join(names[:12]) or "none"
        raise _wrong(text, f"there is no {what} {name!r}.", f"Known: {known}.")
    return name


def _job(text: str, name: str, asked: AskedWeek) -> str:
    return _among(text, name, [job.id for job in asked.week.jobs], "job")


def _person(text: str, name: str, asked: AskedWeek) -> str:
    return _among(text, name, [person.id for person in asked.week.people], "person")


def _stretch(text: str, words: list[str], asked: AskedWeek) -> tuple[float, float, list[str]]:
    """From and to after now, and what stands behind them."""
    if len(words) < 3 or words[1] != "to":
        raise _wrong(text, "it does not say from when to when.", 'Say it as "22:00 to 06:00".')
    begin = _moment(text, words[0], asked.now, asked.now)
    end = _moment(text, words[2], asked.now, asked.now + timedelta(seconds=begin))
    if end <= begin:
        raise _wrong(text, f"{words[2]} is not after {words[0]}.", "Say the earlier first.")
    if end <= 0:
        raise _wrong(text, "it is over already.", "Name a time after now.")
    return max(begin, 0.0), end, words[3:]


def _moment(text: str, word: str, now: datetime, after: datetime) -> float:
    """Seconds after now. A time of day is the next one after `after`."""
    clock = CLOCK.fullmatch(word)
    try:
        if clock:
            at = after.replace(hour=int(clock[1]), minute=int(clock[2]), second=0, microsecond=0)
            return (at - now).total_seconds() + (DAY_S if at <= after else 0.0)
        at = datetime.fromisoformat(word)
        if at.tzinfo is None:
            raise ValueError(word)
        return (at - now).total_seconds()
    except (ValueError, OverflowError):
        raise _wrong(text, f"{word!r} is no moment.", "Say 22:00, or 2026-03-02T22:00+01:00 with its offset.") from None


def _days(text: str, word: str) -> float:
    try:
        days = float(word)
    except ValueError:
        days = -1.0
    if not 0.0 < days <= 365.0:
        raise _wrong(text, f"{word!r} is no number of days.", "Give more than 0 and at most 365.")
    return days


def _cost(text: str, words: list[str]) -> Decimal | None:
    if not words:
        return None
    if words[0] != "cost" or len(words) != 2:
        raise _wrong(text, f"{' '.join(words)!r} is too much.", 'End with "cost 120.00", or with nothing.')
    try:
        cost = Decimal(words[1])
    except InvalidOperation:
        cost = Decimal(-1)
    if not cost.is_finite() or cost < 0 or cost > 10**9:
        raise _wrong(text, f"{words[1]!r} is no amount.", "Give one from 0 to 1000000000, such as 120.00.")
    return cost


def _over(text: str, words: list[str]) -> None:
    if words:
        raise _wrong(text, f"{' '.join(words)!r} is too much.", "End after the second moment.")
