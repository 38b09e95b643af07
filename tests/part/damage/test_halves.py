"""Halves of broken parts put together again, against known places of the demo's scanner on bodies cut here."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.demo.scan import TruePart, pose_of
from steadyrest.part.damage.ends import ends_of
from steadyrest.part.damage.halves import Halves, halves_of
from steadyrest.part.damage.turned_scan import TurnedScan, turned_scan
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.triangles.mesh import cleaned
from steadyrest.wording.say import say
from tests.part.damage.pieces import SEEN, Break, half, shaft, taper, true_place


def both(part: TruePart, before: Break, after: Break, seeds: tuple[int, int]) -> tuple[TurnedScan, TurnedScan]:
    return half(part, before, beyond=False, seed=seeds[0]), half(part, after, beyond=True, seed=seeds[1])


def turn_error_deg(found: Halves, part: TruePart, seeds: tuple[int, int]) -> float:
    assert found.laid is not None
    off = np.array(found.laid.turn) @ true_place(part, *seeds)[0].T
    return float(np.degrees(np.arccos(np.clip((np.trace(off) - 1) / 2, -1, 1))))


def place_error_mm(found: Halves, part: TruePart, at_mm: float, seeds: tuple[int, int]) -> float:
    """How far a point of the axis at the break comes to lie off where it belongs."""
    assert found.laid is not None
    pose = pose_of(part, SEEN, seeds[1])
    point = pose.turn @ np.array([0.0, 0.0, at_mm]) + pose.shift
    turn, shift = true_place(part, *seeds)
    return float(np.linalg.norm(np.array(found.laid.turn) @ point + found.laid.shift - turn @ point - shift))


def without_break(scan: TurnedScan) -> TurnedScan:
    """The same half, its break not scanned."""
    ends = ends_of(scan)
    assert ends is not None
    broken = next(end for end in ends if end.state == "broken")
    gone = np.isin(scan.mesh.faces, broken.cap).any(axis=1)
    mesh = cleaned(scan.mesh.vertices, scan.mesh.faces[~gone], where="half")
    again = turned_scan(mesh, scan_graph(mesh, progress=quietly, stop=never))
    assert again is not None
    return again


@pytest.mark.parametrize(
    ("part", "broken", "seeds"),
    [
        (shaft(), Break(95.0), (5, 6)),
        (shaft(), Break(95.0, lean=0.0, rough_mm=0.3, seed=8), (7, 8)),
        (taper(), Break(70.0), (5, 6)),
    ],
    ids=["hills", "almost smooth", "taper"],
)
def test_two_halves_that_match_go_back_where_they_were(part: TruePart, broken: Break, seeds: tuple[int, int]) -> None:
    found = halves_of(*both(part, broken, broken, seeds))
    assert found.trust == "sure"
    assert turn_error_deg(found, part, seeds) < 0.5
    assert place_error_mm(found, part, broken.at_mm, seeds) < 0.1
    assert found.length is not None
    assert found.length.value == pytest.approx(part.length_mm, abs=0.08)
    assert found.missing is not None
    assert found.missing.best is not None
    assert found.missing.best.value == 0.0
    assert all(say(reason) for reason in (*found.why, *found.ask))


def test_the_turn_is_as_sure_as_it_says() -> None:
    found = halves_of(*both(shaft(), Break(95.0), Break(95.0), (5, 6)))
    assert found.fit is not None
    assert np.radians(turn_error_deg(found, shaft(), (5, 6))) < 4 * found.fit.u_turn_rad


def test_a_taper_tells_the_missing_length() -> None:
    # 6 mm of the taper are gone: the break of the second half lies 6 mm farther on, with hills of its own.
    found = halves_of(*both(taper(), Break(70.0), Break(76.0, seed=4), (5, 6)))
    assert found.missing is not None
    assert found.missing.best is not None
    assert found.missing.most is not None
    assert found.missing.least.value < 6.0 < found.missing.most.value
    assert found.missing.best.value == pytest.approx(6.0, abs=0.4)
    assert found.length is not None
    assert found.length.value == pytest.approx(taper().length_mm, abs=0.4)
    assert found.laid is not None
    assert not found.laid.turned


def test_a_taper_tells_the_missing_length_though_no_break_was_scanned() -> None:
    one, other = both(taper(), Break(70.0), Break(76.0, seed=4), (5, 6))
    found = halves_of(without_break(one), without_break(other))
    assert found.fit is None
    assert found.missing is not None
    assert found.missing.best is not None
    # From last whole ring to last whole ring: up to the breaks' lean and hills more than between their means.
    assert 6.0 - 0.5 < found.missing.best.value < 6.0 + 2 * (0.1 * 22 + 2.5)
    assert found.length is not None
    assert found.length.value == pytest.approx(taper().length_mm, abs=0.4)


def test_breaks_that_match_though_the_sizes_do_not_go_on_are_not_believed() -> None:
    found = halves_of(*both(taper(), Break(70.0), Break(76.0), (5, 6)))
    assert found.trust == "ask"
    assert any(reason.key == "damage.sizes_object" for reason in found.why)


def test_a_cylinder_with_a_piece_gone_tells_no_length_and_no_turn() -> None:
    # Both breaks lean alike, but their hills are strangers: leaning alike is no proof.
    found = halves_of(*both(shaft(), Break(95.0, lean=0.3), Break(99.0, lean=0.3, seed=9), (5, 6)))
    assert (found.trust, found.length, found.laid) == ("ask", None, None)
    assert found.missing is not None
    assert (found.missing.best, found.missing.most) == (None, None)
    assert any("How long was it" in say(reason) for reason in found.ask)


def test_a_lean_without_hills_is_likely_at_best() -> None:
    smooth = Break(95.0, lean=0.3, rough_mm=0.05)
    found = halves_of(*both(shaft(), smooth, smooth, (5, 6)))
    assert found.trust == "likely"
    assert turn_error_deg(found, shaft(), (5, 6)) < 1.0


def test_whole_parts_have_no_halves() -> None:
    one, other = both(shaft(), Break(95.0), Break(95.0), (5, 6))
    sound = halves_of(one, half(taper(), Break(70.0), beyond=False, seed=5))
    assert sound.ends is None
    assert sound.ask
    del other


def test_which_ends_broke_is_seen() -> None:
    one, other = both(shaft(), Break(95.0), Break(95.0), (5, 6))
    for scan in (one, other):
        ends = ends_of(scan)
        assert ends is not None
        assert sorted(end.state for end in ends) == ["broken", "faced"]
        broken = next(end for end in ends if end.state == "broken")
        assert broken.lean_rad == pytest.approx(0.1, abs=0.05)
        assert broken.radius_mm == pytest.approx(20.0, abs=0.02)
