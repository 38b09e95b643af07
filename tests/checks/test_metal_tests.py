"""What the metal tests' tables say, against what others print.

Sparks: an article in a heat treaters' magazine (industrialheating.com, Spark Testing, part 2), seen. File: a pump
trainer's page (mcnallyinstitute.com, Brinell by file), seen: 100 easily, 200 slightly more pressure, 300 resists,
400 more pressure, 500 almost nothing, 600 cannot be filed. Densities: Callister-type appendix and Gere, as in the
density rows of the project's check list, seen.
"""

from __future__ import annotations

import pytest

from steadyrest.part.metal.evidence import MetalEvidence
from steadyrest.part.metal.weight import density_of
from steadyrest.shop.shop_materials import table_materials
from steadyrest.tables.metal_tests import TestName, metal_kinds, outcome_odds, outcomes


def usual(test: TestName, kind: str) -> str:
    row = outcome_odds(test)[kind]
    return outcomes(test)[row.index(max(row))]


@pytest.mark.parametrize(
    ("kind", "printed"),
    [
        ("high-carbon or spring steel", "bursts"),  # bushy, much forking, from the wheel on
        ("medium-carbon steel", "forks"),  # more forking than mild steel
        ("low-carbon steel", "long lines"),  # like wrought iron's straight lines, tiny forks
        ("austenitic stainless steel", "orange lines"),  # orange to straw, no forks
        ("martensitic or ferritic stainless steel", "orange lines"),  # as 300-series, forks at the ends
        ("grey cast iron", "short red"),  # very short, beginning at the wheel
        ("high-speed steel", "short red"),  # faint red
        ("nickel alloy", "short red"),  # thin, very short, dark red, no forks
        ("hard metal", "short red"),  # under 3 inches, dark red, no forks
        ("titanium", "white"),  # liquisearch.com, spark characteristics: brilliant blinding white
    ],
)
def test_the_usual_spark_is_the_printed_one(kind: str, printed: str) -> None:
    assert usual("spark", kind) == printed


def test_soft_material_rows_are_bitten_and_none_of_them_skates() -> None:
    # Up to 250 HB a file cuts with no more than "slightly more pressure".
    for metal in table_materials():
        if metal.hardness_hb <= 130:
            kind = next(kind.kind for kind in metal_kinds() if metal.id in kind.materials)
            assert usual("file", kind) == "bites", metal.id
    # 600 HB and over cannot be filed: hardened high-speed steel and hard metal.
    assert usual("file", "high-speed steel") == usual("file", "hard metal") == "skates"
    # 300 HB resists: 42CrMo4 quenched and tempered stands at 300 in the materials' rows.
    assert usual("file", "low-alloy steel") == "hardly"


@pytest.mark.parametrize(
    ("kind", "printed_kg_m3"),
    [
        ("low-carbon steel", 7870), ("medium-carbon steel", 7845), ("austenitic stainless steel", 7860),
        ("austenitic stainless steel", 8000), ("grey cast iron", 7150), ("grey cast iron", 7190),
        ("nodular cast iron", 7150), ("aluminium", 2780), ("aluminium", 2700), ("aluminium", 2810), ("copper", 8890),
        ("brass", 8530), ("brass", 8390), ("brass", 8500), ("brass", 8740), ("magnesium", 1770), ("magnesium", 1830),
        ("magnesium", 1810), ("titanium", 4430), ("titanium", 4500), ("nickel alloy", 8880), ("plastic", 1410),
        ("plastic", 940), ("plastic", 2190), ("low-alloy steel", 7850), ("nickel alloy", 8800),
    ],
)  # fmt: skip
def test_a_printed_density_lies_within_its_kind(kind: str, printed_kg_m3: float) -> None:
    low, high = next(row.density_kg_m3 for row in metal_kinds() if row.kind == kind)
    assert low <= printed_kg_m3 <= high


def test_weighing_in_water_gives_the_density_of_a_known_piece() -> None:
    # Closed form: a ball of 1 dm3 of density 7850 pushes 0.9982 kg of water aside at 20 degC (from memory).
    found = density_of(MetalEvidence(mass_kg=(7.850, 0.001), in_water_kg=7.850 - 0.9982))
    assert found is not None
    assert found.value == pytest.approx(7850, rel=1e-6)
