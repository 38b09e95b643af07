"""Materials against outside tables.

Groups: VDI 3323 / ISO 513 in a turning-tool maker's catalogue 2017 p. 558 (seen). Densities: Callister-type appendix,
Gere after a course page, a plastics page (seen). Names: DIN to AISI lists (seen). Speeds: two teaching sheets for
high-speed steel, an insert overview for coated carbide (seen; lowest to highest of three grades).
"""

from __future__ import annotations

import pytest

from steadyrest.tables.cutting import cutting_speed, drill_feed, saw_rate, turning_feed
from steadyrest.tables.materials import find_material, material_group

GROUPS = {  # kc1.1, mc, HB
    1: (1350, 0.21, 125), 2: (1500, 0.22, 190), 3: (1675, 0.24, 250), 4: (1700, 0.24, 220), 5: (1900, 0.24, 300),
    6: (1775, 0.24, 200), 7: (1675, 0.24, 275), 8: (1725, 0.24, 300), 9: (1800, 0.24, 350), 10: (2450, 0.23, 200),
    11: (2500, 0.23, 325), 12: (1875, 0.21, 200), 13: (1875, 0.21, 240), 14: (2150, 0.20, 180), 15: (1150, 0.20, 180),
    16: (1350, 0.28, 260), 17: (1225, 0.25, 160), 18: (1350, 0.28, 250), 19: (1225, 0.25, 130), 20: (1420, 0.30, 230),
    21: (700, 0.25, 60), 22: (800, 0.25, 100), 23: (700, 0.25, 75), 24: (700, 0.25, 90), 25: (750, 0.25, 130),
    26: (700, 0.27, 110), 27: (700, 0.27, 90), 28: (700, 0.27, 100), 31: (2600, 0.24, 200), 32: (3100, 0.24, 280),
    33: (3300, 0.24, 250), 34: (3300, 0.24, 350), 35: (3300, 0.24, 320), 36: (1700, 0.23, None), 37: (2110, 0.22, None),
}  # fmt: skip
STRENGTHS = {
    1: 420,
    2: 650,
    3: 850,
    4: 750,
    5: 1000,
    6: 600,
    7: 930,
    8: 1000,
    9: 1200,
    10: 680,
    11: 1100,
    12: 680,
    13: 820,
}
# Printed density and the half digit or the spread between the seen sources, kg/m3.
DENSITIES = {
    "4140": (7850, 5), "4340": (7850, 5), "1020": (7870, 5), "316": (8000, 5), "6061": (2705, 5.1), "7075": (2810, 5),
    "2024": (2780, 5), "C11000": (8890, 5), "C36000": (8500, 5), "A36": (7850, 5), "Ti grade 5": (4430, 5),
    "304": (7930, 75), "POM": (1410, 20), "PTFE": (2190, 5), "nylon 6": (1140, 10), "UHMW": (940, 5),
    "GGG40": (7150, 5), "GG20": (7150, 50),
}  # fmt: skip
SAME = {
    "1045": "C45", "1.0503": "C45", "12L14": "11SMnPb30", "1.7225": "42CrMo4", "1.7131": "16MnCr5", "1.0601": "C60",
    "303": "1.4305", "304": "1.4301", "316L": "1.4404", "316Ti": "1.4571", "GG-25": "GG25", "60-40-18": "GGG40",
    "D2": "X153CrMoV12", "O1": "100MnCrW4", "52100": "100Cr6",
}  # fmt: skip
COATED_CARBIDE = {
    1: (170, 480),
    2: (170, 480),
    6: (130, 420),
    10: (60, 330),
    12: (60, 230),
    14: (60, 200),
    15: (60, 420),
}


@pytest.mark.parametrize("number", GROUPS)
def test_groups_cut_as_printed(number: int) -> None:
    group = material_group(number)
    assert (group.kc11_mpa, group.mc, group.hardness_hb) == GROUPS[number]
    if number in STRENGTHS:
        assert group.rm_mpa == STRENGTHS[number]


def test_hardened_groups_have_no_mc() -> None:
    assert [material_group(number).kc11_mpa for number in (38, 39, 40, 41)] == [4600, 4700, 4600, 4500]
    assert all(material_group(number).mc is None for number in (38, 39, 40, 41))


@pytest.mark.parametrize("name", DENSITIES)
def test_densities_agree_with_the_printed_ones(name: str) -> None:
    printed, spread = DENSITIES[name]
    assert find_material(name).density_kg_m3 == pytest.approx(printed, abs=spread)


@pytest.mark.parametrize("name", SAME)
def test_other_names_find_the_material(name: str) -> None:
    assert find_material(name).id == SAME[name]


def test_c45_is_as_its_data_sheet_says() -> None:
    # A test laboratory's sheet: normalised up to 16 mm at least 620 and 340 MPa; a merchant's: 205 GPa, 11.5e-6.
    steel = find_material("C45")
    assert (steel.rm_mpa, steel.yield_mpa, steel.e_mpa) == (620, 340, 205000)
    assert steel.expansion_per_k == pytest.approx(11.5e-6)


def test_42crmo4_is_as_its_data_sheets_say() -> None:
    # Two data sheets to EN 10083 agree: quenched and tempered, 16 to 40 mm: 1000 to 1200 and at least 750 MPa.
    steel = find_material("42CrMo4")
    assert (steel.rm_mpa, steel.yield_mpa) == (1000, 750)


@pytest.mark.parametrize("group", COATED_CARBIDE)
def test_carbide_speeds_lie_within_the_printed_band(group: int) -> None:
    band = cutting_speed(group, work="turn", tool="carbide")
    low, high = COATED_CARBIDE[group]
    assert band is not None
    assert low <= band.low < band.high <= high


@pytest.mark.parametrize(
    ("group", "work", "low", "high"),
    [
        (1, "turn", 25, 45), (1, "drill", 30, 36), (1, "mill", 25, 35), (14, "turn", 9, 18), (14, "drill", 6, 15),
        (14, "mill", 9, 20), (15, "turn", 22, 30), (15, "drill", 25, 35), (15, "mill", 15, 30), (22, "turn", 60, 150),
        (26, "turn", 45, 120), (26, "drill", 60, 75),
    ],
)  # fmt: skip
def test_high_speed_steel_speeds_are_as_printed(group: int, work: str, low: float, high: float) -> None:
    band = cutting_speed(group, work=work, tool="hss")  # pyright: ignore[reportArgumentType]
    assert band is not None
    assert (band.low, band.high) == (low, high)


def test_aluminium_is_drilled_at_the_lower_of_two_printed_speeds() -> None:
    band = cutting_speed(22, work="drill", tool="hss")
    assert band is not None
    assert band.high == pytest.approx(250 * 0.3048, abs=0.5)


@pytest.mark.parametrize(
    ("group", "feeds"),
    [(1, (0.20, 0.25, 0.41, 0.51)), (14, (0.13, 0.18, 0.25, 0.31)), (22, (0.30, 0.40, 0.61, 0.81))],
)
def test_drill_feeds_are_as_printed(group: int, feeds: tuple[float, ...]) -> None:
    assert tuple(drill_feed(group, diameter) for diameter in (6, 12, 18, 25)) == pytest.approx(feeds)


def test_turning_feeds_are_as_printed() -> None:
    rough, finish = turning_feed(2, "rough"), turning_feed(2, "finish")
    assert (rough.low, rough.high) == pytest.approx((0.010 * 25.4, 0.020 * 25.4), abs=0.005)
    assert (finish.low, finish.high) == pytest.approx((0.003 * 25.4, 0.010 * 25.4), abs=0.005)


def test_saw_rates_are_as_printed() -> None:
    # A blade merchant's chart: 1048 to 1065, 1 to 3 in: 200 ft/min, 5 to 7 in2/min.
    rate = saw_rate(2)
    assert rate.band_m_min.high == pytest.approx(200 * 0.3048)
    assert (rate.area_cm2_min.low, rate.area_cm2_min.high) == pytest.approx((5 * 6.4516, 7 * 6.4516))
