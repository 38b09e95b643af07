"""The vectorised sums against the obvious triple loop."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from steadyrest.part.nominal.candidates import candidates
from steadyrest.part.nominal.choice import Choices
from steadyrest.part.nominal.errors import Errors, scan_errors
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.likelihood import likelihood
from steadyrest.part.nominal.posterior import posterior
from steadyrest.part.nominal.unknowns import unknowns
from tests.part.nominal.parts import keyway, part_of, round_feature, worn_shaft


def cases(
    family: list[int], choices: Sequence[Choices], seen: list[FloatArray], *, habit_of: dict[int, int], p: int, a: int
) -> Iterator[tuple[float, dict[int, FloatArray]]]:
    """Each thing that may sit there with its odds, nothing first, and what every size's candidates then weigh."""
    share = choices[family[0]].share[:, p] if choices[family[0]].share.size else np.zeros(0)
    habit = {k: choices[k].weight[habit_of[k]] * seen[k][:, a] for k in family}
    yield 1 - float(share.sum()), habit
    for z, odds in enumerate(share):
        terms: dict[int, FloatArray] = {}
        for k in family:
            partner = choices[k].partner[z]
            terms[k] = habit[k] if partner is None else partner[p] * seen[k][:, a]
        yield float(odds), terms


def thinned(errors: Errors, *, every: int) -> Errors:
    """A few of the error states, for a loop that is slow."""
    return replace(
        errors, film_mm=errors.film_mm[::every], scale=errors.scale[::every], made_mm=errors.made_mm[::every],
        log_odds=errors.log_odds[::every],
    )  # fmt: skip


def test_the_posterior_is_the_plain_sum_over_habits_errors_and_candidates() -> None:
    part = part_of(round_feature("F1", 30.03, 0, 20), keyway("F2", 8.02, 4.05, 4, 16, "F1"))
    rows = unknowns(part)
    choices = candidates(rows, reach_mm=None)
    errors = thinned(scan_errors(), every=37)
    quick = posterior(rows, choices, errors)
    seen = [likelihood(row, choice, errors) for row, choice in zip(rows, choices, strict=True)]
    mass = [np.zeros(len(choice.fits)) for choice in choices]
    (root,) = [k for k, row in enumerate(rows) if row.role == "diameter"]
    children = [k for k, row in enumerate(rows) if row.parent == root and choices[k].share.any()]
    others = [k for k in range(len(rows)) if k != root and k not in children]
    for (s, t), share in np.ndenumerate(habits().together):
        habit_of = {k: t if row.along else s for k, row in enumerate(rows)}
        for a, log_odds in enumerate(errors.log_odds):
            prior = share * np.exp(log_odds)
            alone = {k: choices[k].weight[habit_of[k]] * seen[k][:, a] for k in others}
            outside = float(np.prod([terms.sum() for terms in alone.values()])) if alone else 1.0
            inside_total = 0.0
            shaft_terms = np.zeros(len(choices[root].fits))
            child_terms = {k: np.zeros(len(choices[k].fits)) for k in children}
            for p in range(len(choices[root].fits)):
                here = choices[root].weight[s, p] * seen[root][p, a]
                families: dict[str, list[int]] = {}
                for k in children:
                    families.setdefault(rows[k].feature, []).append(k)
                product = here
                told = {k: np.zeros(len(choices[k].fits)) for k in children}
                for family in families.values():
                    total = 0.0
                    found = {k: np.zeros(len(choices[k].fits)) for k in family}
                    for share_z, terms in cases(family, choices, seen, habit_of=habit_of, p=p, a=a):
                        sums = {k: term.sum() for k, term in terms.items()}
                        total += share_z * float(np.prod(list(sums.values())))
                        for k in family:
                            rest = float(np.prod([sums[j] for j in family if j != k]))
                            found[k] += share_z * rest * terms[k]
                    for k in family:
                        told[k] = found[k] / total if total > 0 else found[k]
                    product *= total
                shaft_terms[p] = product
                inside_total += product
                for k in children:
                    child_terms[k] += product * told[k]
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
