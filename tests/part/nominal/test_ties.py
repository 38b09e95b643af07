"""Holes of one bolt and bores of one shaft raise each other's odds; what stands for neither is left as it was."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.nominal.candidates import candidates
from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.name import name_sizes
from steadyrest.part.nominal.ties import (
    Tie,
    bolt_name,
    bolts_of,
    shafts_of,
    tied,
    ties_of,
    together,
    usual_bolts,
    usual_shafts,
)
from steadyrest.part.nominal.unknowns import unknowns
from steadyrest.shop.part import Feature, Part
from tests.part.nominal.parts import part_of, round_feature


def hole(name: str, diameter: float, at: float, *, u: float = 0.03) -> Feature:
    """A drilled hole somewhere on a plate."""
    bored = round_feature(name, diameter, 0, 12, kind="bore", u=u)
    return replace(bored, at_mm=(6.0, at, 0.0), along_mm=None, sizes=bored.sizes[:1], inside=True)


def plate(*sizes: float) -> Part:
    return replace(part_of(*(hole(f"F{k + 1}", d, 30.0 * k) for k, d in enumerate(sizes))), axisymmetric=False)


def odds(part: Part, feature: str) -> float:
    nominal = part.feature(feature).sizes[0].nominal
    assert nominal is not None
    return nominal.odds


def test_a_tap_drill_is_likelier_beside_the_hole_of_its_bolt() -> None:
    beside, alone = name_sizes(plate(6.83, 9.02)), name_sizes(plate(6.83, 14.02))
    assert odds(beside, "F1") > odds(alone, "F1") + 0.05
    nominal = beside.feature("F1").sizes[0].nominal
    assert nominal is not None
    assert nominal.value == pytest.approx(6.8)
    (said,) = [r for r in nominal.why if r.key == "nominal.one_bolt"]
    assert dict(said.given)["name"] == "M8"


def test_holes_of_one_size_are_no_witnesses_for_each_other() -> None:
    part = plate(6.83, 6.83, 6.83)
    assert tied(judge(part), part).ties == ()


def test_bores_of_one_shaft_speak_only_where_they_share_a_line() -> None:
    def housing(apart: float) -> Part:
        low = replace(round_feature("F1", 62.01, 0, 16, kind="bore"), inside=True, along_mm=None)
        high = replace(round_feature("F2", 47.03, 16, 24, kind="bore", u=0.05), inside=True, along_mm=None)
        return replace(part_of(low, replace(high, at_mm=(20.0, apart, 0.0))), axisymmetric=False)

    def kinds(apart: float) -> set[str]:
        return {tie.kind for tie in ties_of(judge(housing(apart)), housing(apart))}

    assert "shaft" in kinds(0.0)
    assert "shaft" not in kinds(40.0)


def axle(*more: Feature) -> Part:
    """A journal that measures 24.93 against a shoulder, and what else stands on its axis."""
    journal, body = round_feature("F1", 24.93, 0, 19.3), round_feature("F2", 62.0, 19.3, 60)
    return part_of(journal, body, *more)


TWIN, HOUSING = round_feature("F3", 25.006, 60, 78.7), round_feature("F3", 52.01, 45, 60, kind="bore")


@pytest.mark.parametrize("witness", [TWIN, HOUSING], ids=["sound twin", "bore of its bearing"])
def test_a_worn_journal_is_named_by_what_stands_for_its_shaft(witness: Feature) -> None:
    part = axle(witness)
    told, alone = tied(judge(part), part), judge(part)
    k = next(k for k, row in enumerate(told.rows) if row.feature == "F1" and row.role == "diameter")
    is_25 = abs(told.choices[k].value_mm - 25.0) < 1e-6
    is_25[-1] = False
    assert told.posterior.odds[k][is_25].sum() > alone.posterior.odds[k][is_25].sum() + 0.01


def test_a_worn_journal_says_that_it_is_worn_evenly_and_for_which_shaft() -> None:
    nominal = name_sizes(axle(TWIN)).feature("F1").sizes[0].nominal
    assert nominal is not None
    why = {reason.key: dict(reason.given) for reason in nominal.why}
    assert nominal.value == pytest.approx(25.0)
    assert why["nominal.one_shaft"]["name"] == "25"
    lost_um = why["nominal.even_wear"]["lost_um"]
    assert isinstance(lost_um, float)
    assert 50 < lost_um < 90
    sound = name_sizes(axle(TWIN)).feature("F3").sizes[0].nominal
    assert sound is not None
    assert "nominal.even_wear" not in {reason.key for reason in sound.why}


def test_journals_that_measure_alike_are_no_witnesses_for_each_other() -> None:
    alike = round_feature("F1", 25.004, 0, 19.3), round_feature("F3", 25.006, 60, 78.7)
    told = tied(judge(part := part_of(*alike, round_feature("F2", 31.2, 19.3, 60))), part)
    assert "F1" not in {told.rows[k].feature for k, *_ in told.ties}


def test_the_tie_is_the_plain_sum_over_bolts() -> None:
    """Against the sum written out: bolt by bolt, candidate by candidate of both holes."""
    part = plate(6.83, 9.02)
    rows = unknowns(part)
    choices = candidates(rows, reach_mm=None)
    rng = np.random.default_rng(3)
    prior = [rng.dirichlet(np.ones(len(choice.fits))) for choice in choices]
    share, usual = 0.4, usual_bolts()
    joint = np.zeros((len(prior[0]), len(prior[1])))
    for bolt, often in usual.items():
        factor = []
        for choice in choices:
            one = np.ones(len(choice.fits))
            for c, fit in enumerate(choice.fits):
                stands = bolts_of(fit)
                if stands:
                    one[c] = 1 - share + share * stands.get(bolt, 0.0) / often
            factor.append(one)
        joint += often * np.outer(prior[0] * factor[0], prior[1] * factor[1])
    joint /= joint.sum()
    found = {k: new for k, new, _ in together(Tie("bolt", ((0,), (1,)), bolts_of, usual, share), choices, prior)}
    np.testing.assert_allclose(found[0], joint.sum(axis=1), atol=1e-12)
    np.testing.assert_allclose(found[1], joint.sum(axis=0), atol=1e-12)


@pytest.mark.parametrize(
    ("text", "bolt"), [("M8", "M8"), ("M8x1", "M8"), ("1/4-20", "1/4"), ("1/4 in", "1/4"), ("#10-24", "#10")]
)
def test_threads_and_holes_call_their_bolt_alike(text: str, bolt: str) -> None:
    assert bolt_name(text) == bolt


def test_what_is_usual_adds_up_to_one() -> None:
    for usual in (usual_bolts(), usual_shafts()):
        assert sum(usual.values()) == pytest.approx(1.0)
    assert {"M3", "M8", "M20", "1/4", "1/2"} <= set(usual_bolts())


def test_every_bearing_and_seal_stands_for_its_shafts() -> None:
    from steadyrest.part.nominal.partners import bearing_outsides, seal_housings

    for fit in (*bearing_outsides("mm"), *seal_housings()):
        assert sum(shafts_of(fit).values()) == pytest.approx(1.0)
        assert set(shafts_of(fit)) <= set(usual_shafts())
