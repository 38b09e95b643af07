"""One job's page from its kept plan: every figure worded, with its why."""

from __future__ import annotations

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from steadyrest.decide.cost_of_yes import cost_of_yes
from steadyrest.desk.incoming.asking import still_open
from steadyrest.desk.incoming.seen_before import SAME, SeenBefore
from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.desk.plan.refused import refused
from steadyrest.desk.week.taken import FROM, WHY_NOT
from steadyrest.price.answer import Price
from steadyrest.units import show_odds, show_time
from steadyrest.web.pages.job import JobPage, SeenRow, TakeIt, YesOrNo
from steadyrest.web.pages.top import Top
from steadyrest.web.showing import joined
from steadyrest.web.showing.by_when import by_when
from steadyrest.web.showing.changed import changes
from steadyrest.web.showing.how_made import how_made
from steadyrest.web.showing.how_much import how_much
from steadyrest.web.showing.is_it_right import is_it_right
from steadyrest.web.showing.revisions import mark
from steadyrest.web.showing.what_is_it import what_is_it
from steadyrest.web.showing.words import Words

NEARLY = 0.85
SAID = {
    "asked": "Nothing is answered yet.",
    "promised": "Taken: it stands in the week.",
    "declined": "Not taken.",
    "begun": "Taken, and begun.",
    "ready": "Ready to go.",
    "delivered": "Delivered.",
    "paid": "Paid.",
}
ANSWERS = {"yes": "Take it.", "no": "Do not take it.", "yes if": "Take it, if:"}
# What a hand does not open.
PRICED = ("quote", "quote-by-the-hour")
PAPERS = (
    ("Job sheet", "job-sheet"), ("Measuring sheet", "measuring-sheet"), ("Quote", "quote"),
    ("Quote by the hour", "quote-by-the-hour"),
)  # fmt: skip


def page(
    kept: KeptJob, before: PlanAnswer | None, *, token: str, touch: str = "", trouble: str = "", typed: str = "",
    measured: str = "", seen: Sequence[SeenBefore] = (), money: tuple[tuple[str, str], ...] = (),
) -> JobPage:  # fmt: skip
    """A job's page.

    Args:
        kept: the job with the plan it goes by.
        before: the plan before that one, for what changed; None if there is none.
        token: for its forms. touch: marks the forms that count once.
        trouble, typed: why the last reading was not written down, and what was typed.
        measured: how the lot stands by what was measured, in words; "" where nothing was.
        seen: jobs whose parts are alike.
        money: where its record and its customer stand, as (words, address).
    Returns: the page.
    """
    answer, best = kept.answer, kept.answer.best
    words = Words(answer)
    return JobPage(
        top=Top(f"Job {kept.job.number}, {kept.job.what}", answer.shop.name),
        number=kept.job.number,
        what=kept.job.what,
        asked=asked(kept, words),
        take=take_it(answer, words),
        said=said(kept, token=token, touch=touch, answers=words.money_shown),
        seen=tuple(seen_row(one, words) for one in seen),
        changes=changes(kept, before, words),
        is_it=what_is_it(kept, words, token=token, trouble=trouble, typed=typed),
        parts=joined.parts(answer, answer.joined, words) if answer.joined is not None else None,
        how=how_made(answer, words, job=kept.job.number),
        when=by_when(answer, best.promise, words, number=kept.job.number) if best and best.promise else None,
        price=how_much(best.price, words) if best and best.price and words.money_shown else None,
        right=is_it_right(answer, words, job=kept.job.number, measured=measured),
        papers=tuple(
            (says, f"/jobs/{kept.job.number}/{name}.pdf")
            for says, name in PAPERS
            if (best is not None or (name == "measuring-sheet" and answer.measures))
            and (words.money_shown or name not in PRICED)
        ),
        to_ask=len(still_open(kept)),
        planned=planned(answer, words),
        money=money,
        stop=mark(kept),
    )


def asked(kept: KeptJob, words: Words) -> str:
    """What was asked for, in one line."""
    answer = kept.answer
    who = "" if kept.job.customer == "not said" else f", for {kept.job.customer}"
    what = f"{answer.quantity} in {answer.material.id}" if answer.joined is None else joined.in_words(answer.joined)
    return f"{what}{who}. Due {words.moment(answer.due)}."


def planned(answer: PlanAnswer, words: Words) -> str:
    """When it was planned, from what."""
    example = " The shop is the invented example." if answer.example_shop else ""
    return (
        f"Planned {words.moment(answer.now)} with seed {answer.seed}: the same input and seed give the same "
        f"answer.{example}"
    )


def seen_row(one: SeenBefore, words: Words) -> SeenRow:
    """A job whose part is alike."""
    planned = f"{show_time(one.planned_s)} planned" if one.planned_s else ""
    worked = f"{show_time(one.worked_s)} worked" if one.worked_s else ""
    return SeenRow(
        number=one.number,
        what=one.what + ("" if one.customer == "not said" else f", for {one.customer}"),
        alike="the same sizes" if one.score >= SAME else "nearly the same sizes" if one.score >= NEARLY else "alike",
        when=words.moment(one.when),
        price=one.price if words.money_shown else "",
        hours=", ".join(part for part in (planned, worked) if part),
        became=SAID.get(one.state, SAID["asked"]),
    )


def most_said(price: Price) -> str:
    """By the hour: the amount that is kept so often."""
    one = price.by_the_hour
    return "" if one is None else f"{one.not_to_exceed.shown()} is kept {show_odds(one.odds)}"


def said(kept: KeptJob, *, token: str, touch: str, answers: bool = True) -> YesOrNo:
    """What was answered to the customer, and what may be; answers: whoever reads may say yes and no to them."""
    best = kept.answer.best
    promise = best.promise if best is not None else None
    sure = promise is None or promise.odds.value >= promise.wanted_odds or promise.can_promise is None
    by = kept.answer.due if sure or promise is None else promise.can_promise
    may_take = answers and best is not None and kept.state != "promised" and kept.state in FROM["promised"]
    return YesOrNo(
        number=kept.job.number,
        says=SAID.get(kept.state, SAID["asked"]),
        weighs=Words(kept.answer).why(cost_of_yes(promise)) if may_take and promise is not None else (),
        price=best.price.offer.shown() if answers and best is not None and best.price is not None else "",
        currency=kept.answer.shop.currency,
        most=most_said(best.price) if answers and best is not None and best.price is not None else "",
        by=by.astimezone(ZoneInfo(kept.answer.shop.timezone)).strftime("%Y-%m-%dT%H:%M") if by is not None else "",
        may_take=may_take,
        may_decline=answers and kept.state in FROM["declined"],
        may_ready=kept.state in FROM["ready"],
        may_go=kept.state in FROM["delivered"],
        why_not=WHY_NOT,
        token=token,
        touch=touch,
    )


def take_it(answer: PlanAnswer, words: Words) -> TakeIt:
    """Whether to take it."""
    take = answer.take
    is_no = take.answer == "no"
    return TakeIt(
        answer=ANSWERS[take.answer],
        conditions=words.why(take.ifs),
        reasons=words.why(take.why),
        is_no=is_no,
        nearest_yes=words.say(take.nearest_yes) if is_no and take.nearest_yes else "",
        refusal=words.why(refused(answer)),
    )
