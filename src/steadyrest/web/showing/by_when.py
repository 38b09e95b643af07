"""By when: what may be promised, the odds as pegs, the other jobs, the week."""

from __future__ import annotations

from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.promise.answer import Effect, PlanRow, Promise
from steadyrest.units import show_odds, show_time
from steadyrest.web.pages.job import ByWhen, LoadRow, NightRow, OtherRow
from steadyrest.web.showing.words import Words
from steadyrest.wording.moments import stretch

SAME = "promise.other_same"


def by_when(answer: PlanAnswer, promise: Promise, words: Words, *, number: int) -> ByWhen:
    """The promise.

    Args:
        answer: the plan.
        promise: of its chosen route.
        words: for its reader.
        number: the job's.
    Returns: the third answer.
    """
    return ByWhen(
        job=number,
        can_promise=words.moment(promise.can_promise) if promise.can_promise else "nothing to promise",
        kept=f"kept {show_odds(promise.wanted_odds)}"
        if promise.can_promise
        else f"no time within the calendar is kept {show_odds(promise.wanted_odds)}",
        usual=words.moment(promise.finish_p50),
        due=words.moment(answer.due),
        pegs=promise.pegs,
        odds=f"{show_odds(promise.odds.value)}, {promise.state}",
        why=words.why((*promise.why, *promise.odds.why)),
        others_changed=tuple(other_row(one, words) for one in promise.others if changed(one)),
        others_same=tuple(f"{one.job}, {one.what}: {one.after}" for one in promise.others if not changed(one)),
        load=tuple(
            LoadRow(words.name(one.id), words.figure(one.asked).says, show_time(one.there_s)) for one in promise.loads
        ),
        night=tuple(night_row(row, words) for row in promise.plan),
    )


def changed(one: Effect) -> bool:
    """Whether taking this job does anything to it worth saying."""
    return one.before != one.after or any(reason.key != SAME for reason in one.why)


def other_row(one: Effect, words: Words) -> OtherRow:
    return OtherRow(
        name=f"{one.job}, {one.what}",
        before=f"{show_odds(one.odds_before)}, {one.before}",
        after=f"{show_odds(one.odds_after)}, {one.after}",
        says="; ".join(words.why(one.why)),
    )


def night_row(row: PlanRow, words: Words) -> NightRow:
    return NightRow(
        when=stretch(row.start, row.end, words.zone),
        who=words.name(row.person) or "nobody",
        machine=words.name(row.machine) or "none",
        job=f"{row.job}, new" if row.new else row.job,
        what=row.name,
    )
