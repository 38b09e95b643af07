"""Least-squares fits against certified and published answers.

Tolerance is half of the last printed digit; where more digits are printed than double precision holds, one part in 1e12
of the largest coordinate.
"""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.part.fit.flat import circle, circle_by_algebra, line, plane
from steadyrest.part.fit.round import Turned, cone, cylinder, cylinder_start, sphere
from steadyrest.part.fit.solve import unit

# NIST algorithm testing, 2-D circles with certified least-squares fits; sets cir2d* as stored in zdavkeos/balyrond,
# nist/Circle2d. Seen; all re-computed at 40 digits. The constant coordinate is dropped. (points, centre, diameter)
NIST = {
    "cir2d9": (
        [(114.49663, 95.6036), (78.30238, 96.67194), (95.4743, 64.79263)],
        (96.091101808793141959, 85.689390080368776183), 41.81172210410973029,
    ),
    "cir2d13": (
        [(-129.72597, -3.6404), (-41.46951, -134.86389), (88.86212, -45.37), (0.32312, 83.50213)],
        (-20.653367571511814832, -25.664945094397114525), 222.43879405226037938,
    ),
    "cir2d11": (
        [(-0.26182, 0.71022), (0.44656, -0.01363), (1.35388, 0.4364), (1.20625, 1.43838), (0.20769, 1.60761)],
        (0.59051269176349702076, 0.83579575253064548586), 1.7230726141346298475,
    ),
    "cir2d15": (
        [(-519.32209, 395.60295), (-526.76614, 396.43601), (-534.17019, 394.71013), (-540.18011, 389.92069),
         (-543.84505, 383.23483)],
        (-525.63702408269306515, 377.49784769479979632), 38.23003025708787827,
    ),
    "cir2d4": (
        [(624.68116, 326.52149), (625.68271, 324.58693), (627.82036, 324.21363), (629.44968, 325.62746),
         (629.39723, 327.79681), (627.63651, 329.08331), (625.56132, 328.49019)],
        (627.17665442719702262, 326.6166704860534141), 4.9948145645594896406,
    ),
    "cir2d25": (
        [(-13.93285, 6.62144), (-10.04374, 9.34289), (-5.3716, 8.5062), (-2.64147, 4.61692), (-3.37999, -0.12926),
         (-7.34141, -2.90926), (-12.11852, -2.06743), (-14.8844, 1.92115)],
        (-8.7215043393485255824, 3.1956625712742184369), 12.538840171297161396,
    ),
    "cir2d8": (
        [(-124.61539, 147.25256), (-127.82836, 150.27059), (-132.22919, 150.51569), (-135.75873, 147.87686),
         (-136.76179, 143.58694), (-134.77699, 139.65512), (-130.72708, 137.91441), (-126.50977, 139.1895),
         (-124.09859, 142.87694)],
        (-130.36701583882630462, 144.3492309598489628), 12.883766377668422379,
    ),
    "cir2d3": (
        [(91.21346, 235.97991), (26.15024, 264.4602), (-45.08138, 265.19499), (-110.75642, 237.82636),
         (-160.01515, 186.82554), (-185.98693, 121.14427), (-185.771, 51.57068), (-159.7918, -13.63406),
         (-111.02752, -64.13783)],
        (-9.2489280816106829503, 86.822929447966258722), 361.96965476299650112,
    ),
}  # fmt: skip

# Root mean square residuals of the same sets: computed here, as printed in the checks list.
NIST_RMS = {"cir2d13": 0.0546904, "cir2d11": 2.31366e-6, "cir2d15": 0.0826012, "cir2d4": 0.0167023,
            "cir2d25": 0.0205176, "cir2d8": 0.00168348, "cir2d3": 0.830080}  # fmt: skip
NIST_RMS_HALF_DIGIT = {"cir2d13": 5e-8, "cir2d11": 5e-12, "cir2d15": 5e-8, "cir2d4": 5e-8, "cir2d25": 5e-8,
                       "cir2d8": 5e-9, "cir2d3": 5e-7}  # fmt: skip


@pytest.mark.parametrize("name", NIST)
def test_circles_meet_the_certified_fits(name):
    points, centre, diameter = NIST[name]
    found = circle(np.array(points))
    near = 1e-12 * np.abs(points).max() + 1e-12
    if name == "cir2d15":
        near = 4e-12 * np.abs(points).max()  # a short arc: the answer is as ill determined in double precision
    assert found.centre == pytest.approx(centre, rel=0, abs=near)
    assert 2 * found.radius_mm == pytest.approx(diameter, rel=0, abs=2 * near)


@pytest.mark.parametrize("name", NIST_RMS)
def test_residuals_of_the_certified_sets(name):
    points = np.array(NIST[name][0])
    rms = float(np.sqrt(np.mean(circle(points).distances(points) ** 2)))
    assert rms == pytest.approx(NIST_RMS[name], rel=0, abs=NIST_RMS_HALF_DIGIT[name])


# SciPy Cookbook, "Least squares circle". Seen.
COOKBOOK = np.array([(9, 34), (35, 10), (-13, 6), (10, -14), (23, 27), (0, -10)], dtype=float)
# The same page's short arc. Seen; its printed leastsq digits 9.88760, 3.68753, 27.35040 stop short in the fifth decimal
# (its own odr run prints 9.88757, 3.68750, 27.35044): the row below is computed exactly.
COOKBOOK_ARC = np.array([(36, 14), (36, 10), (19, 28), (18, 31), (33, 18), (26, 26)], dtype=float)
# Gander, Golub and Strebel, BIT 34 (1994) 558-578. Data seen; answers from memory, reproduced by computing.
GANDER = np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)], dtype=float)


def test_the_cookbook_circle_geometric():
    found = circle(COOKBOOK)
    assert found.centre == pytest.approx((10.50009, 9.65995), rel=0, abs=5e-6)
    assert found.radius_mm == pytest.approx(23.33353, rel=0, abs=5e-6)
    assert np.sum(found.distances(COOKBOOK) ** 2) == pytest.approx(7.711852, rel=0, abs=5e-7)


def test_the_cookbook_circle_by_algebra():
    found = circle_by_algebra(COOKBOOK)
    assert found.centre == pytest.approx((10.55231, 9.70590), rel=0, abs=5e-6)
    # The page prints the mean distance, 23.33482, not Kasa's own radius, 23.362411.
    assert np.mean(np.hypot(*(COOKBOOK - found.centre).T)) == pytest.approx(23.33482, rel=0, abs=5e-6)
    assert found.radius_mm == pytest.approx(23.362411, rel=0, abs=5e-7)


def test_the_cookbook_short_arc():
    found = circle(COOKBOOK_ARC)
    assert found.centre == pytest.approx((9.88757, 3.68750), rel=0, abs=5e-6)
    assert found.radius_mm == pytest.approx(27.35044, rel=0, abs=5e-6)
    assert found.radius_mm == pytest.approx(27.3504431681337, rel=0, abs=1e-12)
    assert circle_by_algebra(COOKBOOK_ARC).radius_mm == pytest.approx(20.850723, rel=0, abs=5e-7)


def test_the_circle_of_gander_golub_and_strebel():
    found = circle(GANDER)
    assert found.centre == pytest.approx((4.7398, 2.9835), rel=0, abs=5e-5)
    assert found.radius_mm == pytest.approx(4.7142, rel=0, abs=5e-5)
    kasa = circle_by_algebra(GANDER)
    assert (*kasa.centre, kasa.radius_mm) == pytest.approx((4.742331, 3.835123, 4.108762), rel=0, abs=5e-7)


# Sets with an answer exact by construction: residual patterns orthogonal to the fit's slopes (null-space method).
# Computed. They are turned so that the axis is (2, -1, 2) / 3, and shifted by (100, -50, 25).
AXIS = np.array([2.0, -1.0, 2.0]) / 3
SHIFT = np.array([100.0, -50.0, 25.0])
PLANE = np.array([(110.04, -10.02, 35.04), (90.04, -90.02, 15.04), (129.96, -49.98, -5.04), (69.96, -49.98, 54.96),
                  (100, -50, 25)])  # fmt: skip
CYLINDER = np.array([
    (80.04, -9.96, -25.02), (50.02, -10.04, 4.96), (39.96, -50.04, -4.98), (69.98, -49.96, -34.96),
    (120.04, -29.96, 14.98), (90.02, -30.04, 44.96), (79.96, -70.04, 35.02), (109.98, -69.96, 5.04),
    (160.04, -49.96, 54.98), (130.02, -50.04, 84.96), (119.96, -90.04, 75.02), (149.98, -89.96, 45.04),
])  # fmt: skip


def test_the_plane_built_from_its_answer():
    found = plane(PLANE)
    assert found.point == pytest.approx(SHIFT, rel=0, abs=1e-12)
    assert abs(found.normal @ AXIS) == pytest.approx(1, rel=0, abs=1e-14)
    off = found.distances(PLANE)
    assert np.sort(np.abs(off)) == pytest.approx([0, 0.06, 0.06, 0.06, 0.06], rel=0, abs=1e-12)
    assert np.sqrt(np.mean(off**2)) == pytest.approx(0.0536656, rel=0, abs=5e-8)
    assert np.ptp(off) == pytest.approx(0.12, rel=0, abs=1e-12)


def test_the_sphere_built_from_its_answer():
    axes = [SHIFT + s * 15.07 * e for e in np.eye(3) for s in (1, -1)]
    corners = [SHIFT + np.array([2 * i, 10 * j, 11 * k]) for i in (1, -1) for j in (1, -1) for k in (1, -1)]
    points = np.array([*axes, *corners])
    found = sphere(points)
    assert found.centre == pytest.approx(SHIFT, rel=0, abs=1e-11)
    assert found.radius_mm == pytest.approx(15.03, rel=0, abs=1e-11)
    off = found.distances(points)
    assert off[:6] == pytest.approx(0.04, rel=0, abs=1e-10)
    assert off[6:] == pytest.approx(-0.03, rel=0, abs=1e-10)
    assert np.sqrt(np.mean(off**2)) == pytest.approx(0.0346410, rel=0, abs=5e-8)


def test_the_cylinder_built_from_its_answer():
    found = cylinder(CYLINDER, cylinder_start(CYLINDER, unit(AXIS + np.array([0.05, 0.02, -0.03]))))
    assert found.radius_mm == pytest.approx(30, rel=0, abs=1e-10)
    assert abs(found.axis @ AXIS) == pytest.approx(1, rel=0, abs=1e-13)
    assert np.linalg.norm(np.cross(found.point - SHIFT, AXIS)) == pytest.approx(0, abs=1e-10)
    assert np.abs(found.distances(CYLINDER)) == pytest.approx(0.06, rel=0, abs=1e-10)


def test_the_cone_built_from_its_answer():
    rows = [(30.04, 0, 39.97), (-30.04, 0, 39.97), (0, 29.96, 40.03), (0, -29.96, 40.03),
            (60.04, 0, 79.97), (-60.04, 0, 79.97), (0, 59.96, 80.03), (0, -59.96, 80.03)]  # fmt: skip
    points = np.array(rows, dtype=float)
    found = cone(points, Turned(np.array([1.0, -2.0, 50.0]), unit(np.array([0.04, -0.03, 1.0])), 40.0, 0.5))
    assert np.degrees(2 * found.half_angle_rad) == pytest.approx(73.7397952917, rel=0, abs=5e-11)
    assert found.apex == pytest.approx([0, 0, 0], abs=1e-9)
    assert np.abs(found.distances(points)) == pytest.approx(0.05, rel=0, abs=1e-10)


def test_the_line_built_from_its_answer():
    found = line(np.array([(0, 1), (10, -1), (20, -1), (30, 1)], dtype=float))
    assert found.point == pytest.approx([15, 0], abs=1e-13)
    assert abs(found.direction[0]) == pytest.approx(1, rel=0, abs=1e-15)


def test_the_minimum_zone_set_has_its_least_squares_circle():
    points = np.array([(10.1, 0), (-10.1, 0), (0, 9.9), (0, -9.9)])
    found = circle(points)
    assert found.centre == pytest.approx([0, 0], abs=1e-12)
    assert found.radius_mm == pytest.approx(10, rel=0, abs=1e-12)
    assert np.ptp(found.distances(points)) == pytest.approx(0.2, rel=0, abs=1e-12)
