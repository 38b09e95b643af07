"""Sheet as it is bought."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadyrest.part.nominal.name import name_sizes
from steadyrest.part.nominal.sheet import sheet_size
from steadyrest.shop.part import Part, PartKind, Vec3
from tests.part.nominal.parts import part_of, round_feature


def plate(size_mm: Vec3, kind: PartKind = "solid") -> Part:
    """A plate with a hole."""
    hole = replace(round_feature("F1", 9.0, 0, 3, kind="bore", u=0.0 if kind == "solid" else 0.01), along_mm=None)
    return replace(part_of(hole, kind=kind), axisymmetric=False, profile=None, size_mm=size_mm)


# Thickness in mm, or in inches by gauge (a reckoner's chart, seen).
@pytest.mark.parametrize(
    ("thickness_mm", "shown"),
    [
        (3.0, "sheet 3 mm"),
        (1.5, "sheet 1.5 mm"),
        (0.0598 * 25.4, "sheet 16 gauge steel"),
        (0.1406 * 25.4, "sheet 10 gauge stainless"),
    ],
)
def test_a_thin_solid_is_named_by_its_sheet(thickness_mm: float, shown: str) -> None:
    assert name_sizes(plate((120.0, 80.0, thickness_mm))).stock_size == shown


def test_a_scan_that_could_be_two_sheets_is_none() -> None:
    assert sheet_size(plate((120.0, 80.0, 3.02), "scan")) == "sheet 3 mm"
    assert sheet_size(plate((120.0, 80.0, 1.22), "scan")) is None


def test_a_block_an_odd_thickness_and_a_turned_part_are_no_sheet() -> None:
    assert sheet_size(plate((50.0, 40.0, 6.0))) is None
    assert sheet_size(plate((120.0, 80.0, 3.37))) is None
    assert sheet_size(replace(plate((120.0, 80.0, 3.0)), axisymmetric=True)) is None
