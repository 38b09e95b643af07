"""The match of two breaks alone, over many breaks: heights sampled here, without a scanner between."""

from __future__ import annotations

import numpy as np

from steadyrest.part.damage.ends import End
from steadyrest.part.damage.rejoin import Fit, fitted
from steadyrest.part.damage.turned_scan import TurnedScan
from steadyrest.part.triangles.mesh import Mesh
from tests.part.damage.pieces import Break

RADIUS_MM = 15.0
NOISE_MM = 0.03


def face(broken: Break, *, turn: float, beyond: bool, seed: int, noise_mm: float = NOISE_MM) -> tuple[TurnedScan, End]:
    """A break sampled at random places, turned about its axis; the half beyond is turned over to look along its own."""
    rng = np.random.default_rng(seed)
    angle, rho = rng.uniform(0, 2 * np.pi, 1600), RADIUS_MM * np.sqrt(rng.uniform(0, 1, 1600))
    x, y = rho * np.cos(angle), rho * np.sin(angle)
    z = broken.height(x, y) - broken.at_mm + rng.normal(0, noise_mm, len(x))
    c, s = np.cos(turn), np.sin(turn)
    x, y = c * x - s * y, s * x + c * y
    if beyond:
        y, z = -y, -z
    none = np.zeros((0, 3), dtype=np.int32)
    mesh = Mesh(np.zeros((0, 3)), none, none, "mm", 1, 0, 0, None)
    e = np.eye(3)
    scan = TurnedScan(
        mesh=mesh, origin=np.zeros(3), ahead=e[2], u=e[0], v=e[1], along=z, x=x, y=y, out=np.zeros(len(x)),
        up=np.ones(len(x)), areas=np.ones(len(x)), spacing_mm=0.6, noise_mm=noise_mm, correlation_mm=0.5, rounds=(),
    )  # fmt: skip
    return scan, End(1, "broken", 0.0, RADIUS_MM, 0.0, None, np.arange(len(x)), 0.5, 0.1, ())


def match(before: Break, after: Break, turn: float, seed: int) -> Fit:
    found = fitted(
        *face(before, turn=0.0, beyond=False, seed=seed), *face(after, turn=turn, beyond=True, seed=seed + 999)
    )
    assert found is not None
    return found


def test_a_break_finds_its_own_turn_at_any_turn() -> None:
    errors, said = [], []
    for seed in range(8):
        turn = seed * 0.787
        broken = Break(0.0, lean=0.05 * (seed % 4), rough_mm=0.2 + 0.1 * (seed % 5), seed=seed)
        found = match(broken, broken, turn, seed)
        errors.append(abs((found.turn_rad + turn + np.pi) % (2 * np.pi) - np.pi))
        said.append(found.u_turn_rad)
        assert found.odds > 0.95
        assert found.hills_alike is not None
        assert found.hills_alike > 0.8
        assert abs(found.gap_mm) < 3 * found.u_gap_mm
    assert np.degrees(max(errors)) < 2.0
    assert np.median(np.array(errors) / np.array(said)) < 2.0


def test_strangers_never_match() -> None:
    for seed in range(8):
        lean = 0.08 * (seed % 4)
        before, after = Break(0.0, lean=lean, seed=seed), Break(0.0, lean=lean, seed=seed + 50)
        found = match(before, after, 0.3 * seed, seed)
        assert found.hills_alike is not None
        assert found.hills_alike < 0.7


def test_a_square_smooth_break_fits_at_any_turn_and_says_nothing() -> None:
    smooth = Break(0.0, lean=0.0, rough_mm=0.01)
    here, there = face(smooth, turn=0.0, beyond=False, seed=1), face(smooth, turn=1.0, beyond=True, seed=2)
    assert fitted(*here, *there) is None
