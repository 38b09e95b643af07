"""What is believed about hours before any history, and the history laid out for counting.

    log(actual / estimate) of a step = shop + station + person + job + own

station, person ~ normal (0; their own learned sd): a name seen often stands on its own, a name seen seldom stays near
the shop's mean, a name never seen is drawn. own ~ Student's t with a learned sd for each station, job ~ Student's t:
one wild actual must not move the rest. The job's term is shared by its steps, so a job's hours spread wider than a
sum of unrelated steps.

Winning: P(won | job, rivals) = asked * Phi(level + edge * job) ** rivals. Each of the rivals is beaten if the job was
under-estimated by more than the rival did; level 0 and edge 1 / sd(job) are rivals as good as we. Prices that are not
times and customers who do not take the lowest make the edge smaller; customers who take nobody are in `asked`. Past won
jobs are selected so, lost quotes the other way round, and the new jobs, which were won too, against their own rivals.
So what winning does is counted once: the shop's term is that of all quotes, the job's term that of the ones won.

A sum of log-normals with a common factor has no closed form: quantiles come from draws.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from steadyrest.promise.lessons.past import Quote
from steadyrest.shop.draws import FloatArray

IntArray = npt.NDArray[np.int64]
MOST_NAMES = 60  # of stations, and of persons; rarer ones are taken as never seen, so that no list takes for ever


class Prior(NamedTuple):
    """Where a careful shop starts, without history. Sds are of logarithms; common practice, no source.

    shop_sd: of the mean. job, station, person, own: each (middle, sd of its logarithm) of a standard deviation. unlike:
    the same for how own sds differ between stations. level_sd: of the rivals' level. edge_sd: of log(edge * sd(job)).
    asked: (a, b) of the beta distribution of how often somebody gets the job at all.
    """

    shop_sd: float = 0.25
    job: tuple[float, float] = (0.20, 0.60)
    station: tuple[float, float] = (0.12, 0.70)
    person: tuple[float, float] = (0.10, 0.70)
    own: tuple[float, float] = (0.25, 0.60)
    unlike: tuple[float, float] = (0.20, 0.70)
    level_sd: float = 0.50
    edge_sd: float = 0.60
    asked: tuple[float, float] = (12.0, 1.0)


class Flat(NamedTuple):
    """The history for counting: rows with an actual time, in the order of their jobs; then every quote.

    ratio: (n,) log(actual / estimate). station, person: (n,) index of the name; -1: as never seen. first: (J + 1,)
    where the rows of each quote begin. rivals, won: (J,).
    """

    ratio: FloatArray
    station: IntArray
    person: IntArray
    first: IntArray
    rivals: IntArray
    won: npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Names:
    """The names that history knows, most frequent first (by name where equal)."""

    stations: tuple[str, ...]
    persons: tuple[str, ...]


def names_of(quotes: Sequence[Quote]) -> Names:
    """The stations and persons of the steps that have an actual time.

    Args:
        quotes: the history.
    Returns: at most MOST_NAMES of each.
    """
    done = [step for quote in quotes for step in quote.steps if step.actual_s is not None]

    def most(names: Counter[str]) -> tuple[str, ...]:
        return tuple(sorted(names, key=lambda name: (-names[name], name))[:MOST_NAMES])

    return Names(most(Counter(step.station for step in done)), most(Counter(step.person for step in done)))


def flat(quotes: Sequence[Quote], names: Names) -> Flat:
    """The history laid out.

    Args:
        quotes: won and lost. names: which stations and persons have an index.
    Returns: arrays.
    """
    station = {name: i for i, name in enumerate(names.stations)}
    person = {name: i for i, name in enumerate(names.persons)}
    done = [[step for step in quote.steps if step.actual_s is not None] for quote in quotes]
    rows = [step for steps in done for step in steps]
    return Flat(
        np.log(np.array([(step.actual_s or 1.0) / step.estimate_s for step in rows], np.float64)),
        np.array([station.get(step.station, -1) for step in rows], np.int64),
        np.array([person.get(step.person, -1) for step in rows], np.int64),
        np.cumsum([0, *(len(steps) for steps in done)], dtype=np.int64),
        np.array([quote.rivals for quote in quotes], np.int64),
        np.array([quote.won for quote in quotes], np.bool_),
    )


class Draws(NamedTuple):
    """What was learned: n draws from the posterior, one line of each array a draw.

    shop, job_sd, station_sd, person_sd, own_sd, unlike, level, edge, asked: (n,). own_sd is the middle over stations,
    unlike the sd of its logarithm. job_tail, own_tail: (n,) degrees of freedom. station: (n, S), person: (n, P)
    effects. station_own_sd: (n, S).
    """

    shop: FloatArray
    job_sd: FloatArray
    job_tail: FloatArray
    station_sd: FloatArray
    person_sd: FloatArray
    own_sd: FloatArray
    unlike: FloatArray
    own_tail: FloatArray
    level: FloatArray
    edge: FloatArray
    asked: FloatArray
    station: FloatArray
    person: FloatArray
    station_own_sd: FloatArray


@dataclass(frozen=True, slots=True)
class Learned:
    """What history taught: draws, and the names that their columns stand for."""

    draws: Draws
    names: Names
