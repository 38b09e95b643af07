"""Reading a scan and finding its surfaces: time, peak memory, sizes found; ours and a plain peer in the same run.

The peer is what a careful user of general libraries would write: cut the mesh at edges sharper than 20 degrees, call
flat pieces planes, fit a cylinder to each other piece by robust least squares, keep it if it fits.
Both are judged alike: every true diameter within 0.05 mm (0.08 mm on worn surface), cylinders that match none are false.
One JSON line a case: case, ours_s, peer_s, ratio, peak_mb, and what was found. Usage: python speed/read_scan.py [CASE]
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import numpy.typing as npt
import psutil

from steadyrest.demo.scan import ScanSettings, scan
from steadyrest.demo.scanning.ply import write_ply
from steadyrest.demo.scanning.stage_lift import stage_lift_shaft
from steadyrest.demo.scanning.true_part import TruePart, truth

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
FloatArray = npt.NDArray[np.float64]
UNWORN_MM, WORN_MM = 0.05, 0.08


@dataclass(frozen=True, slots=True)
class Cylinder:
    diameter_mm: float
    inside: bool
    area_mm2: float


@dataclass(frozen=True, slots=True)
class Outcome:
    seconds: float
    peak_mb: float
    cylinders: tuple[Cylinder, ...]


def cases() -> dict[str, tuple[TruePart, ScanSettings]]:
    from tests.forward.parts import bored_bush, flanged_disc, gearbox_shaft

    return {
        "shaft 150k": (stage_lift_shaft(), ScanSettings()),
        "shaft 500k": (stage_lift_shaft(), ScanSettings(voxel_mm=0.452, noise_mm=0.025)),
        "shaft 500k rough": (stage_lift_shaft(), ScanSettings(voxel_mm=0.452, noise_mm=0.06, correlation_mm=1.0)),
        "gearbox shaft": (gearbox_shaft(), ScanSettings(noise_mm=0.04)),
        "bush": (bored_bush(), ScanSettings()),
        "disc with six holes, rough": (flanged_disc(), ScanSettings(noise_mm=0.06, correlation_mm=1.0)),
    }


def ours(path: str) -> tuple[float, list[Cylinder]]:
    from steadyrest.part.files.meshes import read_mesh
    from steadyrest.part.segment.graph import never, quietly, scan_graph

    began = time.perf_counter()
    mesh = read_mesh(Path(path).read_bytes(), path)
    graph = scan_graph(mesh, progress=quietly, stop=never)
    spent = time.perf_counter() - began
    return spent, [Cylinder(2 * p.unworn_mm, p.inside, p.area_mm2) for p in graph.patches if p.kind == "cylinder"]


def peer(path: str) -> tuple[float, list[Cylinder]]:
    import trimesh
    from scipy.optimize import least_squares

    began = time.perf_counter()
    mesh = trimesh.load(path, process=False)
    links = mesh.face_adjacency[mesh.face_adjacency_angles < np.radians(20)]
    piece = trimesh.graph.connected_component_labels(links, node_count=len(mesh.faces))
    sizes = np.bincount(piece)
    found: list[Cylinder] = []
    for k in np.flatnonzero(sizes >= max(100, 0.002 * len(mesh.faces))):
        faces = np.flatnonzero(piece == k)
        points = np.asarray(mesh.vertices[np.unique(mesh.faces[faces])])
        points = points[:: max(1, len(points) // 20_000)]
        normals = np.asarray(mesh.face_normals[faces])
        if np.sqrt(np.linalg.eigvalsh(np.cov(points.T))[0]) < 0.1:
            continue  # flat
        axis = np.linalg.eigh(normals.T @ normals)[1][:, 0]
        u = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
        u /= np.linalg.norm(u)
        v = np.cross(axis, u)
        middle = points.mean(axis=0)
        q = points - middle
        x, y = q @ u, q @ v
        a, b, c = np.linalg.lstsq(np.stack((2 * x, 2 * y, np.ones_like(x)), 1), x * x + y * y, rcond=None)[0]

        def off(
            p: FloatArray, q: FloatArray = q, axis: FloatArray = axis, u: FloatArray = u, v: FloatArray = v
        ) -> FloatArray:
            ahead = axis + p[0] * u + p[1] * v
            ahead = ahead / np.linalg.norm(ahead)
            d = q - p[2] * u - p[3] * v
            return np.linalg.norm(d - np.outer(d @ ahead, ahead), axis=1) - p[4]

        start = [0, 0, a, b, float(np.sqrt(max(c + a * a + b * b, 1e-12)))]
        fit = least_squares(off, start, loss="soft_l1", f_scale=0.05, x_scale=[0.01, 0.01, 0.1, 0.1, 0.1])
        if np.sqrt(np.mean(off(fit.x) ** 2)) < 0.2:
            centre = middle + fit.x[2] * u + fit.x[3] * v
            outward = np.einsum("ij,ij->i", mesh.triangles_center[faces] - centre, normals)
            found.append(
                Cylinder(2 * float(fit.x[4]), bool(np.median(outward) < 0), float(mesh.area_faces[faces].sum()))
            )
    return time.perf_counter() - began, found


def in_child(which: str, path: str) -> Outcome:
    """One way of reading in a fresh process, twice: the first run compiles, the second is timed."""
    with get_context("spawn").Pool(1) as pool:
        return pool.apply(_measured, (which, path))


def _measured(which: str, path: str) -> Outcome:
    work = {"ours": ours, "peer": peer}[which]
    work(path)
    seconds, cylinders = work(path)
    info = psutil.Process().memory_info()
    peak = getattr(info, "peak_wset", 0) or _peak_rss() or info.rss
    return Outcome(seconds, peak / 1e6, tuple(cylinders))


def _peak_rss() -> int:
    try:
        import resource
    except ImportError:  # Windows tells it elsewhere
        return 0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)


def judged(outcome: Outcome, part: TruePart) -> dict[str, float | int]:
    """How many true diameters were found, the worst error over those, and how many cylinders match nothing true."""
    wanted = [(s.made_mm, s.kind != "shaft", s.worn_mm) for s in truth(part) if s.kind in ("shaft", "bore", "hole")]
    known = wanted + [(s.made_mm, True, 0.0) for s in truth(part) if s.kind == "keyway"]
    known += [(s.depth_mm, False, 0.0) for s in truth(part) if s.kind == "groove"]
    errors = []
    for diameter, inside, worn in wanted:
        near = [abs(c.diameter_mm - diameter) for c in outcome.cylinders if c.inside == inside]
        limit = WORN_MM if worn else UNWORN_MM
        errors.append((min(near, default=np.inf), limit))
    false = sum(
        all(abs(c.diameter_mm - d) > 0.5 or c.inside != inside for d, inside, _ in known) for c in outcome.cylinders
    )
    hits = [e for e, limit in errors if e <= limit]
    return {
        "found": len(hits),
        "of": len(errors),
        "worst_mm": round(float(max(hits, default=np.nan)), 4),
        "false": false,
    }


def main() -> None:
    for name, (part, settings) in cases().items():
        if sys.argv[1:] and not any(word in name for word in sys.argv[1:]):
            continue
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "scan.ply"
            vertices, faces = scan(part, settings, 21)
            write_ply(path, vertices, faces)
            mine, other = in_child("ours", str(path)), in_child("peer", str(path))
        line = {
            "case": name, "triangles": len(faces), "ours_s": round(mine.seconds, 3), "peer_s": round(other.seconds, 3),
            "ratio": round(mine.seconds / other.seconds, 3), "peak_mb": round(mine.peak_mb),
            "peer_peak_mb": round(other.peak_mb), "ours": judged(mine, part), "peer": judged(other, part),
        }  # fmt: skip
        print(json.dumps(line), flush=True)


if __name__ == "__main__":
    main()
