"""Threads are found with pitch, hand, starts and name; what only looks like one is not."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.threads.find import measured, threads_of
from steadyrest.part.threads.shells import Shell, seen_from
from steadyrest.part.threads.spectrum import Helix
from steadyrest.tables.threads import Thread, metric_threads, unified_threads
from tests.part.threads.made import FloatArray, Height, graph_of, solid_points, surface, thread_height

COARSE_AND_FINE = [t for t in metric_threads() if t.diameter_mm in (6, 8, 10, 16, 20, 30)]
INCH = [t for t in unified_threads() if t.diameter_mm > 9]


def seen_thread(thread: Thread, *, noise_mm: float = 0.03, seed: int = 1) -> FloatArray:
    return surface(
        thread_height(thread.pitch_mm),
        diameter_mm=thread.diameter_mm,
        length_mm=max(12.0, 8 * thread.pitch_mm),
        noise_mm=noise_mm,
        seed=seed,
    )


@pytest.mark.parametrize("thread", [*COARSE_AND_FINE, *INCH], ids=lambda thread: thread.name)
def test_a_thread_is_found_with_its_pitch_and_named(thread: Thread) -> None:
    (found,) = threads_of(graph_of(seen_thread(thread), diameter_mm=thread.diameter_mm - 0.5 * thread.pitch_mm))
    assert found.pitch_mm == pytest.approx(thread.pitch_mm, abs=4 * found.u_pitch_mm)
    assert found.major_mm == pytest.approx(thread.diameter_mm, abs=0.1 * thread.pitch_mm + 0.05)
    assert found.depth_share > 0.75
    assert (found.hand, found.starts, found.inside) == ("right", 1, False)
    assert thread.name in [name.name for name in found.names]
    if found.state == "sure":
        assert found.names[0].name == thread.name


def test_nearly_all_threads_are_named_surely_and_all_surely_named_are_right() -> None:
    right, sure = 0, 0
    tried = [*COARSE_AND_FINE, *INCH][::2]
    for k, thread in enumerate(tried):
        (found,) = threads_of(graph_of(seen_thread(thread, seed=50 + k), diameter_mm=thread.diameter_mm))
        sure += found.state == "sure"
        right += found.state == "sure" and found.names[0].name == thread.name
    assert right == sure
    assert sure >= 0.8 * len(tried)


@settings(deadline=None, max_examples=10)
@given(hand=st.sampled_from([1, -1]), starts=st.integers(1, 4), pitch=st.floats(1.0, 3.0), seed=st.integers(0, 99))
def test_hand_and_starts_are_told(hand: int, starts: int, pitch: float, seed: int) -> None:
    points = surface(
        thread_height(pitch, starts=starts, hand=hand), diameter_mm=22.0, length_mm=30.0, noise_mm=0.02, seed=seed
    )
    (found,) = threads_of(graph_of(points, diameter_mm=21.0))
    assert found.hand == ("right" if hand > 0 else "left")
    assert found.starts == starts
    assert found.pitch_mm == pytest.approx(pitch, rel=3e-3)


def test_turning_a_part_end_for_end_keeps_the_hand() -> None:
    points = surface(thread_height(2.0, hand=-1), diameter_mm=20.0, length_mm=25.0)
    flipped = points * np.array([1.0, -1.0, -1.0])
    assert [t.hand for t in threads_of(graph_of(flipped, diameter_mm=19.0))] == ["left"]


def test_a_thread_seen_from_one_side_is_still_found() -> None:
    points = surface(thread_height(1.5), diameter_mm=20.0, length_mm=30.0, coverage_rad=pi * 1.1)
    (found,) = threads_of(graph_of(points, diameter_mm=19.0))
    assert found.names[0].name == "M20x1.5"


def test_a_thread_on_part_of_a_shaft_ends_where_it_ends() -> None:
    cut = thread_height(1.75)

    def height(z: FloatArray, angle: FloatArray) -> FloatArray:
        return np.where(z > 20.0, cut(z, angle), 0.0)

    points = surface(height, diameter_mm=12.0, length_mm=80.0, per_mm2=3.0)
    (found,) = threads_of(graph_of(points, diameter_mm=12.0))
    low, high = (found.point[2] + at for at in found.along_mm)
    assert low == pytest.approx(20.0, abs=1.75)
    assert high == pytest.approx(40.0, abs=1.75)
    assert found.names[0].name == "M12"


@pytest.mark.parametrize("seen", [0.3, 0.5])
def test_a_scan_of_the_crests_alone_gives_the_pitch_and_asks_for_a_gauge(seen: float) -> None:
    points = surface(thread_height(2.5, seen=seen), diameter_mm=20.0, length_mm=30.0, noise_mm=0.02)
    (found,) = threads_of(graph_of(points, diameter_mm=19.5))
    assert found.pitch_mm == pytest.approx(2.5, rel=2e-3)
    assert found.depth_share < 0.6
    assert found.state == "ask"
    assert [doubt.ask.key for doubt in found.doubts] == ["threads.ask_pitch_gauge"]


def test_a_thread_of_no_table_is_not_named() -> None:
    points = surface(thread_height(2.17), diameter_mm=27.3, length_mm=40.0)
    (found,) = threads_of(graph_of(points, diameter_mm=26.0))
    assert found.names == ()
    assert found.state == "ask"
    assert [doubt.what.key for doubt in found.doubts] == ["threads.no_name"]


def test_odds_never_exceed_one_in_all() -> None:
    for thread in COARSE_AND_FINE[:6]:
        (found,) = threads_of(graph_of(seen_thread(thread), diameter_mm=thread.diameter_mm))
        assert 0 < sum(name.odds for name in found.names) <= 1 + 1e-9


def test_a_solid_s_thread_is_found_from_its_edges() -> None:
    points = solid_points(1.5, diameter_mm=10.0, turns=12)
    (found,) = threads_of(graph_of(points, diameter_mm=9.2, scan=False))
    assert found.pitch_mm == pytest.approx(1.5, abs=1e-3)
    assert found.major_mm == pytest.approx(10.0, abs=1e-6)
    assert found.minor_mm == pytest.approx(10.0 - 2 * 5 * 3**0.5 / 16 * 1.5, abs=1e-6)
    assert found.names[0].name == "M10"


def test_a_nut_s_thread_is_named_by_its_valleys() -> None:
    points = surface(thread_height(2.0), diameter_mm=16.0, length_mm=20.0)
    (found,) = threads_of(graph_of(points, diameter_mm=14.2, inside=True))
    assert found.inside
    assert found.names[0].name == "M16"


def plain(z: FloatArray, angle: FloatArray) -> FloatArray:
    return 0.0 * z


def rings(z: FloatArray, angle: FloatArray) -> FloatArray:
    """Square grooves, evenly spaced, without lead."""
    return np.where((z / 2.0) % 1.0 < 0.4, -0.8, 0.0)


def vee_rings(z: FloatArray, angle: FloatArray) -> FloatArray:
    """The profile of a thread of 2 mm, without lead."""
    return thread_height(2.0)(z, 0.0 * angle)


def knurl(z: FloatArray, angle: FloatArray) -> FloatArray:
    """Diamonds of 36 a turn, both leans."""
    a, b = 36 * angle + 2 * pi * z / 1.6, 36 * angle - 2 * pi * z / 1.6
    return 0.15 * (np.abs(np.cos(a / 2)) + np.abs(np.cos(b / 2)) - 2)


def leaning_knurl(z: FloatArray, angle: FloatArray) -> FloatArray:
    return 0.25 * (np.abs(np.cos(20 * angle + pi * z / 1.6)) - 1)


def chatter(z: FloatArray, angle: FloatArray) -> FloatArray:
    """Seventeen waves and a bit a turn, the marks of each turn leaning on the last."""
    return 0.06 * np.cos(17 * angle + 2 * pi * z / 3.0)


def splines(z: FloatArray, angle: FloatArray) -> FloatArray:
    return np.where(np.cos(6 * angle) > 0, 0.0, -1.5)


def feed_marks(z: FloatArray, angle: FloatArray) -> FloatArray:
    """A turned surface is a fine helix: 0.4 a turn by a nose of 0.8, 25 um deep."""
    wave = (z / 0.4 - angle / (2 * pi)) % 1.0 - 0.5
    return -(0.4**2) / (8 * 0.8) * (1 - 4 * wave**2)


def oil_groove(z: FloatArray, angle: FloatArray) -> FloatArray:
    """One round groove of 3 mm in a helix of lead 18."""
    wave = np.abs((z / 18.0 - angle / (2 * pi)) % 1.0 - 0.5) * 18.0
    return np.where(wave < 1.5, -0.8 * np.sqrt(np.maximum(1 - (wave / 1.5) ** 2, 0)), 0.0)


def keyway(z: FloatArray, angle: FloatArray) -> FloatArray:
    return np.where(np.abs(np.sin(angle / 2)) * 20 < 3.0, -2.5, 0.0)


def fins(z: FloatArray, angle: FloatArray) -> FloatArray:
    """Layers of a printed part."""
    return 0.1 * np.abs(np.sin(pi * z / 0.6))


NEAR_MISSES: dict[str, Height] = {
    f.__name__: f
    for f in (
        plain, rings, vee_rings, knurl, leaning_knurl, chatter, splines, feed_marks, oil_groove, keyway, fins,
    )
}  # fmt: skip


@pytest.mark.parametrize("name", NEAR_MISSES)
@pytest.mark.parametrize("seed", [0, 1])
def test_what_only_looks_like_a_thread_is_none(name: str, seed: int) -> None:
    points = surface(NEAR_MISSES[name], diameter_mm=20.0, length_mm=45.0, seed=seed)
    assert threads_of(graph_of(points, diameter_mm=19.6)) == ()


@pytest.mark.parametrize("name", ["rings", "vee_rings", "fins"])
def test_rings_stay_rings_where_the_axis_is_a_little_off_or_half_of_them_is_unseen(name: str) -> None:
    crooked = surface(NEAR_MISSES[name], diameter_mm=20.0, length_mm=45.0, crooked_rad=0.002, off_mm=0.05)
    half = surface(NEAR_MISSES[name], diameter_mm=20.0, length_mm=45.0, coverage_rad=1.2 * pi)
    assert threads_of(graph_of(crooked, diameter_mm=19.6)) == ()
    assert threads_of(graph_of(half, diameter_mm=19.6)) == ()


@pytest.mark.parametrize(("rippled_mm", "is_thread"), [(16.0, True), (2.0, False)])
def test_a_ripple_on_a_little_of_a_bore_is_no_thread(rippled_mm: float, *, is_thread: bool) -> None:
    def ripple(z: FloatArray, angle: FloatArray) -> FloatArray:
        return np.where(np.abs(z) < rippled_mm / 2, 0.12 * np.cos(2 * pi * z / 0.8 - angle), 0.0)

    points, axis = surface(ripple, diameter_mm=16.0, length_mm=16.0), np.array([0.0, 0.0, 1.0])
    helix = Helix(0.8, 1, 0.0, 0.12, (-1.0, 1.0), 0.8, 100.0)
    shell = Shell(np.zeros(3), axis, 8.0, 8.0, inside=True)
    seen = seen_from(points, shell.point, axis)
    assert (measured(helix, seen, shell, graph_of(points, diameter_mm=16.0), ()) is not None) == is_thread


@settings(deadline=None, max_examples=12)
@given(diameter=st.floats(6, 90), length=st.floats(8, 200), noise=st.floats(0.005, 0.1), seed=st.integers(0, 999))
def test_noise_alone_is_never_a_thread(diameter: float, length: float, noise: float, seed: int) -> None:
    points = surface(plain, diameter_mm=diameter, length_mm=length, noise_mm=noise, per_mm2=1.0, seed=seed)
    assert threads_of(graph_of(points, diameter_mm=diameter)) == ()


@settings(deadline=None, max_examples=6)
@given(turn=st.floats(0, 6), tilt=st.floats(0, 3), shift=st.floats(-200, 200))
def test_a_thread_is_the_same_wherever_it_lies(turn: float, tilt: float, shift: float) -> None:
    points = surface(thread_height(2.0), diameter_mm=16.0, length_mm=30.0)
    graph = graph_of(points, diameter_mm=15.0)
    c, s, ct, st_ = cos(turn), float(np.sin(turn)), cos(tilt), float(np.sin(tilt))
    spin = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]) @ np.array([[1, 0, 0], [0, ct, -st_], [0, st_, ct]])
    moved = points @ spin.T + shift
    axis = tuple(float(v) for v in spin[:, 2])
    point = (shift, shift, shift)
    patch = replace(graph.patches[0], point=point, axis=(axis[0], axis[1], axis[2]), points=moved)
    (found,) = threads_of(replace(graph, patches=(patch,), axis=(point, (axis[0], axis[1], axis[2]))))
    (before,) = threads_of(graph)
    assert found.pitch_mm == pytest.approx(before.pitch_mm, abs=1e-5)
    assert found.hand == before.hand
    assert found.major_mm == pytest.approx(before.major_mm, abs=1e-3)


def test_nothing_comes_of_nothing() -> None:
    graph = graph_of(np.array([[10.0, 0.0, 0.0], [0.0, 10.0, 5.0]]), diameter_mm=20.0)
    assert threads_of(graph) == ()
