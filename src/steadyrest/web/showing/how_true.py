"""The page of how true the tool has been."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from steadyrest.desk.week.how_true import HowTrue, ScoredPromise
from steadyrest.price.scored import HALF, PricesTrue
from steadyrest.promise.lessons.repeats import TENTH, Repeats
from steadyrest.promise.lessons.told import Lessons, Ratio
from steadyrest.promise.scored import Trueness
from steadyrest.shop.floor import Shop
from steadyrest.units import show_odds, show_time
from steadyrest.web.pages.how_true import (
    FifthRow,
    FigureRow,
    HourRow,
    HowTruePage,
    KeptRow,
    LessonRow,
    PriceRow,
    PromiseRow,
)  # fmt: skip
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment

MOST_ROWS = 60
ABOUT = "about as foretold"
HOURS = (
    "far quicker than foretold",
    "quicker than foretold",
    ABOUT,
    "longer than foretold",
    "far longer than foretold",
)
MONEY = (
    "far cheaper than foretold",
    "cheaper than foretold",
    ABOUT,
    "dearer than foretold",
    "far dearer than foretold",
)
MOST = ("far less than foretold", "less than foretold", ABOUT, "more than foretold", "far more than foretold")
FIGURES = {
    "bias": "the shop's usual time against the estimate",
    "bias_spread": "how uncertain that is (sd of the logarithm)",
    "repeat_rate": "what each doubling of the times that a part is made leaves of its hours",
    "difficulty_spread": "how much one job's steps go long together (sd of the logarithm)",
}


def page(true: HowTrue, shop: Shop, *, token: str, trouble: str = "") -> HowTruePage:
    """The page.

    Args:
        true: what is known.
        shop: names and time zone.
        token: for its form.
        trouble: why figures could not be chosen.
    Returns: the page.
    """
    names = {one.id: one.name for one in shop.people}
    return HowTruePage(
        top=Top("How true", shop.name),
        kept=tuple(
            KeptRow(one.state, f"{one.kept} of {one.known}", f"{one.expected:.1f} of {one.known}") for one in true.kept
        ),
        promises=tuple(
            PromiseRow(one.number, one.what, moment(one.due, shop.timezone), show_odds(one.odds), happened(one, shop))
            for one in true.promises[:MOST_ROWS]
        ),
        fifths=tuple(fifth_rows(true.trueness.fifths, HOURS)) if true.trueness is not None else (),
        off=off(true.trueness, "hours"),
        prices=tuple(price_rows(true.prices)) if true.prices is not None else (),
        priced=priced(true.prices),
        taken=tuple(fifth_rows(true.prices.fifths, MOST)) if true.prices is not None else (),
        costs=tuple(fifth_rows(true.costs.fifths, MONEY)) if true.costs is not None else (),
        cost_off=off(true.costs, "cost"),
        lessons=(*lesson_rows(true.lessons, names), *again_rows(true.again)) if true.lessons is not None else (),
        lost=lost(true.lessons),
        hours=tuple(hour_rows(true, names))[:MOST_ROWS],
        figures=tuple(
            FigureRow(one.name, figure_says(one.name, names), f"{one.now:.3g}", f"{one.then:.3g}")
            for one in true.figures
        ),
        used=moment(true.used_since, shop.timezone) if true.used_since is not None else "",
        trouble=trouble,
        token=token,
    )


def happened(one: ScoredPromise, shop: Shop) -> str:
    """What became of a promise."""
    if one.delivered is not None:
        return f"{'kept' if one.kept else 'late'}: delivered {moment(one.delivered, shop.timezone)}"
    return "still open" if one.kept is None else "late: not delivered yet"


def fifth_rows(fifths: Sequence[float], names: Sequence[str]) -> Iterator[FifthRow]:
    """Where hours, costs or prices fell in the odds, a row a fifth."""
    for says, count in zip(names, fifths, strict=True):
        yield FifthRow(says, f"{count:.1f}".removesuffix(".0"), round(10 * count / sum(fifths)))


def off(true: Trueness | None, what: str) -> str:
    """How far off the odds of whole jobs' hours, or of their cost, were."""
    if true is None:
        return ""
    return (
        f"Of {plural(true.jobs, 'job')} done, {true.kept_half} came to no more than was foretold for half of them, "
        f"{true.kept_nine} no more than for nine in ten. The odds as a whole were off by {100 * true.off:.0f} % of "
        f"the {what}; the "
        f"middle alone, taken as sure, by {100 * true.plain_off:.0f} %."
    )


def price_rows(true: PricesTrue) -> Iterator[PriceRow]:
    """Quotes by the odds that were said of them, the least likely first."""
    for band in true.bands:
        between = f"{10 * band.low:.0f} to {10 * band.high:.0f} times in ten"
        yield PriceRow(between, band.asked, band.won, f"{band.expected:.1f}")


def priced(true: PricesTrue | None) -> str:
    """How far off the odds of prices were."""
    if true is None:
        return ""
    return (
        f"Of {plural(true.asked, 'quote')} decided, {true.won} were taken; the odds, each by the quotes before it, let "
        f"expect {true.expected:.1f}. They were off by {true.off:.2f} (mean square; {HALF:g} is saying one half of "
        "everything, 0 being sure and right)."
    )


def lesson_rows(told: Lessons, names: dict[str, str]) -> Iterator[LessonRow]:
    """Each ratio learned: the shop's, then where, then who."""
    yield row("everything, quotes won and lost", told.shop)
    for one in told.stations:
        yield row(one.name, one)
    for one in told.persons:
        yield row(names.get(one.name, one.name) or "nobody", one)
    for rivals, one in told.winning:
        yield row(f"work won against {rivals}", one)


def again_rows(again: Repeats | None) -> Iterator[LessonRow]:
    """What each doubling of the times that a part is made leaves of its hours."""
    if again is not None:
        between = f"{again.rate(-TENTH):.2f} to {again.rate(TENTH):.2f}"
        of = f"made again from the same file, each doubling of the times ({plural(again.parts, 'part')})"
        yield LessonRow(of, f"{again.rate():.2f}", between, again.times)


def row(of: str, one: Ratio) -> LessonRow:
    return LessonRow(of, f"{one.p50:.2f}", f"{one.p10:.2f} to {one.p90:.2f}", one.steps)


def lost(told: Lessons | None) -> str:
    """From how much this was learned."""
    if told is None:
        return ""
    jobs, lost_ones = plural(told.jobs_done, "job"), plural(told.lost, "quote")
    return f"{plural(told.steps_done, 'step')} of {jobs} done, {lost_ones} lost to others"


def plural(count: int, noun: str) -> str:
    """A count with its noun."""
    return f"{count} {noun}" + ("" if count == 1 else "s")


def hour_rows(true: HowTrue, names: dict[str, str]) -> Iterator[HourRow]:
    """Steps done, the newest jobs first."""
    for quote in reversed(true.quotes):
        for step in quote.steps:
            if step.actual_s is not None:
                who = names.get(step.person, step.person)
                planned, took = show_time(step.estimate_s), show_time(step.actual_s)
                yield HourRow(int(quote.job), f"{step.step} {step.station}", who, planned, took)


def figure_says(name: str, names: dict[str, str]) -> str:
    """A figure in words."""
    kind, _, person = name.partition(" ")
    if not person:
        return FIGURES[name]
    called = names.get(person, person)
    return f"{called}'s usual time against the estimate" if kind == "pace" else f"how uncertain {called}'s time is"
