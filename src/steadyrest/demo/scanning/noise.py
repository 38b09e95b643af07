"""Random fields on a surface: what shakes a scan, over short and long distances."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy import sparse

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]


def neighbours_of(faces: Ints, count: int) -> sparse.csr_array:
    """Which vertices share an edge: a symmetric matrix (count, count) of ones."""
    a = np.concatenate([faces[:, 0], faces[:, 1], faces[:, 2]])
    b = np.concatenate([faces[:, 1], faces[:, 2], faces[:, 0]])
    both = sparse.coo_array(
        (np.ones(2 * len(a)), (np.concatenate([a, b]), np.concatenate([b, a]))), shape=(count, count)
    )
    near = sparse.csr_array(both)
    near.data[:] = 1.0
    return near


def surface_noise(
    vertices: Floats, neighbours: sparse.csr_array, *, correlation_mm: float, rng: np.random.Generator
) -> Floats:
    """A field (n,) of unit spread whose likeness falls off as exp(-d^2 / (2 correlation_mm^2)).

    White noise spread by k steps of a lazy walk on the mesh: each step adds half the mean square edge, so over the
    two directions of the surface the kernel's variance is k * edge^2 / 4, and the field's correlation twice that.
    """
    rows, columns = neighbours.nonzero()
    square_edge = float(np.mean(np.sum((vertices[rows] - vertices[columns]) ** 2, axis=1)))
    steps = max(1, round(2 * correlation_mm**2 / square_edge))
    lazy = min(1.0, 2 * correlation_mm**2 / (steps * square_edge)) / 2
    count = np.asarray(neighbours.sum(axis=1))
    spread = sparse.csr_array(sparse.diags_array(1 / count) @ neighbours)
    field, power = rng.standard_normal(len(vertices)), 0.0
    for _ in range(steps):
        field = (1 - lazy) * field + lazy * (spread @ field)
    field -= field.mean()
    power = float(np.sqrt(np.mean(field**2)))
    return field / power


def slow_drift(points: Floats, *, wave_mm: float, rng: np.random.Generator, waves: int = 8) -> Floats:
    """A smooth vector field (n, 3) of unit spread per component with waves of about `wave_mm` and longer."""
    drift = np.zeros_like(points)
    for axis in range(3):
        for _ in range(waves):
            direction = rng.standard_normal(3)
            direction *= 2 * np.pi / (wave_mm * rng.uniform(1.0, 3.0) * np.linalg.norm(direction))
            drift[:, axis] += np.cos(points @ direction + rng.uniform(0.0, 2 * np.pi))
    return drift * np.sqrt(2 / waves)
