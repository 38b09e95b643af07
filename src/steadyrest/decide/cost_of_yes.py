"""What a yes costs the promises already given, and the latest moment to say it: read where yes is said."""

from __future__ import annotations

from steadyrest.promise.answer import Promise
from steadyrest.promise.calendars import in_words
from steadyrest.shop.figure import Reason, because

CENT = 0.005


def cost_of_yes(promise: Promise) -> tuple[Reason, ...]:
    """What a yes does, as far as the plan can tell.

    Args:
        promise: of the chosen route.
    Returns: what it costs the promises already given, where there are any; then until when it may be said; last, where
        the due time is not kept, the same of the time that can be promised.
    """
    when = in_words(promise.due, promise.timezone)
    if promise.yes_by is None:
        until = because("take.yes_never", due=when, kept_odds=promise.odds.value, wanted_odds=promise.wanted_odds)
    else:
        until = because("take.yes_until", when=in_words(promise.yes_by, promise.timezone), due=when)
    ends = (until, *_later(promise))
    if not promise.others:
        return ends
    late = sum(effect.late_money for effect in promise.others)
    if late < CENT:
        return because("take.yes_free"), *ends
    most = max(promise.others, key=lambda effect: effect.late_money)
    return because("take.yes_cost", late_money=late, job=most.job, most_money=most.late_money), *ends


def _later(promise: Promise) -> tuple[Reason, ...]:
    """Until when a later time may be said yes to; nothing where the due time itself is kept."""
    if promise.later_yes_by is None or promise.can_promise is None:
        return ()
    due = in_words(promise.can_promise, promise.timezone)
    return (because("take.yes_until", when=in_words(promise.later_yes_by, promise.timezone), due=due),)
