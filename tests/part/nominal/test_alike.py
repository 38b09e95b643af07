"""Like sizes: the sum forward and backward along the row against every way to part it, one by one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import log, pi

import numpy as np

from steadyrest.part.nominal.alike import alike, runs, together
from steadyrest.part.nominal.candidates import candidates
from steadyrest.part.nominal.choice import Choices, Fit
from steadyrest.part.nominal.errors import Errors, scan_errors
from steadyrest.part.nominal.habits import habits
from steadyrest.part.nominal.likelihood import likelihood
from steadyrest.part.nominal.name import name_sizes, with_reading
from steadyrest.part.nominal.posterior import posterior
from steadyrest.part.nominal.unknowns import Unknown, unknowns
from steadyrest.shop.part import Nominal, Part
from tests.part.nominal.parts import part_of, round_feature


def drilled(*seen_mm: float) -> Part:
    """A part with one plain shaft and holes seen at these sizes."""
    holes = [
        round_feature(f"F{k + 2}", size, 30 * k, 30 * k + 8, kind="bore", u=0.03) for k, size in enumerate(seen_mm)
    ]
    holes = [replace(hole, sizes=hole.sizes[:1], along_mm=None) for hole in holes]
    return part_of(round_feature("F1", 40.0, 0, 60), *holes)


def partings(n: int) -> Iterator[list[range]]:
    """Every way to part a row of n into blocks of neighbours."""
    for cuts in range(2 ** (n - 1)):
        ends = [i + 1 for i in range(n - 1) if cuts >> i & 1]
        yield [range(a, b) for a, b in zip([0, *ends], [*ends, n], strict=True)]


def one_size(
    members: list[int], rows: tuple[Unknown, ...], choices: tuple[Choices, ...], *, s: int, errors: Errors, a: int
) -> float:
    """What all candidates weigh if these sizes are all of one."""
    first = choices[members[0]]
    if len(members) == 1:
        return float(first.weight[s] @ likelihood(rows[members[0]], first, errors)[:, a])
    one, _ = together([rows[k] for k in members], errors)
    like = likelihood(one, first, errors)[:, a]
    known = [{key(fit) for fit in choices[k].fits[:-1]} for k in members]
    within = np.array([*(all(key(fit) in some for some in known) for fit in first.fits[:-1]), True])
    # How far they lie from each other: one size anywhere, each seen and made a little beside it, summed on a grid.
    grid = np.linspace(one.observed_mm - 1.5, one.observed_mm + 1.5, 20001)
    density = np.ones_like(grid)
    for k in members:
        scatter = (habits().repeats["scatter_share"] * errors.made_mm[a]) ** 2
        var = rows[k].u_mm ** 2 + errors.own_mm**2 + scatter
        density *= np.exp(-((grid - rows[k].observed_mm) ** 2) / (2 * var)) / np.sqrt(2 * pi * var)
    apart = float(density.sum() * (grid[1] - grid[0]))
    return float((first.weight[s] * like * within).sum()) * apart


def key(fit: Fit) -> tuple[float, str, str]:
    return fit.value_mm, fit.source, fit.unit


def test_the_row_is_the_plain_sum_over_every_way_to_part_it() -> None:
    rows = unknowns(drilled(8.02, 8.05, 8.31))
    choices = candidates(rows, reach_mm=None)
    errors = scan_errors()
    seen = [likelihood(row, choice, errors) for row, choice in zip(rows, choices, strict=True)]
    plain = [choice.weight @ like for choice, like in zip(choices, seen, strict=True)]
    bores = [k for k, row in enumerate(rows) if row.kind == "bore"]
    (run,) = runs(rows, bores)
    quick = alike(run, rows, choices, errors, plain)
    repeat = habits().repeats
    for s in (0, 3, 6):
        for a in (0, 100, 230):
            total = 0.0
            for blocks in partings(len(run)):
                term = (1 - repeat["share"]) ** (len(blocks) - 1)
                for block in blocks:
                    members = [run[i] for i in block]
                    weighed = one_size(members, rows, choices, s=s, errors=errors, a=a)
                    term *= weighed * (repeat["share"] * repeat["spread_mm"]) ** (len(members) - 1)
                total += term
            assert abs(float(quick.log_total[s, a]) - log(total)) < 1e-6


def test_odds_of_like_sizes_add_up_to_one_each() -> None:
    rows = unknowns(drilled(5.43, 5.55, 5.56, 6.62, 6.64))
    for odds in posterior(rows, candidates(rows, reach_mm=None), scan_errors()).odds:
        assert abs(float(odds.sum()) - 1.0) < 1e-9


def test_holes_seen_alike_are_named_alike_and_surer_than_one_alone() -> None:
    alone = name_sizes(drilled(6.64)).features[1].sizes[0].nominal
    four = [f.sizes[0].nominal for f in name_sizes(drilled(6.62, 6.64, 6.66, 6.60)).features[1:]]
    assert alone is not None
    for one in four:
        assert one is not None
        assert one.value == alone.value
        assert one.odds > alone.odds


def test_a_hole_of_another_size_beside_them_keeps_its_own() -> None:
    named = name_sizes(drilled(8.03, 8.04, 8.05, 8.53)).features[1:]
    assert [f.sizes[0].nominal.value for f in named if f.sizes[0].nominal is not None] == [8.0, 8.0, 8.0, 8.5]


def test_what_one_reading_tells_of_a_hole_it_tells_of_those_that_are_alike() -> None:
    part = drilled(6.56, 6.58, 6.60)
    for reading_mm, is_mm in ((6.53, 6.5), (6.63, 6.6)):
        read = named(with_reading(part, "F2", "diameter_mm", reading_mm, 0.006))
        assert all(nominal.value == is_mm for nominal in read)
        assert max(nominal.odds for nominal in read) - min(nominal.odds for nominal in read) < 0.1


def named(part: Part) -> list[Nominal]:
    """What the holes are named."""
    return [f.sizes[0].nominal for f in part.features[1:] if f.sizes[0].nominal is not None]
