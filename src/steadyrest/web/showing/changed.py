"""What the last hand reading changed: the plan before it beside the plan after it."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.shop.part import Size
from steadyrest.units import show_odds
from steadyrest.web.pages.job import ChangeRow, Changes
from steadyrest.web.showing import what_is_it
from steadyrest.web.showing.words import Words, of_what

ANSWERS = {"yes": "take it", "no": "do not take it", "yes if": "take it, if"}


def changes(kept: KeptJob, before: PlanAnswer | None, words: Words) -> Changes | None:
    """What changed.

    Args:
        kept: the job with its plan.
        before: the plan before this one; None if there is none.
        words: for its reader.
    Returns: the reading and what it changed; None where nothing was read by hand yet.
    """
    if before is None or not kept.readings:
        return None
    now = kept.answer
    rows = (*size_changes(before, now, words), *answer_changes(before, now, words))
    return Changes(what_is_it.readings(kept, words)[0], rows)


def size_changes(before: PlanAnswer, now: PlanAnswer, words: Words) -> Iterator[ChangeRow]:
    """Sizes that read otherwise now."""
    old = {(feature.id, size.name): size for feature in before.part.features for size in feature.sizes}
    for feature in now.part.features:
        for size in feature.sizes:
            was = old.get((feature.id, size.name))
            if was is not None and said(was, words) != said(size, words):
                yield ChangeRow(of_what(feature, size), said(was, words), said(size, words))


def said(size: Size, words: Words) -> str:
    nominal = size.nominal
    if nominal is None:
        return words.length(round(size.estimate, 2))
    limits = f", {words.limits(nominal.limits.low_mm, nominal.limits.high_mm)}" if nominal.limits else ""
    return f"{nominal.shown}, {nominal.state}{limits}"


def answer_changes(before: PlanAnswer, now: PlanAnswer, words: Words) -> Iterator[ChangeRow]:
    """Answers that are others now."""
    for what, was, is_now in zip(
        ("Take it?", "Still to be so", "Promise", "Odds by the due time", "Offer", "Walk away below", "Next reading"),
        answers(before, words),
        answers(now, words),
        strict=True,
    ):
        if was != is_now:
            yield ChangeRow(what, was, is_now)


def answers(answer: PlanAnswer, words: Words) -> tuple[str, ...]:
    best, reading = answer.best, what_is_it.next_reading(answer.part, words)
    promise, price = (best.promise, best.price) if best else (None, None)
    return (
        ANSWERS[answer.take.answer],
        "; ".join(words.why(answer.take.ifs)) or "nothing",
        words.moment(promise.can_promise) if promise else "none",
        show_odds(promise.odds.value) if promise else "none",
        words.money(price.offer) if price else "none",
        words.money(price.walk_away) if price else "none",
        f"{reading.says}, with {reading.with_what}" if reading else "none",
    )
