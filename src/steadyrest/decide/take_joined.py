"""Should I take a job of several parts: each part's own reasons, named for their part, and those of the job once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from steadyrest.decide.take import Take, take
from steadyrest.price.answer import Price
from steadyrest.promise.answer import Promise
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import Route, Undone

NAMES = ("feature", "features")


@dataclass(frozen=True, slots=True)
class PartAsked:
    """A part of the job with its route, which has no steps where this floor cannot make it."""

    id: str
    part: Part
    route: Route


def take_joined(
    parts: Sequence[PartAsked],
    unmade: Sequence[Undone],
    promise: Promise | None,
    price: Price | None,
    *,
    due: datetime,
    now: datetime,
    shop: Shop,
    said: str = "",
) -> Take:
    """Whether to take the whole job.

    Args:
        parts: those made here.
        unmade: fit-ups, assemblies and work at the customer's that nobody here does.
        promise, price: of the whole job; None where it cannot be done here.
        due, now: aware.
        shop: terms and time zone.
        said: what the customer asked for, in words.
    Returns: no, where a part cannot be made or a step not done here, with which and why, and the nearest yes; else what
        the promise says, with every part's own conditions.
    """
    lost = [one for one in parts if not one.route.steps]
    if lost or unmade or promise is None:
        return _no(lost, unmade, tuple(doubt.ask for one in parts for doubt in one.part.doubts))
    answers = [
        _named(one.id, take(one.part, (one.route,), promise, price, due=due, now=now, shop=shop, said=said))
        for one in parts
    ]
    ifs = tuple(dict.fromkeys(reason for answer in answers for reason in answer.ifs))
    why = tuple(dict.fromkeys(reason for answer in answers for reason in answer.why))
    asks = tuple(dict.fromkeys(reason for answer in answers for reason in answer.asks))
    never = next((answer for answer in answers if answer.answer == "no"), None)
    if never is not None:
        return Take("no", why, ifs, never.nearest_yes, asks)
    nearest = next((answer.nearest_yes for answer in answers if answer.nearest_yes is not None), None)
    return Take("yes if" if ifs else "yes", why, ifs, nearest, asks)


def _no(lost: Sequence[PartAsked], unmade: Sequence[Undone], asks: tuple[Reason, ...]) -> Take:
    why: list[Reason] = []
    nearest: Reason | None = None
    for one in lost:
        why.append(because("joined.cannot", part=one.id))
        # Those that something could change come first: they tell most.
        undone = sorted(one.route.cannot, key=lambda no: no.nearest is None)
        why += dict.fromkeys(_of(one.id, reason) for no in undone for reason in no.reasons)
        why += dict.fromkeys(_of(one.id, no.nearest) for no in undone if no.nearest is not None)
    if lost:
        nearest = because("joined.cannot_then", parts=", ".join(one.id for one in lost))
    for no in unmade:
        why += no.reasons
        nearest = nearest or no.nearest
    return Take("no", tuple(why) or (because("take.no_route"),), (), nearest, asks)


def _named(part: str, answer: Take) -> Take:
    """The answer with the part's name before each feature it speaks of."""
    return replace(
        answer,
        why=tuple(_of(part, reason) for reason in answer.why),
        ifs=tuple(_of(part, reason) for reason in answer.ifs),
        nearest_yes=_of(part, answer.nearest_yes) if answer.nearest_yes is not None else None,
        asks=tuple(_of(part, reason) for reason in answer.asks),
    )


def _of(part: str, reason: Reason) -> Reason:
    given = tuple(
        (name, f"{part} {value}" if name in NAMES and isinstance(value, str) else value) for name, value in reason.given
    )
    return Reason(reason.key, given, reason.source)
