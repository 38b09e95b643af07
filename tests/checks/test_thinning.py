"""A drawn sheet against closed forms: derived here unless a source is named."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from steadyrest.stations.form.bubble import drawn_into
from steadyrest.stations.form.cavity import cavity
from steadyrest.stations.form.sheet import on_mould, on_section
from steadyrest.stations.form.trough import drawn_trough

THIN = 1e-4  # so thin that a film's own thickness stops nothing


def trough(corners, points, start=THIN):
    section = np.array(corners, dtype=float)
    laid = drawn_trough(section, start)
    return [on_section(laid, section, np.array(point))[0] / start for point in points]


@pytest.mark.parametrize("slope_deg", [20, 45, 70])
def test_a_wedge_thins_by_a_power_of_what_is_left_of_its_wall(slope_deg):
    # The first arc is tangent at the rims: t = sin a / a. Then L = 2 a r and each wall still has r tan a.
    a = math.radians(slope_deg)
    depth = 50 * math.tan(a)
    shares = (0.0, 0.2, 0.5, 0.9)
    got = trough([(0, 0), (50, -depth), (100, 0)], [(50 * s, -depth * s) for s in shares])
    want = [math.sin(a) / a * (1 - s) ** (math.tan(a) / a - 1) for s in shares]
    assert got == pytest.approx(want, rel=2e-4)


def test_a_half_round_trough_is_even():
    # Every arc up to the half circle is free: 2 / pi of the sheet everywhere.
    turn = np.linspace(math.pi, 2 * math.pi, 181)
    corners = np.column_stack((50 * np.cos(turn), 50 * np.sin(turn)))
    corners[[0, -1], 1] = 0
    assert trough(corners, [(0, -50), (-40, -30), (50, -1)]) == pytest.approx([2 / math.pi] * 3, rel=3e-4)


def test_a_deep_box_section_thins_down_its_walls_and_into_its_corners():
    # Half circle at the rims 2/pi; down the walls dt/t = -2 dz / (pi R); in a right-angled corner the power 4/pi - 1.
    corners = [(0, 0), (0, -100), (100, -100), (100, 0)]
    floor = 2 / math.pi * math.exp(-2 * 50 / (math.pi * 50))
    got = trough(corners, [(0, -10), (0, -40), (0, -60), (0, -90), (50, -100), (5, -100)])
    walls = [2 / math.pi * math.exp(-2 * z / (math.pi * 50)) for z in (10, 40)]
    corner = [floor * (d / 50) ** (4 / math.pi - 1) for d in (40, 10, 50, 5)]
    assert got == pytest.approx(walls + corner, rel=2e-4)


def test_a_shallow_box_section_from_where_the_arc_meets_the_floor():
    # The arc of height 20 over 100: R = (50^2 + 20^2) / 40; the floor's middle keeps chord / arc.
    radius = (50**2 + 20**2) / 40
    half = math.asin(50 / radius)
    got = trough([(0, 0), (0, -20), (100, -20), (100, 0)], [(50, -20)])
    assert got == pytest.approx([math.sin(half) / half], rel=1e-4)


def test_the_mean_of_a_trough_and_of_a_box_are_the_rim_over_the_wetted_surface():
    # 1 / (1 + 2 d) on an endless trough of relative depth d.
    section = np.array([(0.0, 0), (0, -30), (60, -30), (60, 0)])
    laid = drawn_trough(section, THIN)
    volume = sum(float(np.trapezoid(one.thick_mm, one.along_mm)) for one in laid)
    assert volume / 120 / THIN == pytest.approx(1 / (1 + 2 * 0.5), rel=5e-4)


# ---- in three dimensions -------------------------------------------------------------------------------------------


def turned(profile, count=120):
    """A cavity of revolution as an open surface, from its radii and heights, rim first."""
    corners, faces, rows = [], [], []
    turn = 2 * math.pi * np.arange(count) / count
    for r, z in profile:
        rows.append([len(corners) + k for k in range(count if r > 0 else 1)])
        corners += [(r * math.cos(t), r * math.sin(t), z) for t in turn] if r > 0 else [(0.0, 0.0, z)]
    for a, b in pairwise(rows):
        for k in range(count):
            n = (k + 1) % count
            faces += [(a[k], b[0], a[n])] if len(b) == 1 else [(a[k], b[k], a[n]), (a[n], b[k], b[n])]
    return np.array(corners), np.array(faces)


def drawn(corners, faces, start=THIN, coarse=0.3):
    hollow = cavity(corners, faces, "mould.stl")
    return drawn_into(
        hollow, start, where="mould.stl", progress=lambda _what, _share: None, stop=lambda: False, coarse=coarse
    )


def around(radius, z, count=24):
    turn = 0.1 + 2 * math.pi * np.arange(count) / count
    return np.column_stack((radius * np.cos(turn), radius * np.sin(turn), np.full(count, z)))


def test_a_cone_by_the_published_power():
    # Rosenzweig, Narkis and Tadmor, as in Crawford, Plastics Engineering 4.4.1: (1 + cos a) / 2 times
    # (1 - z / depth) to the power 1 / cos a - 1.
    sheet = drawn(*turned([(50, 0), (0, -50)]))
    for share in (0.1, 0.3, 0.5, 0.7, 0.85):
        got, off = on_mould(sheet, around(50 * (1 - share), -50 * share))
        want = (1 + math.sqrt(0.5)) / 2 * (1 - share) ** (math.sqrt(2) - 1)
        assert got.mean() / THIN == pytest.approx(want, rel=0.02)
        assert off.max() < 0.15  # the sagitta of its triangles


def cup(radius, depth):
    """Thickness along a cylindrical cup, by quadrature: (floor contact, wall contact, share of the sheet).

    A half sphere first, 1/2; it goes down the wall, dt/t = -dz / R; then a ring between wall and floor, a surface of
    constant mean curvature: r sin(f) = p (r^2 - a^2) / 2, level at the floor's contact a, upright at the wall.
    """
    share, rows = 0.5 * math.exp(-(depth - radius) / radius), []
    area, high, low = 2 * math.pi * radius**2, depth - radius, 0.0
    rows.append((0.0, high, share))
    for a in np.linspace(0, 0.99 * radius, 200)[1:]:
        p = 2 * radius / (radius**2 - a * a)

        def sine(s, a=a, p=p):
            r = radius - (radius - a) * s * s
            return r, min(p * (r * r - a * a) / (2 * r), 1 - 1e-15)

        def rise(s, a=a, sine=sine):
            _, f = sine(s)
            return f / math.sqrt(1 - f * f) * 2 * (radius - a) * s

        def ring(s, a=a, sine=sine):
            r, f = sine(s)
            return 2 * math.pi * r / math.sqrt(1 - f * f) * 2 * (radius - a) * s

        now, to = quad(ring, 0, 1)[0], depth - quad(rise, 0, 1)[0]
        put = math.pi * (a * a - low * low) + 2 * math.pi * radius * (to - high)
        share *= math.exp(-(now - area + put) / (0.5 * (now + area)))
        area, high, low = now, to, a
        rows.append((a, to, share))
    return np.array(rows)


def test_a_cup_of_one_and_a_half_radii():
    rows = cup(50, 75)
    sheet = drawn(*turned([(50, 0), (50, -75), (0, -75)]))
    for z in (10, 20, 40, 60):
        want = 0.5 * math.exp(-z / 50) if z < 25 else np.interp(z, rows[:, 1], rows[:, 2])
        assert on_mould(sheet, around(50, -z))[0].mean() / THIN == pytest.approx(want, rel=0.03)
    for r in (10, 25, 40):
        want = np.interp(r, rows[:, 0], rows[:, 2])
        assert on_mould(sheet, around(r, -75.0))[0].mean() / THIN == pytest.approx(want, rel=0.03)


def test_a_half_sphere_is_half_everywhere():
    turn = np.linspace(0, math.pi / 2, 40)
    profile = [(50 * math.cos(t), -50 * math.sin(t)) for t in turn[:-1]] + [(0.0, -50.0)]
    sheet = drawn(*turned(profile))
    assert sheet.thick_mm == pytest.approx(0.5 * THIN, rel=0.02)
    assert sheet.least_mm == pytest.approx(0.5 * THIN, rel=0.02)
    assert not sheet.bridges


def test_a_ring_groove_of_large_radius_is_a_trough():
    # The rim has an island in its middle; the section is the trough's.
    corners = np.array([(0.0, 0), (15, -30), (45, -30), (60, 0)])
    sheet = drawn(*turned([(170 + x, z) for x, z in corners], 240), coarse=0.25)
    laid = drawn_trough(corners, THIN)
    for x, z in ((3.0, -6.0), (8, -16), (30, -30), (22, -30)):
        want = on_section(laid, corners, np.array((x, z)))[0]
        assert on_mould(sheet, around(170 + x, z))[0].mean() == pytest.approx(want, rel=0.04)
