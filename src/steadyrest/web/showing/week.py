"""The page of the week, from what is promised."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from steadyrest.desk.night.step_program import ProgramUsed
from steadyrest.desk.week.week_now import Tried, WeekNow
from steadyrest.promise.answer import HOLDS, state
from steadyrest.promise.suppose.said import changes_said, way_said
from steadyrest.promise.suppose.supposed import Kept
from steadyrest.units import pegs, show_money, show_odds, show_time
from steadyrest.web.at_screen import money_shown
from steadyrest.web.pages.top import Top
from steadyrest.web.pages.week import Choice, TriedRow, TriedShown, WayShown, WeekJobRow, WeekPage, WeekRow
from steadyrest.web.showing.nights import nights_shown
from steadyrest.wording.moments import moment, stretch
from steadyrest.wording.say import Reader, say

FAR_S = 1e9
LEAST_MIN = 0.5  # late on average: less is not said


def page(
    now: WeekNow, numbers: Sequence[int], *, token: str, typed: str = "", trouble: str = "", tried: Tried | None = None
) -> WeekPage:
    """The page.

    Args:
        now: the week.
        numbers: of the jobs that have a page.
        token: for its forms.
        typed, trouble: the change as typed, and why it cannot be tried.
        tried: what came of a change.
    Returns: the page.
    """
    shop, week, zone = now.shop, now.week, now.shop.timezone
    names = {one.id: one.name for one in (*shop.people, *shop.machines)}
    known = {str(number) for number in numbers}
    return WeekPage(
        top=Top("The week", shop.name),
        old=old(now),
        jobs=tuple(
            WeekJobRow(
                job=job.id, what=job.what, address=f"/jobs/{job.id}" if job.id in known else "",
                due=moment(job.due, zone), pegs=pegs(job.odds), odds=f"{show_odds(job.odds)}, {state(job.odds)}",
                holds=holds(job.odds, job.holds, zone),
            )
            for job in sorted(week.jobs if week else (), key=lambda job: job.due)
        ),
        rows=tuple(
            WeekRow(stretch(row.start, row.end, zone), row.job, row.name, names.get(row.person or "", "nobody"),
                    names.get(row.machine or "", "none"))
            for row in (week.rows if week else ())
        ),
        programs=tuple(program_says(one, names) for one in now.programs),
        changed=tuple(f"job {work.id}: {say(why)}" for work in shop.promised for why in work.why),
        nights=nights_shown(now, names),
        people=tuple(Choice(one.id, one.name) for one in shop.people),
        machines=tuple(Choice(one.id, one.name) for one in shop.machines),
        begins=now.now.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%dT%H:%M"),
        typed=typed,
        trouble=trouble,
        tried=tried_shown(tried, now) if tried is not None else None,
        token=token,
    )  # fmt: skip


def differs(one: Kept, other: Kept) -> bool:
    """Whether a promise is kept by another peg, or its lateness is another by a minute."""
    return pegs(one.odds) != pegs(other.odds) or abs(one.late_min - other.late_min) >= 1.0


def old(now: WeekNow) -> str:
    """That the week shown is an old one, and why; "" where it is not."""
    if not now.trouble:
        return ""
    return (
        f"This is the week as counted {moment(now.now, now.shop.timezone)}. Counting it anew went wrong: {now.trouble}"
        f"{'' if now.trouble.endswith('.') else '.'} It is tried again each time the page is opened."
    )


def late_said(was: Kept | None, then: Kept, money: Callable[[float], str]) -> str:
    """How late a job is on average, before a change and then, in time and money; "in time" where it never is."""

    def of(one: Kept) -> str:
        if one.late_min < LEAST_MIN:
            return "in time"
        return f"{show_time(60 * one.late_min)}, {money(one.late_money)}"

    return of(then) if was is None or of(was) == of(then) else f"{of(was)}; then {of(then)}"


def holds(odds: float, at: datetime | None, zone: str) -> str:
    """When a promise that does not hold would; "" where it does."""
    if odds >= HOLDS:
        return ""
    return f"{moment(at, zone)} would hold" if at is not None else "no time within the calendar holds"


def program_says(one: ProgramUsed, names: Mapping[str, str]) -> str:
    """What a program makes of a step's time, and what it leaves by morning."""
    program = one.program
    was = f", {show_time(one.was_s)} was the estimate" if one.was_s is not None else ""
    on = names.get(one.machine, one.machine)
    says = f"job {one.job}, {one.step} on the {on}: {show_time(program.each_s)} a part by its program "
    says += f"{program.program}{was}"
    return says if program.good is None else f"{says}; left alone, {program.good:.1f} good parts by morning on average"


def tried_shown(tried: Tried, now: WeekNow) -> TriedShown:
    """What came of a change, in words."""
    answer, shop = tried.answer, now.shop
    here = now.now.astimezone(ZoneInfo(shop.timezone))
    reader = Reader("in" if shop.unit == "in" else "mm", shop.currency)
    before = {one.job: one for one in answer.before}
    stands = {one.job: one for one in answer.after}
    names = {one.id: one.name for one in (*shop.people, *shop.machines)}

    def money(amount: float | Decimal) -> str:
        return show_money(Decimal(str(amount)), shop.currency) if money_shown() else "what the owner sees"

    def row(one: Kept) -> TriedRow:
        was = before.get(one.job)
        sure = here + timedelta(seconds=one.finish_s) if one.finish_s < FAR_S else None
        return TriedRow(
            one.job, show_odds(was.odds) if was else "new", f"{show_odds(one.odds)}, {state(one.odds)}",
            pegs(one.odds), late_said(was, one, money), holds(one.odds, sure, shop.timezone),
        )  # fmt: skip

    def total(kept: Sequence[Kept]) -> float:
        return sum(one.late_money for one in kept)

    return TriedShown(
        said=tuple(say(changes_said(change, here, names), reader) for change in tried.changes),
        late=f"lateness costs {money(total(answer.before))} on average, {money(total(answer.after))} then",
        after=tuple(row(one) for one in answer.after),
        ways=tuple(
            WayShown(
                does=tuple(say(reason, reader) for reason in way_said(way, answer.order, here, names)),
                money=f"costs {money(way.cost)}, lateness {money(way.late_money)} on average"
                if way.cost
                else f"lateness {money(way.late_money)} on average",
                jobs=tuple(row(one) for one in way.jobs if differs(one, stands[one.job])),
            )
            for way in answer.ways
        ),
    )
