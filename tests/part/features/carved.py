"""Solids by another library (manifold3d), handed over as noisy meshes in any pose, as a scan would be.

Shares nothing with the reader: the library's own booleans and its own cutting of edges into equal lengths make the
mesh; corners of round things lie on the true circle. Noise is drawn for each corner, half of it shared with neighbours.
"""

from __future__ import annotations

import manifold3d
import numpy as np

Manifold = manifold3d.Manifold
EDGE_MM, NOISE_MM = 1.05, 0.025


def block(x: float, y: float, z: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Manifold:
    """A block, its middle in x and y and its foot at a place."""
    return Manifold.cube((x, y, z)).translate((at[0] - x / 2, at[1] - y / 2, at[2]))


def round_bar(diameter: float, z: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Manifold:
    """A cylinder along z, its foot at a place."""
    many = max(24, round(np.pi * diameter / EDGE_MM))
    return Manifold.cylinder(z, diameter / 2, diameter / 2, many).translate(at)


def many_sided(sides: int, across_flats: float, z: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Manifold:
    """A prism of so many sides along z."""
    radius = across_flats / 2 / np.cos(np.pi / sides)
    return Manifold.cylinder(z, radius, radius, sides).translate(at)


def scanned(solid: Manifold, seed: int) -> bytes:
    """The solid as a binary STL, turned and moved at random, with noise along its normals."""
    rng = np.random.default_rng(seed)
    mesh = solid.refine_to_length(EDGE_MM).to_mesh()
    points, faces = (
        np.asarray(mesh.vert_properties[:, :3], dtype=np.float64),
        np.asarray(mesh.tri_verts, dtype=np.int64),
    )
    a, b, c = (points[faces[:, k]] for k in range(3))
    flat = np.cross(b - a, c - a)
    normals = np.zeros_like(points)
    for k in range(3):
        np.add.at(normals, faces[:, k], flat)
    normals /= np.maximum(np.linalg.norm(normals, axis=1), 1e-12)[:, None]
    own = rng.standard_normal(len(points))
    shared, many = np.zeros(len(points)), np.zeros(len(points))
    for k in range(3):
        for other in range(3):
            np.add.at(shared, faces[:, k], own[faces[:, other]])
            np.add.at(many, faces[:, k], 1.0)
    shared /= np.maximum(many, 1.0)
    noise = own + shared / max(float(shared.std()), 1e-9)
    points = points + (NOISE_MM / np.sqrt(2)) * noise[:, None] * normals
    turn = np.linalg.qr(rng.standard_normal((3, 3)))[0]
    turn *= np.sign(np.linalg.det(turn))
    points = points @ turn.T + rng.uniform(-50, 50, 3)
    rows = np.zeros(len(faces), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    rows["v"] = points[faces]
    return b"\0" * 80 + np.uint32(len(rows)).tobytes() + rows.tobytes()
