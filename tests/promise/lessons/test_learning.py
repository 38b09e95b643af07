"""What is learned: the prior without history, the truth with much, the slow twin with little."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from steadyrest.promise.lessons.ask import job_hours
from steadyrest.promise.lessons.fit import learn
from steadyrest.promise.lessons.model import Prior
from steadyrest.promise.lessons.past import Quote, QuotedStep
from tests.oracles.slow_lessons import Seen, believed


def quote(job, rivals, won, *steps):
    """steps: (station, person, estimate_s, ratio or None)."""
    return Quote(
        job, rivals, won, tuple(QuotedStep(str(n), s, p, e, None if r is None else e * r) for n, (s, p, e, r) in
                                enumerate(steps)),
    )  # fmt: skip


def ask(learned, *quotes, levels=(0.1, 0.5, 0.9)):
    return np.quantile(job_hours(learned, quotes, seed=3), levels, axis=1).T


def history(count, seed, *, rivals=(0, 1, 3), equal=True, stations=None, job_sd=0.2, own_sd=0.15):
    """Quotes by the trade's own mechanism: everyone errs alike, the lowest wins."""
    rng = np.random.default_rng(seed)
    stations = stations or {"saw": 0.0, "turn": 0.2}
    for n in range(count):
        k = int(rng.choice(rivals))
        error = job_sd * rng.standard_normal()
        won = not equal or bool(np.all(error > job_sd * rng.standard_normal(k)))
        steps = [
            (s, "ines", 3600.0, math.exp(error + stations[s] + own_sd * rng.standard_normal()) if won else None)
            for s in rng.choice(list(stations), 3)
        ]
        yield quote(f"J{n}", k, won, *steps)


def test_without_history_the_draws_are_the_prior():
    prior, draws = Prior(), learn([], seed=7).draws
    assert stats.kstest(draws.shop, stats.norm(0, prior.shop_sd).cdf).pvalue > 1e-3
    assert stats.kstest(draws.level[::4], stats.norm(0, prior.level_sd).cdf).pvalue > 1e-3
    assert stats.kstest(draws.asked[::4], stats.beta(*prior.asked).cdf).pvalue > 1e-3
    for drawn, (middle, spread) in ((draws.job_sd, prior.job), (draws.station_sd, prior.station),
                                    (draws.own_sd, prior.own)):  # fmt: skip
        assert stats.kstest(np.log(drawn[::4] / middle) / spread, stats.norm.cdf).pvalue > 1e-3


def test_without_history_the_odds_are_wide_and_winning_still_counts():
    learned = learn([], seed=1)
    alone, against = ask(learned, quote("A", 0, True, ("saw", "ines", 3600.0, None)),
                         quote("B", 3, True, ("saw", "ines", 3600.0, None)))  # fmt: skip
    assert alone[0] < 0.75 * 3600
    assert alone[2] > 1.4 * 3600
    assert alone[1] == pytest.approx(3600, rel=0.08)
    assert against[1] > 1.1 * alone[1]


def test_a_handful_of_jobs_teaches_what_weighing_the_prior_does():
    seen = [
        Seen(2, True, ((0, 0, 0.30), (1, 0, 0.10))),
        Seen(1, False, ()),
        Seen(1, True, ((1, 0, 0.45),)),
        Seen(3, False, ()),
        Seen(0, True, ((0, 0, -0.05), (0, 0, 0.02))),
        Seen(2, True, ((1, 0, 0.22), (1, 0, 0.50))),
    ]
    quotes = [
        quote(f"Q{n}", one.rivals, one.won, *((f"s{s}", f"p{p}", 3600.0, math.exp(r)) for s, p, r in one.steps))
        for n, one in enumerate(seen)
    ]
    learned = learn(quotes, seed=5)
    draws = learned.draws
    names = learned.names.stations  # by how often they were seen
    slow = believed(seen, Prior(), 2, 1, 30_000, seed=2)
    assert slow.worth > 800
    for ours, twin in (
        (draws.shop, slow.shop), (np.log(draws.job_sd), np.log(slow.job_sd)), (draws.level, slow.level),
        (np.log(draws.edge * draws.job_sd), np.log(slow.slope)), (np.log(draws.own_sd), np.log(slow.own_sd)),
        (draws.station[:, names.index("s0")], slow.station[:, 0]),
        (draws.station[:, names.index("s1")], slow.station[:, 1]), (draws.asked, slow.asked),
    ):  # fmt: skip
        sd = slow.sd(twin)
        assert ours.mean() == pytest.approx(slow.mean(twin), abs=0.2 * sd)
        assert ours.std() == pytest.approx(sd, rel=0.2)


def test_much_history_teaches_the_truth():
    draws = learn(list(history(2500, 4)), seed=1).draws
    turn, saw = (draws.shop + draws.station[:, i] for i in _places(["turn", "saw"], list(history(2500, 4))))
    assert draws.job_sd.mean() == pytest.approx(0.2, rel=0.1)
    assert draws.own_sd.mean() == pytest.approx(0.15, rel=0.25)
    assert (draws.edge * draws.job_sd).mean() == pytest.approx(1, rel=0.35)
    assert (turn - saw).mean() == pytest.approx(0.2, abs=0.02)
    person = draws.person[:, 0]
    assert (saw + person).mean() == pytest.approx(0.0, abs=0.04)  # of all quotes, though only won ones have hours


def _places(names, quotes):
    known = learn_names(quotes)
    return [known.index(name) for name in names]


def learn_names(quotes):
    from steadyrest.promise.lessons.model import names_of

    return names_of(quotes).stations


def test_winning_is_counted_once_also_where_rivals_change():
    # Learned from jobs with one rival, asked with none and with four. Truth by the closed form: exp(0.2 m).
    learned = learn(list(history(1500, 9, rivals=(0, 1))), seed=2)
    step = ("saw", "ines", 3600.0, None)
    for rivals, m in ((0, 0.0), (1, 0.5642), (4, 1.1630)):
        ((_, middle, _),) = ask(learned, quote("N", rivals, True, step))
        assert middle == pytest.approx(3600 * math.exp(0.2 * m), rel=0.05)


def test_where_winning_had_nothing_to_do_with_errors_it_is_not_corrected():
    rng = np.random.default_rng(3)
    past = [
        Quote(one.job, one.rivals, bool(won := rng.random() < 0.4),
              one.steps if won else tuple(QuotedStep(s.step, s.station, s.person, s.estimate_s, None)
                                          for s in one.steps))
        for one in history(800, 6, equal=False)
    ]  # fmt: skip
    learned = learn(past, seed=2)
    step = ("saw", "ines", 3600.0, None)
    ((_, middle, _),) = ask(learned, quote("N", 1, True, step))
    assert middle == pytest.approx(3600, rel=0.06)


def test_adding_medians_is_too_little_and_steps_of_one_job_go_long_together():
    learned = learn(list(history(600, 2, rivals=(0,), stations={"saw": 0.0}, own_sd=0.4)), seed=1)
    step = ("saw", "ines", 3600.0, None)
    one, many = ask(learned, quote("A", 0, True, step), quote("B", 0, True, *[step] * 8))
    assert many[1] > 8 * one[1] * 1.03  # exp(0.4 ** 2 / 2) for many steps: the mean of a log-normal over its median
    apart = math.sqrt(0.2**2 + 0.4**2) / math.sqrt(8)
    assert math.log(many[2] / many[1]) > 1.25 * 1.2816 * apart
    assert one[2] / one[1] > many[2] / many[1]


def test_one_wild_time_does_not_move_the_rest():
    past = list(history(200, 8, rivals=(0,), stations={"saw": 0.0}))
    wild = quote("W", 0, True, ("saw", "ines", 3600.0, 300.0))
    step = quote("N", 0, True, ("saw", "ines", 3600.0, None))
    calm = ask(learn(past, seed=1), step)[0]
    shaken = ask(learn([*past, wild], seed=1), step)[0]
    assert shaken == pytest.approx(calm, rel=0.04)


def test_a_name_never_seen_gets_more_doubt_than_a_known_one():
    past = list(history(300, 5, rivals=(0,), stations={"saw": -0.3, "turn": 0.2, "mill": 0.3}))
    known, strange = ask(learn(past, seed=1), quote("A", 0, True, ("turn", "ines", 3600.0, None)),
                         quote("B", 0, True, ("plane", "juno", 3600.0, None)))  # fmt: skip
    assert strange[2] / strange[0] > 1.2 * known[2] / known[0]


def test_the_same_seed_gives_the_same_hours():
    past = list(history(30, 1))
    step = quote("N", 1, True, ("saw", "ines", 3600.0, None))
    first, again = (ask(learn(past, seed=4), step) for _ in range(2))
    assert np.array_equal(first, again)
