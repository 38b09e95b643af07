"""Reading a scan and finding its surfaces: time, peak memory, sizes found; ours and a plain peer in the same run.

The peer is what a careful user of general libraries would write: cut the mesh at edges sharper than 20 degrees, call
flat pieces planes, fit a cylinder to every other piece by robust least squares, keep it if it fits.
Both are judged alike: every true diameter within 0.05 mm (0.08 mm on worn surface); a cylinder that matches none is
false. Every step runs in a process of its own and is timed on its second go: the first compiles. The keys stand in
_shared.py; besides them: triangles, and for both how many sizes were found, the worst error, false cylinders.
Run: python speed/read_scan.py [CASE ...]
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parent)]

from _shared import peak_mb  # noqa: E402  its folder is named above

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from steadyrest.demo.scan import ScanSettings
    from steadyrest.demo.scanning.true_part import TruePart

    FloatArray = npt.NDArray[np.float64]

UNWORN_MM, WORN_MM = 0.05, 0.08


@dataclass(frozen=True, slots=True)
class Cylinder:
    diameter_mm: float
    inside: bool
    area_mm2: float


def cases() -> dict[str, tuple[TruePart, ScanSettings]]:
    from steadyrest.demo.scan import ScanSettings
    from steadyrest.demo.scanning.stage_lift import stage_lift_shaft
    from tests.forward.parts import bored_bush, flanged_disc, gearbox_shaft

    return {
        "shaft 150k": (stage_lift_shaft(), ScanSettings()),
        "shaft 500k": (stage_lift_shaft(), ScanSettings(voxel_mm=0.452, noise_mm=0.025)),
        "shaft 200k": (stage_lift_shaft(), ScanSettings(voxel_mm=0.71)),
        "shaft 1M": (stage_lift_shaft(), ScanSettings(voxel_mm=0.318, noise_mm=0.025)),
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
    import numpy as np
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


def make(name: str, path: str) -> None:
    """Write the scan of a case, and tell its triangles and true sizes."""
    from steadyrest.demo.scan import scan
    from steadyrest.demo.scanning.ply import write_ply
    from steadyrest.demo.scanning.true_part import truth

    part, settings = cases()[name]
    vertices, faces = scan(part, settings, 21)
    write_ply(Path(path), vertices, faces)
    wanted = [(s.made_mm, s.kind != "shaft", s.worn_mm > 0) for s in truth(part) if s.kind in ("shaft", "bore", "hole")]
    besides = [(s.made_mm, True, False) for s in truth(part) if s.kind == "keyway"]
    besides += [(s.depth_mm, False, False) for s in truth(part) if s.kind == "groove"]
    print(json.dumps({"triangles": len(faces), "wanted": wanted, "besides": besides}))


def measure(which: str, path: str) -> None:
    """Read twice, time the second, tell what came out."""
    work = {"ours": ours, "peer": peer}[which]
    work(path)
    seconds, found = work(path)
    print(json.dumps({"seconds": seconds, "peak_mb": peak_mb(), "found": [asdict(c) for c in found]}))


def judged(found: list[dict[str, float]], told: dict[str, list[tuple[float, bool, bool]]]) -> dict[str, float | None]:
    """How many true diameters were found, the worst error over those, and how many cylinders match nothing true."""
    hits: list[float] = []
    for diameter, inside, worn in told["wanted"]:
        near = min((abs(c["diameter_mm"] - diameter) for c in found if c["inside"] == inside), default=9.0)
        hits += [near] if near <= (WORN_MM if worn else UNWORN_MM) else []
    known = told["wanted"] + told["besides"]
    false = sum(all(abs(c["diameter_mm"] - d) > 0.5 or c["inside"] != i for d, i, _ in known) for c in found)
    return {
        "found": len(hits), "of": len(told["wanted"]), "worst_mm": round(max(hits), 4) if hits else None, "false": false
    }  # fmt: skip


def step(*words: str) -> dict[str, object]:
    done = subprocess.run([sys.executable, __file__, "--", *words], check=True, capture_output=True, text=True)
    return json.loads(done.stdout)


def whole(name: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = str(Path(folder) / "scan.ply")
        told = step("make", name, path)
        mine, other = step("ours", path), step("peer", path)
    print(json.dumps({
        "case": name, "triangles": told["triangles"], "ours_s": round(mine["seconds"], 3),
        "peer": "cut at sharp edges, fit by scipy", "peer_s": round(other["seconds"], 3),
        "ratio": round(other["seconds"] / mine["seconds"], 3), "peak_mb": round(mine["peak_mb"], 1),
        "ours": judged(mine["found"], told), "peers": judged(other["found"], told),
    }), flush=True)  # fmt: skip


def main() -> None:
    match sys.argv[1:]:
        case ["--", "make", name, path]:
            make(name, path)
        case ["--", which, path]:
            measure(which, path)
        case names:
            for name in names or cases():
                whole(name)


if __name__ == "__main__":
    main()
