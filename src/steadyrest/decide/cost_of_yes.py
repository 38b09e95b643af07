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
    Returns: what it costs the promises already given, where there are any; then until when it may be said.
    """
    when = in_words(promise.due, promise.timezone)
    if promise.yes_by is None:
        until = because("take.yes_never", due=when, kept_odds=promise.odds.value, wanted_odds=promise.wanted_odds)
    else:
        until = because("take.yes_until", when=in_words(promise.yes_by, promise.timezone), due=when)
    if not promise.others:
        return (until,)
    late = sum(effect.late_money for effect in promise.others)
    if late < CENT:
        return because("take.yes_free"), until
    most = max(promise.others, key=lambda effect: effect.late_money)
    return because("take.yes_cost", late_money=late, job=most.job, most_money=most.late_money), until
