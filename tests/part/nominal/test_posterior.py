"""The vectorised sums against the obvious triple loop."""

from __future__ import annotations

import numpy as np

from steadyrest.part.nominal.candidates import candidates
from steadyrest.part.nominal.habits import habits
from steadyrest.part.nominal.posterior import likelihood, posterior, scan_errors
from steadyrest.part.nominal.unknowns import unknowns
from tests.part.nominal.parts import keyway, part_of, round_feature, worn_shaft


def test_the_posterior_is_the_plain_sum_over_habits_errors_and_candidates() -> None:
    part = part_of(round_feature("F1", 30.03, 0, 20), keyway("F2", 8.02, 4.05, 4, 16, "F1"))
    rows = unknowns(part)
    choices = candidates(rows, reach_mm=None)
    errors = scan_errors()
    quick = posterior(rows, choices, errors)
    seen = [likelihood(row, choice, errors) for row, choice in zip(rows, choices, strict=True)]
    shares = np.array([system.share for system in habits().systems])
    shares = shares / shares.sum()
    mass = [np.zeros(len(choice.fits)) for choice in choices]
    (root,) = [k for k, row in enumerate(rows) if row.role == "diameter"]
    children = [k for k, row in enumerate(rows) if row.parent == root]
    others = [k for k in range(len(rows)) if k != root and k not in children]
    for s, share in enumerate(shares):
        for a, log_odds in enumerate(errors.log_odds):
            prior = share * np.exp(log_odds)
            alone = {k: choices[k].weight[s] * seen[k][:, a] for k in others}
            outside = float(np.prod([terms.sum() for terms in alone.values()])) if alone else 1.0
            inside_total = 0.0
            shaft_terms = np.zeros(len(choices[root].fits))
            child_terms = {k: np.zeros(len(choices[k].fits)) for k in children}
            for p in range(len(choices[root].fits)):
                here = choices[root].weight[s, p] * seen[root][p, a]
                terms = {}
                for k in children:
                    choice = choices[k]
                    tie = 0.0 if choice.share is None else choice.share[p]
                    tied = 0.0 if choice.partner is None else choice.partner[p]
                    terms[k] = ((1 - tie) * choice.weight[s] + tie * tied) * seen[k][:, a]
                product = here * float(np.prod([t.sum() for t in terms.values()]))
                shaft_terms[p] = product
                inside_total += product
                for k in children:
                    if terms[k].sum() > 0:
                        child_terms[k] += product * terms[k] / terms[k].sum()
            mass[root] += prior * outside * shaft_terms
            for k in children:
                mass[k] += prior * outside * child_terms[k]
            for k in others:
                mass[k] += prior * inside_total * outside * alone[k] / alone[k].sum()
    for k in range(len(rows)):
        np.testing.assert_allclose(quick.odds[k], mass[k] / mass[k].sum(), atol=1e-9)


def test_odds_of_every_size_add_up_to_one() -> None:
    rows = unknowns(worn_shaft())
    choices = candidates(rows, reach_mm=None)
    for odds in posterior(rows, choices, scan_errors()).odds:
        assert abs(float(odds.sum()) - 1.0) < 1e-9
        assert float(odds.min()) >= 0.0
