"""Which metal, as laws; and its odds against pieces whose tests behave otherwise than its own table says."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.metal.evidence import MetalAnswer, MetalEvidence
from steadyrest.part.metal.weight import density_of, volume_of_scan
from steadyrest.part.metal.which import which_metal
from steadyrest.shop.shop_materials import table_materials
from steadyrest.tables.metal_tests import (
    TEST_NAMES,
    TestName,
    bench_tests,
    metal_groups,
    metal_kinds,
    outcome_odds,
    outcomes,
    weighing,
)
from steadyrest.trouble import BadInput
from steadyrest.wording.say import say

laws = settings(deadline=None, max_examples=60)


def answer(**seen: object) -> MetalAnswer:
    return which_metal(MetalEvidence(**seen), table_materials())  # type: ignore[arg-type]


def odds(found: MetalAnswer, kind: str) -> float:
    return next(named.odds.value for named in found.kinds if named.name == kind)


def maybe(test: TestName) -> st.SearchStrategy[str | None]:
    return st.none() | st.sampled_from(outcomes(test))


evidences = st.builds(
    MetalEvidence,
    volume_mm3=st.none() | st.tuples(st.floats(1e3, 1e7), st.floats(1, 100)),
    mass_kg=st.none() | st.tuples(st.floats(0.01, 100), st.floats(0.0001, 0.005)),
    magnet=maybe("magnet"), file=maybe("file"), colour=maybe("colour"), spark=maybe("spark"),
)  # fmt: skip


def test_every_material_of_the_tables_belongs_to_one_kind_and_its_density_lies_there() -> None:
    homes = [material for kind in metal_kinds() for material in kind.materials]
    assert sorted(homes) == sorted(material.id for material in table_materials())
    for kind in metal_kinds():
        low, high = kind.density_kg_m3
        assert low < high
        assert all(low <= m.density_kg_m3 <= high for m in table_materials() if m.id in kind.materials)


@pytest.mark.parametrize("test", TEST_NAMES)
def test_what_a_kind_gives_in_a_test_adds_up(test: TestName) -> None:
    assert list(outcome_odds(test)) == [kind.kind for kind in metal_kinds()]
    assert all(sum(row) == pytest.approx(1) for row in outcome_odds(test).values())


def test_a_group_names_kinds_that_there_are_and_no_two_groups_the_same() -> None:
    kinds = {kind.kind for kind in metal_kinds()}
    assert all(set(group.kinds) <= kinds and len(group.kinds) > 1 for group in metal_groups())
    assert len({frozenset(group.kinds) for group in metal_groups()}) == len(metal_groups())


@laws
@given(evidence=evidences)
def test_odds_add_up_and_every_reason_can_be_said(evidence: MetalEvidence) -> None:
    found = which_metal(evidence, table_materials())
    assert sum(named.odds.value for named in found.kinds) == pytest.approx(1)
    assert all(0 < named.odds.value < 1 for named in found.kinds)
    assert sum(share for _, share in found.materials) <= 1 + 1e-9
    more = found.next_test.why + found.next_test.cautions if found.next_test else ()
    assert all(say(reason) for reason in (*found.why, *found.withheld, *more))


@laws
@given(evidence=evidences)
def test_what_is_likely_is_narrower_than_what_is_sure(evidence: MetalEvidence) -> None:
    found = which_metal(evidence, table_materials())
    if found.sure:
        assert found.sure.odds.value >= 0.95
        if found.likely:
            assert len(found.likely.kinds) < len(found.sure.kinds)


@laws
@given(evidence=evidences)
def test_no_spark_where_something_may_burn_or_is_soft(evidence: MetalEvidence) -> None:
    found = which_metal(evidence, table_materials())
    if found.next_test and found.next_test.test == "spark":
        assert odds(found, "magnesium") + odds(found, "titanium") <= 0.005
        assert odds(found, "aluminium") + odds(found, "copper") + odds(found, "brass") <= 0.1
        cautions = " ".join(say(reason) for reason in found.next_test.cautions)
        assert all(word in cautions for word in ("eye protection", "fire", "magnesium", "titanium"))


def test_before_anything_is_tried_a_magnet_comes_first_and_a_wheel_never() -> None:
    found = answer()
    assert found.next_test is not None
    assert found.next_test.test == "magnet"
    assert found.withheld
    assert found.sure is None


def test_carbon_steels_are_named_together_whatever_is_tried() -> None:
    found = answer(
        volume_mm3=(1e5, 300), mass_kg=(0.785, 0.001), magnet="strong", file="bites", colour="grey", spark="forks"
    )
    assert found.sure is not None
    assert {"low-carbon steel", "medium-carbon steel", "low-alloy steel"} <= set(found.sure.kinds)
    assert max(share for _, share in found.materials) < 0.6
    assert any("cannot tell" in say(reason) for reason in found.why)


@pytest.mark.parametrize(
    ("seen", "kind"),
    [
        ({"volume_mm3": (1e5, 400), "mass_kg": (0.27, 0.001)}, "aluminium"),
        ({"volume_mm3": (1e5, 400), "mass_kg": (0.445, 0.001)}, "titanium"),
        ({"volume_mm3": (1e5, 400), "mass_kg": (0.79, 0.002), "magnet": "none", "colour": "silver-white"},
         "austenitic stainless steel"),
        ({"mass_kg": (0.85, 0.0005), "in_water_kg": 0.75, "colour": "yellow"}, "brass"),
        ({"mass_kg": (0.715, 0.0005), "in_water_kg": 0.6153, "magnet": "strong", "spark": "short red"},
         "grey cast iron"),
    ],
)  # fmt: skip
def test_the_usual_piece_is_recognised(seen: Mapping[str, object], kind: str) -> None:
    found = answer(**seen)
    named = found.likely or found.sure
    assert named is not None
    assert found.kinds[0].name == kind
    assert kind in named.kinds


def test_a_hollow_in_a_steel_part_is_not_taken_for_another_metal() -> None:
    found = answer(volume_mm3=(1e5, 400), mass_kg=(0.6, 0.002), magnet="strong", colour="grey")
    assert found.sure is not None
    assert "low-carbon steel" in found.sure.kinds


def test_a_weight_that_fits_nothing_is_said() -> None:
    found = answer(volume_mm3=(1e5, 400), mass_kg=(1.93, 0.002), magnet="none", colour="yellow", file="bites")
    assert found.sure is None
    assert any(reason.key == "metal.none_of_these" for reason in found.why)


def test_magnesium_keeps_the_wheel_away() -> None:
    found = answer(volume_mm3=(1e5, 400), mass_kg=(0.18, 0.001))
    assert found.kinds[0].name == "magnesium"
    assert found.next_test is None or found.next_test.test != "spark"
    assert any(reason.key == "metal.spark_burns" for reason in found.withheld)


def test_a_coarse_scale_tells_less() -> None:
    fine = answer(volume_mm3=(1e4, 30), mass_kg=(0.0445, 0.0001))
    coarse = answer(volume_mm3=(1e4, 30), mass_kg=(0.0445, 0.01))
    assert odds(coarse, "titanium") < odds(fine, "titanium")


def test_scan_and_water_are_taken_together_where_they_agree_and_water_counts_where_not() -> None:
    alike = density_of(MetalEvidence(volume_mm3=(1e5, 500), mass_kg=(0.785, 0.001), in_water_kg=0.6852))
    assert alike is not None
    assert alike.value == pytest.approx(7850, rel=0.004)
    hollow = density_of(MetalEvidence(volume_mm3=(1.3e5, 500), mass_kg=(0.785, 0.001), in_water_kg=0.6852))
    assert hollow is not None
    assert hollow.value == pytest.approx(7850, rel=0.004)
    assert hollow.why[-1].key == "metal.two_densities"


def test_the_volume_of_a_solid_is_exact_and_of_a_scan_is_not() -> None:
    assert volume_of_scan(1e5, area_mm2=2e4, noise_mm=0.0) == (1e5, 0.0)
    assert volume_of_scan(1e5, area_mm2=2e4, noise_mm=0.03)[1] == pytest.approx(370, rel=0.1)


@pytest.mark.parametrize(
    ("seen", "where"),
    [
        ({"magnet": "maybe"}, "magnet"), ({"colour": ""}, "colour"),
        ({"mass_kg": (-1.0, 0.1)}, "weight"), ({"mass_kg": (float("nan"), 0.1)}, "weight"),
        ({"volume_mm3": (0.0, 1.0)}, "volume"), ({"volume_mm3": (1.0, -1.0)}, "volume"),
        ({"in_water_kg": 1.0}, "weight in water"), ({"mass_kg": (1.0, 0.01), "in_water_kg": 1.2}, "weight in water"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_one_line(seen: Mapping[str, object], where: str) -> None:
    with pytest.raises(BadInput) as refused:
        answer(**seen)
    assert refused.value.where == where
    assert "\n" not in refused.value.line()


def a_piece(rng: np.random.Generator) -> tuple[str, MetalEvidence]:
    """A piece of a shop with habits of its own, tried by someone who misreads more than the table says.

    What is met how often is off by half as much again either way; each kind's outcomes are drawn from odds of their
    own about the table's; the scale and the scan err by a heavy-tailed share; some parts are hollow.
    """
    kinds = metal_kinds()
    often = np.array([kind.how_often for kind in kinds]) * rng.lognormal(0.0, 0.4, len(kinds))
    kind = kinds[int(rng.choice(len(kinds), p=often / often.sum()))]
    seen: dict[str, str] = {}
    for test in TEST_NAMES:
        if test == "spark" and (kind.burns or outcome_odds("spark")[kind.kind][-1] > 0.5):
            continue
        own = rng.dirichlet(12 * np.array(outcome_odds(test)[kind.kind]) + 0.02)
        if rng.random() < 1.3 * bench_tests()[test].misread:
            own = np.full(len(own), 1 / len(own))
        if rng.random() < 0.6:
            seen[test] = outcomes(test)[int(rng.choice(len(own), p=own))]
    volume = float(rng.uniform(2e4, 4e5))
    mass = volume * 1e-9 * float(rng.uniform(*kind.density_kg_m3)) * float(1 + 0.006 * rng.standard_t(5))
    if rng.random() < 0.06:
        mass *= float(rng.uniform(0.7, 1.0))
    weighed = rng.random() < 0.6
    return kind.kind, MetalEvidence(
        volume_mm3=(volume, 0.006 * volume) if weighed else None,
        mass_kg=(mass, 0.002 * mass) if weighed else None,
        **seen,
    )


def test_odds_are_kept_on_pieces_whose_tests_behave_otherwise() -> None:
    rng = np.random.default_rng(11)
    pieces = [a_piece(rng) for _ in range(1200)]
    found = [(kind, which_metal(evidence, table_materials())) for kind, evidence in pieces]
    sure = [kind in answer.sure.kinds for kind, answer in found if answer.sure]
    likely = [(kind in answer.likely.kinds, answer.likely.odds.value) for kind, answer in found if answer.likely]
    assert len(sure) > 700
    assert np.mean(sure) > 0.95
    assert abs(np.mean([right for right, _ in likely]) - np.mean([said for _, said in likely])) < 0.06
    top = np.array([(answer.kinds[0].name == kind, answer.kinds[0].odds.value) for kind, answer in found], dtype=float)
    for low, high in ((0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 1.0)):
        some = top[(top[:, 1] >= low) & (top[:, 1] < high)]
        give = 3 * np.sqrt(0.25 / len(some)) + 0.04
        assert abs(some[:, 0].mean() - some[:, 1].mean()) < give, (low, len(some), some.mean(axis=0))


def test_weighing_rows_are_read_as_shares_where_they_are() -> None:
    assert weighing("hollow_hundredths") == pytest.approx(0.06)
    with pytest.raises(KeyError):
        weighing("no such row")
