"""Equal holes on a circle measured together: what is stretched across them, a hole missed, holes that are not equal."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.axis import Axis
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.regions import limits_of
from steadyrest.part.segment.skin import Skin, skin_of
from steadyrest.part.segment.turned_scan.bolt_circles import on_circles
from steadyrest.part.triangles.mesh import cleaned

NOISE_MM, LONG_MM, ROWS, ROUND = 0.03, 10.0, 22, 36
Z = np.array([0.0, 0.0, 1.0])
LINE = Axis(np.zeros(3), Z, 1.0)


def walls(radii: list[float], turns: list[float], *, away: float = 30.0, waist_mm: float = 0.35, seed: int = 1) -> Skin:
    """The walls of holes along z, seen from within; half way along them a scanner stretched skin a little inside."""
    rng = np.random.default_rng(seed)
    points, faces = list[np.ndarray](), list[tuple[int, int, int]]()
    angle, along = np.meshgrid(np.arange(ROUND) * 2 * np.pi / ROUND, np.linspace(0, LONG_MM, ROWS), indexing="ij")
    for radius, turn in zip(radii, turns, strict=True):
        base = len(points) * ROUND * ROWS
        skin = waist_mm * np.clip(1 - np.abs(along - LONG_MM / 2) / 2.2, 0, 1)
        r = radius - skin + NOISE_MM * rng.standard_normal(angle.shape)
        at = away * np.array([np.cos(turn), np.sin(turn)])
        points.append(np.stack((at[0] + r * np.cos(angle), at[1] + r * np.sin(angle), along), axis=-1).reshape(-1, 3))
        for i in range(ROUND):
            for k in range(ROWS - 1):
                a, b = base + i * ROWS + k, base + (i + 1) % ROUND * ROWS + k
                faces += [(a, b + 1, b), (a, a + 1, b + 1)]
    got = skin_of(cleaned(np.concatenate(points), np.array(faces), where="walls"))
    # Cleaning turns a lone wall outward, as of a rod; seen from within its normals point to the hole's line.
    return replace(got, normals=-got.normals, facet_normals=-got.facet_normals)


def finds(skin: Skin, radii: list[float], turns: list[float], *, away: float = 30.0) -> list[Found]:
    """First finds: all that looks like the wall, taken too small and a little beside its place."""
    out = list[Found]()
    for radius, turn in zip(radii, turns, strict=True):
        at = away * np.array([np.cos(turn), np.sin(turn), 0.0])
        near = np.flatnonzero(np.linalg.norm((skin.points - at)[:, :2], axis=1) < 1.2 * radius)
        out.append(Found(Turned(at + np.array([0.04, 0.0, LONG_MM / 2]), Z, radius - 0.08), near, inside=True))
    return out


def together(skin: Skin, first: list[Found]) -> list[Found]:
    free = np.ones(len(skin.points), dtype=np.bool_)
    return on_circles(skin, free, first, LINE, limits=limits_of(skin, NOISE_MM))


def turns_of(many: int) -> list[float]:
    return [0.3 + 2 * np.pi * k / many for k in range(many)]


@pytest.mark.parametrize("seed", range(4))
def test_equal_holes_are_as_wide_as_their_walls_and_not_as_what_closes_them(seed: int) -> None:
    turns = turns_of(6)
    skin = walls([2.75] * 6, turns, seed=seed)
    held = together(skin, finds(skin, [2.75] * 6, turns))
    assert len(held) == 6
    for hole in held:
        assert isinstance(hole.surface, Turned)
        # The truth is the radius the walls were drawn with; all six share one.
        assert 2 * hole.surface.radius_mm == pytest.approx(5.5, abs=0.03)
        assert hole.surface.radius_mm == held[0].surface.radius_mm  # pyright: ignore[reportAttributeAccessIssue]


def test_a_hole_that_was_missed_is_found_where_equal_spacing_puts_it() -> None:
    turns = turns_of(6)
    skin = walls([2.75] * 6, turns)
    some = finds(skin, [2.75] * 6, turns)[:4]
    assert len(together(skin, some)) == 6


def test_no_hole_is_put_where_nothing_was_seen() -> None:
    turns = turns_of(6)
    skin = walls([2.75] * 5, turns[:5])
    assert len(together(skin, finds(skin, [2.75] * 5, turns[:5]))) == 5


def test_a_piece_of_what_closes_a_hole_is_no_second_hole() -> None:
    turns = turns_of(4)
    skin = walls([2.75] * 4, turns)
    first = finds(skin, [2.75] * 4, turns)
    skins = finds(skin, [2.5] * 4, turns)
    assert len(together(skin, [*first, *skins])) == 4


def test_holes_that_are_not_equal_keep_their_own_sizes() -> None:
    turns = turns_of(3)
    radii = [2.75, 2.75, 3.0]
    skin = walls(radii, turns, waist_mm=0.0)
    first = finds(skin, radii, turns)
    held = together(skin, first)
    assert [f.surface for f in held] == [f.surface for f in first]


def test_two_holes_are_no_circle() -> None:
    turns = turns_of(2)
    skin = walls([2.75] * 2, turns)
    first = finds(skin, [2.75] * 2, turns)
    assert together(skin, first) == first


def test_one_hole_of_four_that_all_show_their_walls_tells_the_other_three() -> None:
    skin = walls([2.25] * 4, turns_of(4), away=43.0)
    held = together(skin, finds(skin, [2.25], turns_of(4)[:1], away=43.0))
    assert [float(f.surface.radius_mm) for f in held] == [pytest.approx(2.25, abs=0.02)] * 4
