"""Finding the surfaces of a scan of 0.2, 0.5 and 1 million triangles: ours and outside programs, in the same run.

The outside programs are scripts in a folder of their own, run by a Python of their own (their libraries are not ours):
each reads SCANS/NAME.ply with SCANS/NAME.truth.json and prints a JSON line. Both kinds of line stand side by side.
Run: python speed/segment_peers.py --peers FOLDER --python PYTHON [--names WORD ...]
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parent)]

from read_scan import judged, step  # noqa: E402  its folder is named above

# Voxels that give some 0.2, 0.5 and 1 million triangles of the demo's shaft, and the half million again, rough.
SIZES = {"200k": (0.71, 0.025), "500k": (0.452, 0.025), "500k rough": (0.452, 0.06),
         "1M": (0.32, 0.025)}  # fmt: skip


def written(folder: Path, name: str) -> dict[str, object]:
    """One scan with its truth, as both sides read it."""
    from steadyrest.demo.scan import ScanSettings, scan, stage_lift_shaft, truth, write_ply

    voxel_mm, noise_mm = SIZES[name]
    file = folder / f"{name.replace(' ', '_')}.ply"
    part = stage_lift_shaft()
    vertices, faces = scan(part, ScanSettings(voxel_mm=voxel_mm, noise_mm=noise_mm, correlation_mm=0.8), 33)
    write_ply(file, vertices, faces)
    sizes = [s for s in truth(part) if s.kind in ("shaft", "bore", "hole")]
    listed = [{"kind": "shaft" if s.kind == "shaft" else "bore", "d": s.made_mm} for s in sizes]
    file.with_suffix(".truth.json").write_text(json.dumps({"sizes": listed}))
    wanted = [(s.made_mm, s.kind != "shaft", s.worn_mm > 0) for s in sizes]
    besides = [(s.depth_mm, False, False) for s in truth(part) if s.kind == "groove"]
    besides += [(s.made_mm, True, False) for s in truth(part) if s.kind == "keyway"]  # the cutter's round ends
    return {"file": str(file), "triangles": len(faces), "wanted": wanted, "besides": besides}


def main() -> None:
    said = argparse.ArgumentParser()
    said.add_argument("--peers", type=Path)
    said.add_argument("--python", default=sys.executable)
    said.add_argument("--names", nargs="*", default=[])
    asked = said.parse_args()
    if asked.peers is None:
        print("segment_peers: name the folder of the outside programs with --peers; left out.", file=sys.stderr)
        return
    with tempfile.TemporaryDirectory() as scans:
        for name in SIZES:
            told = written(Path(scans), name)
            mine = step("ours", str(told["file"]))
            line = {"case": name, "triangles": told["triangles"], "ours_s": round(mine["seconds"], 3),
                    "peak_mb": round(mine["peak_mb"], 1), **judged(mine["found"], told)}  # fmt: skip
            print(json.dumps(line), flush=True)
        subprocess.run([asked.python, asked.peers / "run_peers.py", scans, *asked.names], check=True)


if __name__ == "__main__":
    main()
