"""Conduction in a slab against printed roots, textbook examples and finite volumes."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stations.form.heating import HeatingWanted, heated
from steadyrest.stations.mould.cooling import CoolingWanted, cooled
from steadyrest.stations.slab import Conducts, left_at_wall, left_convection, rise_flux, roots
from tests.oracles.slab_volumes import slab

ABS = Conducts(k_w_mk=0.25, rho_kg_m3=1040, cp_j_kgk=1300)  # Crawford, Plastics Engineering, table 1.8


@pytest.mark.parametrize(
    ("bi", "root", "constant"),
    # Heisler tables as in the usual textbooks (from memory), four places.
    [
        (0.01, 0.0998, 1.0017), (0.1, 0.3111, 1.0161), (0.2, 0.4328, 1.0311), (0.5, 0.6533, 1.0701),
        (1, 0.8603, 1.1191), (2, 1.0769, 1.1785), (5, 1.3138, 1.2402), (10, 1.4289, 1.2620), (100, 1.5552, 1.2731),
    ],
)  # fmt: skip
def test_first_root_and_constant_as_tabled(bi, root, constant):
    z = float(roots(bi)[0])
    assert z == pytest.approx(root, abs=6e-5)
    assert 4 * math.sin(z) / (2 * z + math.sin(2 * z)) == pytest.approx(constant, abs=6e-5)


@pytest.mark.parametrize(
    ("bi", "fo", "core", "face"),
    # The whole series of 60 terms, worked out apart from this code.
    [
        (0.5, 0.1, 0.99632, 0.84390), (0.5, 1, 0.69838, 0.55459), (1, 0.05, 0.99975, 0.79038),
        (1, 0.2, 0.95064, 0.64339), (5, 0.5, 0.52311, 0.13303), (5, 2, 0.03928, 0.00998),
    ],
)  # fmt: skip
def test_the_whole_series_core_and_face(bi, fo, core, face):
    assert left_convection(bi, fo, 0.0) == pytest.approx(core, abs=6e-6)
    assert left_convection(bi, fo, 1.0) == pytest.approx(face, abs=6e-6)


def test_a_brass_plate_in_an_oven():
    # Cengel, Heat and Mass Transfer, example 4.4: 282 degC from the chart; exact 279.6 at the face after 7 min.
    bi, fo = 120 * 0.02 / 110, 33.9e-6 * 420 / 0.02**2
    assert 500 - 480 * left_convection(bi, fo, 1.0) == pytest.approx(279.6, abs=0.06)
    assert 500 - 480 * left_convection(bi, fo, 1.0) == pytest.approx(282, abs=3)


def test_a_pipe_wall_with_its_outside_insulated():
    # Incropera, Fundamentals of Heat and Mass Transfer, example 5.4: 42.9 degC by the first term; exact 43.02.
    bi, fo = 500 * 0.04 / 63.9, 18.8e-6 * 480 / 0.04**2
    assert 60 - 80 * left_convection(bi, fo, 0.0) == pytest.approx(42.9, abs=0.2)


def test_a_sheet_under_constant_flux():
    # Carslaw and Jaeger's formula, worked out apart: ABS of 3 mm, 5 kW/m2 on each face, from 20 degC.
    scale = 5000 * 1.5e-3 / 0.25
    for seconds, core, face in ((20, 64.31, 79.31), (60, 162.93, 177.93)):
        fo = ABS.a_mm2_s * seconds / 1.5**2
        assert 20 + scale * rise_flux(fo, 0.0) == pytest.approx(core, abs=0.006)
        assert 20 + scale * rise_flux(fo, 1.0) == pytest.approx(face, abs=0.006)


HEAT = HeatingWanted(3.0, 2, 20.0, 150.0, 200.0, ABS, 60.0, 240.0)


@pytest.mark.parametrize("faces", [1, 2])
@pytest.mark.parametrize(
    ("core_c", "h", "flux"), [(150, 60, None), (22, 400, None), (160, None, 6000.0), (21, None, 2e4)]
)
def test_heating_meets_finite_volumes(faces, core_c, h, flux):
    around = None if flux else 240.0
    wanted = HeatingWanted(4.0, faces, 20.0, float(core_c), 1e3, ABS, None if flux else float(h or 0), around, flux)
    found = heated(wanted)
    assert found.time is not None
    assert found.surface is not None
    core, face, _ = slab(0.004 / faces, 0.25, 1040, 1300, 20, found.time.value, h=h, around_c=around, flux=flux)
    assert core == pytest.approx(core_c, abs=0.03)
    assert face == pytest.approx(found.surface.value, abs=0.1)


@pytest.mark.parametrize("sides", [1, 2])
@pytest.mark.parametrize(("eject_c", "mean"), [(90, False), (90, True), (215, True), (229, False)])
def test_cooling_meets_finite_volumes(sides, eject_c, mean):
    found = cooled(CoolingWanted(3.0, sides, 230.0, 50.0, float(eject_c), mean, ABS))
    assert found.time is not None
    core, _, average = slab(0.003 / sides, 0.25, 1040, 1300, 230, found.time.value, wall_c=50.0)
    assert (average if mean else core) == pytest.approx(eject_c, abs=0.05)


@pytest.mark.parametrize(
    ("thickness_mm", "melt_c", "mould_c", "eject_c", "a", "centre_s", "mean_s"),
    # The moulding handbooks' formula, s2 / (pi2 a) ln(4/pi ..) and ln(8/pi2 ..); exact by 200 terms where five figures.
    [
        (3, 230, 50, 90, 0.0869, 18.318, 13.579), (2, 230, 50, 90, 0.0869, 8.141, None),
        (1.5, 239, 60, 96.7, 0.0869, 4.79, 3.61), (2, 230, 40, 90, 0.096, 6.656, None),
        (8, 240, 60, 120, 0.1, 86.90, None),
    ],
)  # fmt: skip
def test_cooling_times_of_the_handbooks(thickness_mm, melt_c, mould_c, eject_c, a, centre_s, mean_s):
    stuff = Conducts(a, 1000, 1000)
    for wanted_s, mean in ((centre_s, False), (mean_s, True)):
        if wanted_s is not None:
            found = cooled(CoolingWanted(thickness_mm, 2, melt_c, mould_c, eject_c, mean, stuff)).time
            assert found is not None
            assert found.value == pytest.approx(wanted_s, rel=1e-4, abs=0.006)


def test_where_the_handbook_s_one_term_errs_the_series_does_not():
    # Shortly after the start the first term says a negative time; the mean falls as 2 sqrt(Fo / pi).
    found = cooled(CoolingWanted(3.0, 2, 230.0, 50.0, 226.0, True, ABS)).time
    assert found is not None
    fo = math.pi / 4 * (4 / 180) ** 2
    assert found.value == pytest.approx(fo * 1.5**2 / ABS.a_mm2_s, rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-3, 1e3), st.floats(0.02, 5), st.floats(1.01, 3))
def test_what_is_left_falls_and_the_core_lags(bi, fo, more):
    for x in (0.0, 1.0):
        assert 1 >= left_convection(bi, fo, x) >= left_convection(bi, fo * more, x) >= 0
    assert left_convection(bi, fo, 0.0) >= left_convection(bi, fo, 1.0)
    assert rise_flux(fo, 0.0) <= rise_flux(fo, 1.0) <= rise_flux(fo * more, 1.0)
    assert left_at_wall(fo, mean=True) <= left_at_wall(fo, mean=False) <= 1


@pytest.mark.parametrize("fo", [0.02 * (1 - 1e-12), 0.02])
def test_both_forms_of_a_series_agree_where_they_meet(fo):
    # Worked out from 10^4 terms.
    assert rise_flux(fo, 1.0) == pytest.approx(2 * math.sqrt(0.02 / math.pi), rel=1e-9)
    assert left_at_wall(fo, mean=True) == pytest.approx(1 - 2 * math.sqrt(0.02 / math.pi), rel=1e-9)
