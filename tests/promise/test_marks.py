"""A change far along an order, built from a mark, gives what building it all anew gives."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.promise.search.alone import units_of
from steadyrest.promise.search.builder import Genes, build, empty_bench, plain_genes
from steadyrest.promise.search.laid import laid_out
from steadyrest.promise.search.marks import build_from, empty_marks, first_change, stands
from steadyrest.promise.week import Week
from tests.promise.weeks import weeks


@settings(deadline=None, max_examples=25)
@given(week=weeks(), seed=st.integers(0, 10**6), copies=st.integers(1, 3))
def test_a_plan_built_from_a_mark_is_the_plan_built_anew(week: Week, seed: int, copies: int) -> None:
    from dataclasses import replace

    # More jobs than a drawn week has, so that an order is longer than a mark's reach.
    jobs = tuple(replace(job, id=f"{job.id}/{n}", after=(), belongs="") for n in range(copies) for job in week.jobs)
    laid, rng = laid_out(replace(week, jobs=jobs)), np.random.default_rng(seed)
    units = units_of(laid)
    order = rng.permutation(np.repeat(np.arange(len(jobs)), units)).astype(np.int64)
    stood, bench, anew = plain_genes(laid, order), empty_bench(laid), empty_bench(laid)
    marks = empty_marks(bench, order.size)
    build_from(laid, stood, bench, marks, 0, 0.01, np.inf)
    stands(marks, bench)
    for _ in range(12):
        tried = stood.order.copy()
        a, b = rng.integers(0, order.size, 2)
        tried[a], tried[b] = tried[b], tried[a]
        genes = Genes(tried, stood.prefer, stood.not_before_s)
        whole = build(laid, genes, anew, 0.01, np.inf)
        limit = np.inf if rng.random() < 0.7 else whole * float(rng.uniform(0.5, 1.5))
        cost = build_from(laid, genes, bench, marks, first_change(tried, stood.order), 0.01, limit)
        if cost == np.inf and whole < np.inf:
            assert whole > limit
            continue
        assert cost == whole
        for one in ("at", "ready_s", "dead", "late", "busy", "held"):
            assert getattr(bench, one).tolist() == getattr(anew, one).tolist()
        done = ~np.isin(np.repeat(np.arange(len(jobs)), np.diff(laid.first)), np.flatnonzero(anew.dead))
        assert bench.begin_s[done].tolist() == anew.begin_s[done].tolist()
        assert bench.by[done].tolist() == anew.by[done].tolist()
        if rng.random() < 0.5:
            stands(marks, bench)
            stood = genes
