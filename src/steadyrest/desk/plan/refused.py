"""The words that go out with a no."""

from __future__ import annotations

from typing import TYPE_CHECKING

from steadyrest.decide.refusal import refusal
from steadyrest.promise.calendars import in_words
from steadyrest.shop.figure import Reason

if TYPE_CHECKING:
    from steadyrest.desk.plan.plan_part import PlanAnswer


def refused(answer: PlanAnswer) -> tuple[Reason, ...]:
    """A polite no, sentence by sentence.

    Args:
        answer: the six answers.
    Returns: sentences; none where the answer is not no.
    """
    shop, best = answer.shop, answer.best
    until = best.promise.later_yes_by if best is not None and best.promise is not None else None
    return refusal(
        answer.take, what=answer.what, due=in_words(answer.due, shop.timezone), shop=shop.name,
        until=in_words(until, shop.timezone) if until is not None else "",
    )  # fmt: skip
