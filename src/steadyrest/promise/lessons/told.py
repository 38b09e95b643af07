"""What was learned, as figures a person can look at, and what it does to one job."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.promise.lessons.model import Learned
from steadyrest.promise.lessons.past import Quote
from steadyrest.promise.lessons.winning import job_term_grid, won_shares
from steadyrest.shop.draws import FloatArray, quantiles
from steadyrest.shop.figure import Reason, because

SOME = 200  # draws looked at for what winning does: a mean needs no more


@dataclass(frozen=True, slots=True)
class Ratio:
    """How many times the estimate, with what is uncertain about it. steps: how many taught it."""

    name: str
    p10: float
    p50: float
    p90: float
    steps: int


@dataclass(frozen=True, slots=True)
class Lessons:
    """What history taught.

    shop: times the estimate, for quotes of every kind, won or lost. stations, persons: times the shop's. winning: by
    how many rivals, times the estimate on top of the rest, because the job was won. job_spread, own_spread: middle sd
    of the logarithm shared by a job's steps, and of each step alone. jobs_done, steps_done, lost: how many.
    """

    shop: Ratio
    stations: tuple[Ratio, ...]
    persons: tuple[Ratio, ...]
    winning: tuple[tuple[int, Ratio], ...]
    job_spread: float
    own_spread: float
    jobs_done: int
    steps_done: int
    lost: int


def lessons(learned: Learned, past: Sequence[Quote], rivals: Sequence[int]) -> Lessons:
    """What history taught, in figures.

    Args:
        learned: the draws. past: the quotes they were learned from. rivals: which numbers of rivals to tell of.
    Returns: the lessons.
    """
    draws, names = learned.draws, learned.names
    done = [step for quote in past for step in quote.steps if step.actual_s is not None]
    won = Counter(quote.rivals for quote in past if any(step.actual_s is not None for step in quote.steps))
    at, by = Counter(step.station for step in done), Counter(step.person for step in done)
    return Lessons(
        shop=_ratio("", draws.shop, len(done)),
        stations=tuple(_ratio(name, draws.station[:, i], at[name]) for i, name in enumerate(names.stations)),
        persons=tuple(_ratio(name, draws.person[:, i], by[name]) for i, name in enumerate(names.persons)),
        winning=tuple((k, _ratio("", won_terms(learned, k), won[k])) for k in sorted(set(rivals))),
        job_spread=float(np.median(draws.job_sd)),
        own_spread=float(np.median(draws.own_sd)),
        jobs_done=sum(any(step.actual_s is not None for step in quote.steps) for quote in past),
        steps_done=len(done),
        lost=sum(not quote.won for quote in past),
    )


def won_terms(learned: Learned, rivals: int) -> FloatArray:
    """Mean of a won job's term, in some of the draws.

    Args:
        learned: the draws. rivals: how many others offered.
    Returns: (SOME or fewer,) logarithms.
    """
    draws, grid = learned.draws, job_term_grid(400)
    middle = 0.5 * (grid[1:] + grid[:-1])
    every = max(1, len(draws.shop) // SOME)
    found: list[float] = []
    for i in range(0, len(draws.shop), every):
        sd = draws.job_sd[i]
        shares = won_shares(grid, draws.job_tail[i], rivals, draws.level[i], draws.edge[i] * sd)
        found.append(sd * float(np.sum(middle * np.diff(shares))))
    return np.array(found)


def why(told: Lessons, quote: Quote, middle_s: float) -> tuple[Reason, ...]:
    """What makes a job's middle hours differ from its estimate: factors whose product is their ratio.

    Args:
        told: the lessons, with the job's number of rivals. quote: the job. middle_s: its p50.
    Returns: a reason for each factor.
    """
    share = np.array([step.estimate_s for step in quote.steps]) / quote.estimate_s
    station = {one.name: one.p50 for one in told.stations}
    person = {one.name: one.p50 for one in told.persons}
    where = float(np.exp(share @ np.log([station.get(step.station, 1.0) for step in quote.steps])))
    who = float(np.exp(share @ np.log([person.get(step.person, 1.0) for step in quote.steps])))
    winning = dict(told.winning)[quote.rivals].p50
    rest = middle_s / quote.estimate_s / (told.shop.p50 * where * who * winning)
    strangers = sorted(
        {step.station for step in quote.steps if step.station not in station}
        | {step.person for step in quote.steps if step.person not in person}
    )
    return (
        because("lessons.shop", ratio=_short(told.shop.p50), steps=told.steps_done),
        because("lessons.stations", ratio=_short(where)),
        because("lessons.persons", ratio=_short(who)),
        *([because("lessons.winning", ratio=_short(winning), rivals=quote.rivals)] if quote.rivals else []),
        because("lessons.sum", ratio=_short(rest)),
        *(because("lessons.stranger", name=name or "nobody") for name in strangers),
    )


def rare_names(learned: Learned, past: Sequence[Quote]) -> tuple[Reason, ...]:
    """A doubt where history has more stations or persons than are told apart.

    Args:
        learned: the draws. past: the quotes they were learned from.
    Returns: no or one reason.
    """
    done = [step for quote in past for step in quote.steps if step.actual_s is not None]
    names = learned.names
    rare = {step.station for step in done}.difference(names.stations)
    rare |= {step.person for step in done}.difference(names.persons)
    return (because("lessons.rare", names=len(rare)),) if rare else ()


def _ratio(name: str, logs: FloatArray, steps: int) -> Ratio:
    p10, p50, p90 = quantiles(np.exp(logs), 0.1, 0.5, 0.9)
    return Ratio(name, p10, p50, p90, steps)


def _short(ratio: float) -> str:
    return f"{ratio:.3g}"
