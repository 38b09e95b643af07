"""What is open only at a slant: reached by tilting as far as the table tilts, by leaning as far as the plate leans."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from steadyrest.shop.part import Part
from steadyrest.stations.answer import Answer
from steadyrest.stations.mill import answering
from steadyrest.stations.mill.removal.at_a_slant import slant_of
from steadyrest.stations.mill.removal.cells import cells_of, seen_from
from steadyrest.stations.mill.set_ups.needs import dot
from tests.stations.mill.test_prismatic import refused, shop_with
from tests.stations.parts import size
from tests.stations.solids import Block, ask

DEG = math.pi / 180.0
LEANS = 30.0
WAY = (-math.sin(LEANS * DEG), 0.0, math.cos(LEANS * DEG))
ACROSS = (math.cos(LEANS * DEG), 0.0, math.sin(LEANS * DEG))


@cache
def slanted_pocket() -> Part:
    """A block with a pocket 12 x 14 mm and about 20 deep, leaning 30 degrees out of the upright."""
    block = Block(70, 40, 40, 1.0)
    block.cut(
        lambda x, y, z: (
            (abs(y - 20) < 7)
            & (np.abs((x - 40) * ACROSS[0] + (z - 24) * ACROSS[2]) < 6)
            & ((x - 40) * WAY[0] + (z - 24) * WAY[2] > 0)
        )
    )
    sizes = (size("depth_mm", 20.0), size("width_mm", 12.0), size("length_mm", 14.0))
    return block.named("pocket", sizes, WAY, (40.0, 20.0, 24.0), inside=True, area=168.0).part()


@cache
def drilled() -> Part:
    """A block with a hole of 6 leaning 30 degrees."""
    block = Block(70, 40, 40, 1.0)
    bore = (size("diameter_mm", 6.0), size("depth_mm", 20.0))
    return block.named("bore", bore, (-WAY[0], 0.0, -WAY[2]), (45.0, 20.0, 31.0), inside=True, through=False).part()


@cache
def cornered() -> Part:
    """A block with one corner off, by a plane that leans from every side."""
    block = Block(80, 40, 40, 1.0).cut(lambda x, y, z: z > 28.0 + 0.5 * (80 - x) + 0.6 * (40 - y))
    long = math.sqrt(0.25 + 0.36 + 1.0)
    return block.named("face", (), (0.5 / long, 0.6 / long, 1 / long), (72.0, 33.3, 36.0), area=305.0).part()


def answered(part: Part, **limits: object) -> Answer:
    return answering.answer(ask(part, shop=shop_with(**limits)))


@pytest.mark.parametrize("part", [slanted_pocket, drilled])
def test_a_slant_is_reached_by_the_tilt_or_by_leaning_or_refused_with_how_far_both_go(part: object) -> None:
    body: Part = part()  # type: ignore[operator]
    name = body.features[-1].id
    tilted = answered(body, axes="3+2", tilt_rad=(0.0, 100 * DEG))
    leaning = answered(body)
    assert name in tilted.made
    assert name in leaning.made
    assert len(tilted.steps) < len(leaning.steps), "what tilts needs no clamping for it"
    (why,) = [note for step in leaning.steps for note in step.notes if note.key == "mill.leaning"]
    assert dict(why.given)["rise_mm"] == pytest.approx(100.0 * math.sin(LEANS * DEG), abs=1.0)
    no = answered(body, axes="3+2", tilt_rad=(-20 * DEG, 20 * DEG), lean_rad=25 * DEG)
    assert name not in no.made
    (table,), (plate,) = refused(no, "mill.tilt_less"), refused(no, "mill.lean_less")
    assert table["high_deg"] == pytest.approx(20.0)
    assert plate["over_deg"] == pytest.approx(LEANS - 25.0, abs=0.1)
    (said,) = [one.nearest for one in no.undone if name in one.features]
    assert said is not None
    assert said.key == "mill.nearest_lean"


def test_a_corner_off_is_faced_flat_where_the_table_tilts_and_cut_in_rows_where_not() -> None:
    face = cornered().features[-1].id
    tilted, upright = answered(cornered(), axes="3+2"), answered(cornered())
    assert face in tilted.made
    assert any(face in str(note.given) for step in tilted.steps for note in step.notes if note.key == "mill.laid_level")
    assert not any(note.key == "mill.laid_level" for step in upright.steps for note in step.notes)


def test_a_rounded_hollow_that_no_side_sees_is_refused_as_five_axes_at_once() -> None:
    block = Block(70, 40, 40, 1.0)
    pocket = slanted_pocket()
    assert pocket.grid is not None
    block.filled = pocket.grid.filled().copy()
    block.named("free", (), WAY, (40.0, 20.0, 24.0), inside=True)
    no = answered(block.part(), axes="5")
    assert refused(no, "mill.five_at_once")
    assert [one.nearest.key for one in no.undone if one.nearest] == ["mill.nearest_five"]


def test_the_turned_cells_keep_the_volume_and_are_open_where_the_slant_is() -> None:
    part = slanted_pocket()
    assert part.grid is not None
    cells = cells_of(part.grid, part.grid.filled(), box_mm=(74.0, 44.0, 44.0))
    seen = seen_from(cells.finished)
    slant = slant_of(cells, seen, cells.stock, WAY, base=4, held=8, beside=None)
    assert np.count_nonzero(slant.finished) == pytest.approx(np.count_nonzero(cells.finished), rel=0.01)
    hidden = np.count_nonzero((seen == 0) & ~cells.finished)
    assert np.count_nonzero(slant.wanted) >= 0.9 * hidden > 0
    assert not (slant.wanted & slant.finished).any()
    under = slant.at < -1
    assert under.any()
    assert not under[0].all(), "the jaws lie below, the spindle above"
    assert dot(WAY, (0.0, 0.0, 1.0)) == pytest.approx(math.cos(LEANS * DEG))
