"""Cutting forces against printed and computed values. Half the last printed digit unless a row says why not."""

from __future__ import annotations

import math

import pytest

from steadyrest.stations import edge

# Kienzle table in an encyclopaedia's article on the formula (read in a copy; the two headings were lost, h = 0.1 and
# 0.63 follow from the arithmetic): material, kc1.1, mc, printed kc at 0.1, printed kc at 0.63. Seen.
# The print rounds to tens: tolerance 5.
KIENZLE = [
    ("brass", 780, 0.18, 1180, 850),
    ("S275JR", 1780, 0.17, 2630, 1930),
    ("E335", 2110, 0.17, 3120, 2280),
    ("16MnCr5", 2100, 0.26, 3820, 2370),
    ("42CrMo4", 2500, 0.26, 4550, 2820),
]


@pytest.mark.parametrize(("name", "kc11", "mc", "thin", "thick"), KIENZLE, ids=[row[0] for row in KIENZLE])
def test_specific_force_is_the_printed_one(name: str, kc11: float, mc: float, thin: float, thick: float) -> None:
    assert edge.specific_force(kc11, mc, 0.1) == pytest.approx(thin, abs=5)
    assert edge.specific_force(kc11, mc, 0.63) == pytest.approx(thick, abs=5)


# Computed from the formula with h = f sin k, b = a / sin k (no outside author):
# kc11, mc, a, f, lead deg, v, kc, Fc, kW, cm3.
TURNING = [
    (1675, 0.24, 3.0, 0.3, 90, 180, 2236.17, 2012.56, 6.03767, 162.0),
    (2500, 0.26, 3.0, 0.3, 45, 150, 3741.30, 3367.17, 8.41792, None),
]


@pytest.mark.parametrize(("kc11", "mc", "a", "f", "lead", "v", "kc", "force", "power_kw", "removal"), TURNING)
def test_turning_force_and_power_of_the_worked_cases(
    kc11: float, mc: float, a: float, f: float, lead: float, v: float, kc: float, force: float, power_kw: float,
    removal: float | None,
) -> None:  # fmt: skip
    got = edge.turning_force(kc11, mc, depth_mm=a, feed_mm_rev=f, lead_rad=math.radians(lead))
    assert edge.specific_force(kc11, mc, f * math.sin(math.radians(lead))) == pytest.approx(kc, abs=0.005)
    assert got == pytest.approx(force, abs=0.005)
    assert edge.cutting_power_w(got, v) / 1000.0 == pytest.approx(power_kw, abs=5e-6)
    assert removal is None or v * a * f == pytest.approx(removal)


# Computed: side milling, mean chip thickness by arc. D, ae, fz, hm.
@pytest.mark.parametrize(("diameter", "width", "tooth", "mean"), [(20, 5, 0.1, 0.0477465), (12, 1.2, 0.08, 0.0248640)])
def test_mean_chip_of_a_side_cut(diameter: float, width: float, tooth: float, mean: float) -> None:
    assert edge.mean_chip_mm(tooth, diameter_mm=diameter, width_mm=width) == pytest.approx(mean, abs=5e-8)


# Thinning: fz/hm near fz = hm sqrt(D/ae) for small engagement, the rule of an indexable-mill catalogue. Seen.
def test_mean_chip_approaches_the_catalogue_rule_at_small_engagement() -> None:
    got = edge.mean_chip_mm(0.1, diameter_mm=20, width_mm=0.2)
    assert got == pytest.approx(0.1 * math.sqrt(0.2 / 20), rel=0.005)


# Computed from kc f D^2 / 8000: drill of 10 mm, kc1.1 1500, mc 0.22; feed, point, speed, M, thrust, kW.
DRILLS = [(0.2, 140, 80, 6.30920, 1185.7, 1.68245), (0.2, 118, 25, 6.43809, 1103.7, 0.536507)]


@pytest.mark.parametrize(("feed", "point", "speed", "torque", "thrust", "power_kw"), DRILLS)
def test_torque_thrust_and_power_of_a_drill(
    feed: float, point: float, speed: float, torque: float, thrust: float, power_kw: float
) -> None:
    got_nm, got_n = edge.drilling(1500, 0.22, diameter_mm=10, feed_mm_rev=feed, point_rad=math.radians(point))
    rpm = edge.spindle_rpm(speed, 10)
    assert got_nm == pytest.approx(torque, abs=5e-6)
    assert got_n == pytest.approx(thrust, abs=0.05)
    assert got_nm * rpm * math.pi / 30 / 1000 == pytest.approx(power_kw, abs=5e-6)


def test_a_force_from_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="chip 0"):
        edge.cutting_force(1500, 0.2, chip_mm=0.0, width_mm=1.0)
