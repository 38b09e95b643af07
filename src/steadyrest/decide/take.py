"""Should I take it: every limit that speaks, and the nearest yes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from steadyrest.decide.liability import families
from steadyrest.price.answer import Price
from steadyrest.promise.answer import Promise
from steadyrest.promise.calendars import in_words
from steadyrest.route.chips import perhaps_hollow
from steadyrest.route.left_over import too_much_left
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.part import Feature, Part, Size
from steadyrest.shop.work import Route

Answer = Literal["yes", "no", "yes if"]
FITTING = ("shaft", "bore", "keyway", "thread", "cone", "slot")
WAITS_SELDOM = 0.1
RUN_FROM = 3  # so many names in a row are said one by one


@dataclass(frozen=True, slots=True)
class Take:
    """The answer. why: every reason, most telling first. ifs: what has to be so for the yes.

    nearest_yes: what would make a no a yes, or a yes-if a yes; None: nothing is known that would.
    asks: questions that decide nothing yet.
    """

    answer: Answer
    why: tuple[Reason, ...]
    ifs: tuple[Reason, ...]
    nearest_yes: Reason | None
    asks: tuple[Reason, ...]

    @property
    def told(self) -> tuple[Reason, ...]:
        """All that is said for the answer: what a yes hangs on comes first, and before that what makes it a no."""
        return (*self.why, *self.ifs) if self.answer == "no" else (*self.ifs, *self.why)


def take(
    part: Part,
    routes: Sequence[Route],
    promise: Promise | None,
    price: Price | None,
    *,
    due: datetime,
    now: datetime,
    shop: Shop,
    said: str = "",
) -> Take:
    """Whether to take the job.

    Args:
        part: as read, with its doubts.
        routes: best first; none has steps when the part cannot be made here.
        promise: of the chosen (first) route; None when there is no route with steps.
        price: of it; may be missing.
        due: aware, when the customer wants it.
        now: aware.
        shop: terms and time zone.
        said: what the customer asked for, in words; looked through for duties such as lifting gear.
    Returns: yes, no or yes if, with every reason.
    """
    asks = tuple(doubt.ask for doubt in part.doubts)
    chosen = next((route for route in routes if route.steps), None)
    if due <= now:
        reason = because("take.due_past", due=in_words(due, shop.timezone), now=in_words(now, shop.timezone))
        return Take("no", (reason,), (), because("take.later_due"), asks)
    if chosen is None or promise is None:
        return _cannot(routes, asks)
    time_why, time_if, never = _time(promise, shop)
    hollow = perhaps_hollow(part)
    ifs = (
        *time_if, *_unmade(chosen), *((hollow,) if hollow else ()), *_unsure(part), *_duties(part, said),
        *_others(promise, shop), *_waits(promise),
    )  # fmt: skip
    why = (*time_why, *promise.why, *_money(price), *(effect.why[0] for effect in promise.others))
    much = too_much_left(chosen)
    if much is not None:
        return Take("no", (much.why, *why), ifs, much.nearest, asks)
    if never:
        return Take("no", why, ifs, time_if[0] if time_if else None, asks)
    nearest = _behind(promise, shop) if _others(promise, shop) and not time_if else (ifs[0] if ifs else None)
    return Take("yes if" if ifs else "yes", why, ifs, nearest, asks)


def _cannot(routes: Sequence[Route], asks: tuple[Reason, ...]) -> Take:
    """A no with all limits that say so, and the cheapest change that is known."""
    # What holds whichever piece is taken comes first, and of that what something could change: it tells most.
    undone = sorted(
        (each for route in routes for each in route.cannot), key=lambda each: (each.of_a_piece, each.nearest is None)
    )
    why = tuple(dict.fromkeys(reason for each in undone for reason in each.reasons))
    nearest = next((each.nearest for each in undone if each.nearest is not None), None)
    return Take("no", why or (because("take.no_route"),), (), nearest, asks)


def _time(promise: Promise, shop: Shop) -> tuple[tuple[Reason, ...], tuple[Reason, ...], bool]:
    """What the odds say: reasons, the condition if there is one, and whether it is a no."""
    odds, wanted, zone = promise.odds.value, promise.wanted_odds, shop.timezone
    due = in_words(promise.due, zone)
    said = because(f"take.{promise.state}", due=due, kept_odds=odds, wanted_odds=wanted)
    if odds >= wanted:
        by = () if promise.yes_by is None else (because("take.yes_by", when=in_words(promise.yes_by, zone)),)
        return (said, *by), (), False
    move = ()
    if promise.can_promise is not None:
        move = (because("take.move_due", when=in_words(promise.can_promise, zone), wanted_odds=wanted),)
    return (said,), move, promise.state == "gone" or not move


def _unmade(route: Route) -> tuple[Reason, ...]:
    """What this route leaves, with its nearest yes, such as a drill to buy; else somebody else has to make it."""
    return tuple(
        dict.fromkeys(
            each.nearest
            if each.nearest is not None
            else because("take.unmade", features=in_short(each.features) or each.station, station=each.station)
            for each in route.cannot
        )
    )


def in_short(names: Sequence[str]) -> str:
    """Names with those that follow one another as from and to: F11 to F19, F36.

    Args:
        names: ids of features, in any order.
    Returns: the words.
    """
    runs: list[list[str]] = []
    for name in names:
        if runs and _follows(runs[-1][-1], name):
            runs[-1].append(name)
        else:
            runs.append([name])
    said = [f"{run[0]} to {run[-1]}" if len(run) > RUN_FROM else ", ".join(run) for run in runs]
    return ", ".join(said)


def _follows(one: str, other: str) -> bool:
    """Whether a name is the next number of the same letters."""
    a, b = re.fullmatch(r"(\D*)(\d+)", one), re.fullmatch(r"(\D*)(\d+)", other)
    return a is not None and b is not None and a[1] == b[1] and int(b[2]) == int(a[2]) + 1


def _unsure(part: Part) -> tuple[Reason, ...]:
    """Sizes that fit something else and that nobody has read yet; and a file without units."""
    ifs: list[Reason] = []
    if part.unit.state == "ask":
        ifs.append(because("take.unit"))
    unsure = [(feature, size) for feature in part.features for size in feature.sizes if _asks(feature, size)]
    reading = part.next_reading
    if unsure and reading is not None and any(feature.id == reading.feature for feature, _ in unsure):
        ifs.append(because("take.next_reading", feature=reading.feature, gauge=reading.gauge))
        unsure = [(feature, size) for feature, size in unsure if feature.id != reading.feature]
    ifs += [
        because("take.reading", feature=feature.id, about_mm=size.estimate, what=_size_name(size))
        for feature, size in unsure
    ]
    # What runs on a worn surface decides its limits, and no reading of the worn part can tell it.
    mates = [dict(doubt.what.given)["feature"] for doubt in part.doubts if doubt.what.key == "doubt.what_runs"]
    ifs += [because("take.mate", feature=feature) for feature in mates]
    return tuple(ifs)


def _asks(feature: Feature, size: Size) -> bool:
    """A size that fits something else (it carries limits, or the feature is worn) and that is still a question."""
    if feature.kind not in FITTING or size.nominal is None or size.nominal.state != "ask":
        return False
    if not size.name.endswith("_mm") or size is not feature.sizes[0]:
        return False
    return size.nominal.limits is not None or (feature.wear_mm or 0.0) > 0


def _size_name(size: Size) -> str:
    return size.name.removesuffix("_mm").replace("_", " ")


def _duties(part: Part, said: str) -> tuple[Reason, ...]:
    """Work on which lives hang: somebody authorised has to look, and local rules decide."""
    return tuple(because(f"liability.{family}", word=word) for family, word in families(f"{part.name} {said}"))


def _others(promise: Promise, shop: Shop) -> tuple[Reason, ...]:
    """Promises that held and no longer would: their customers have to be asked first."""
    return tuple(
        because(
            f"take.other_{effect.after}",
            job=effect.job,
            what=effect.what,
            due=in_words(effect.due, shop.timezone),
            before_odds=effect.odds_before,
            after_odds=effect.odds_after,
            late_money=effect.late_money,
        )
        for effect in promise.others
        if effect.before == "holds" and effect.after != "holds"
    )


def _behind(promise: Promise, shop: Shop) -> Reason | None:
    """The time that touches no other promise: this job served after all of them."""
    if promise.behind_all is None:
        return None
    return because("take.behind_all", when=in_words(promise.behind_all, shop.timezone), wanted_odds=promise.wanted_odds)


def _waits(promise: Promise) -> tuple[Reason, ...]:
    """Something would wait longer than it may, in more than one run in ten."""
    if promise.waits_broken_odds <= WAITS_SELDOM:
        return ()
    return (because("take.waits", broken_odds=promise.waits_broken_odds),)


def _money(price: Price | None) -> tuple[Reason, ...]:
    if price is None:
        return ()
    offer, least = float(price.offer.amount), float(price.walk_away.amount)
    return (because("take.price", offer_money=offer, walk_away_money=least),)
