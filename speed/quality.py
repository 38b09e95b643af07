"""Quality against time, ours beside peers, in one run: nests and cutting lists.

`python speed/quality.py nest --peers DIR --python PYTHON --seconds 5,20 FILE...`: public strips and plates (see
nest.py). Each peer script of DIR runs by itself with its limit; ours is then given the processor seconds of the peer
that took most of those that used their limit up, or the limit where none did. `cut --peers DIR --python PYTHON
--seconds 2,8,30 FILE...`: lists with a known optimum, by the wall, one after the other. Each line of JSON is one point;
add --add LINES to keep them too, so that a long measurement may be made in parts. `draw LINES OUT.svg` makes the
picture of all that were kept; with --optima, of cutting lists.
"""

from __future__ import annotations

import argparse
import csv
import json
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

from _plot import Panel, picture

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

STRIP_PEERS = (("strip packer", "nest_spyrrow.py"), ("no-fit polygons", "nest_u_nesting.py"))
PLATE_PEERS = (("tree search", "nest_packingsolver.py"), ("no-fit polygons", "nest_u_nesting.py"))
CUT_PEERS = (
    ("column generation", "peer_colgen.py"), ("constraints", "peer_cpsat.py"), ("one program", "peer_scipy.py"),
    ("best fit", "peer_bestfit.py"),
)  # fmt: skip
BEST_PUBLISHED = {
    "albano": 89.821, "fu": 92.396, "gardeyn1": 90.23, "gardeyn5": 70.55, "gardeyn7": 87.015, "jakobs1": 89.247,
    "shapes0": 69.978, "shirts": 90.92, "swim": 79.826, "trousers": 92.615,
}  # fmt: skip
AIM_PLATES = 96.7


def asked_of(command: list[str], folder: Path, seconds: float) -> tuple[dict[str, object] | None, float]:
    """A peer's line, None where it gave none, and how long it took by the wall."""
    begun = time.perf_counter()
    try:
        ran = subprocess.run(command, capture_output=True, text=True, check=False, timeout=3 * seconds + 60, cwd=folder)
    except subprocess.TimeoutExpired:
        return None, time.perf_counter() - begun
    took = time.perf_counter() - begun
    lines = [line for line in ran.stdout.splitlines() if line.startswith("{")]
    return (json.loads(lines[-1]) if lines else None), took


def nest_points(file: Path, seconds: float, folder: Path, python: str) -> Iterator[dict[str, object]]:
    """One case at one limit: the peers, then ours with the most processor seconds that one of them took."""
    import nest

    plates = file.stem == "plates"
    most, key = 0.0, "area_found_pct" if plates else "density_pct"
    for name, script in PLATE_PEERS if plates else STRIP_PEERS:
        command = [python, str(folder / script), str(file), str(int(seconds))]
        told, took = asked_of(command, folder, seconds)
        if told is None or told.get(key) is None:
            yield {"case": file.stem, "who": name, "limit_s": seconds, "cpu_s": None, "quality": None}
            continue
        overlap = float(str(told.get("worst_overlap_pct_of_part", told.get("worst_overlap_mm2", 0))))
        cpu = float(str(told["cpu_s"]))
        if took >= 0.8 * seconds:  # one that ended by itself before its limit says nothing of how much there was
            most = max(most, cpu)
        yield {"case": file.stem, "who": name, "limit_s": seconds, "cpu_s": cpu, "quality": told[key],
               "overlap": overlap}  # fmt: skip
    given = most or seconds
    ours = nest.sheets(given, file) if plates else nest.strip(given, file)
    value = float(str(ours["area_placed_pct"])) if plates else 100 * float(str(ours["density"]))
    whole = not ours.get("not_placed") and not ours["faults"]
    yield {"case": file.stem, "who": "ours", "limit_s": seconds, "cpu_s": round(given, 2),
           "quality": round(value, 2) if whole else None, "overlap": ours["faults"]}  # fmt: skip


def cut_points(file: Path, seconds: float, folder: Path, python: str) -> Iterator[dict[str, object]]:
    """One list at one limit, in bars: ours, proven or not, and the peers."""
    from cut import timed

    from steadyrest.stock.cutting.wanted import BarPart, BarPiece, CutWanted

    data = json.loads(file.read_text(encoding="utf-8"))
    rows = [(int(part["length"]), int(part["count"])) for part in data["pieces"]]
    many, nothing = sum(count for _, count in rows), Decimal(0)
    wanted = CutWanted(
        nothing, nothing, nothing, Decimal(10**6), nothing,
        tuple(BarPiece(f"R{k}", Decimal(data["stock_length"]), Decimal(1)) for k in range(many)),
        tuple(BarPart(f"P{k}", Decimal(mm), count) for k, (mm, count) in enumerate(rows)), "",
    )  # fmt: skip
    plan, took = timed(wanted, seconds)
    yield {"case": file.stem, "who": "ours", "limit_s": seconds, "cpu_s": round(took, 2), "quality": int(plan.cost),
           "proven": plan.proven}  # fmt: skip
    with tempfile.TemporaryDirectory() as scratch:
        text = Path(scratch) / "list.txt"
        lengths = [str(mm) for mm, count in rows for _ in range(count)]
        text.write_text("\n".join(["1", file.stem, f"{data['stock_length']} {many} 0", *lengths]), encoding="utf-8")
        for name, script in CUT_PEERS:
            command = [python, str(folder / script), "--file", str(text), "--seconds", str(seconds)]
            told, _ = asked_of(command, folder, seconds)
            took, bars = (told["seconds"], told["objective"]) if told else (None, None)
            yield {"case": file.stem, "who": name, "limit_s": seconds, "cpu_s": took, "quality": bars}


def warm() -> None:
    """A short list, so that everything is compiled before the time begins to count; the peers do so too."""
    from steadyrest.stock.cutting.plan import cut
    from steadyrest.stock.cutting.wanted import BarPart, BarPiece, CutWanted

    nothing = Decimal(0)
    pieces = tuple(BarPiece(f"R{k}", Decimal(100), Decimal(1)) for k in range(9))
    parts = tuple(BarPart(f"P{mm}", Decimal(mm), 3) for mm in (51, 34, 27, 18))
    cut(CutWanted(nothing, nothing, nothing, Decimal(10**6), nothing, pieces, parts, ""), lambda: 5.0)


def drawn(lines: Path, optima: dict[str, float], *, cutting: bool) -> str:
    """The picture of all points that were kept."""
    points: dict[str, dict[str, list[tuple[float, float]]]] = defaultdict(lambda: defaultdict(list))
    for line in lines.read_text(encoding="utf-8").splitlines():
        one = json.loads(line)
        if one["quality"] is not None:
            points[one["case"]][one["who"]].append((max(float(one["cpu_s"]), 0.02), float(one["quality"])))
    panels = list[Panel]()
    for case, who in points.items():
        best = optima.get(case) if cutting else BEST_PUBLISHED.get(case, AIM_PLATES)
        name = "optimum" if cutting else ("aim" if case == "plates" else "published")
        unit = "bars opened" if cutting else ("% of the area placed" if case == "plates" else "density, %")
        panels.append(Panel(case, who, (name, best) if best is not None else None, unit))
    return picture(panels, title="quality against time, ours beside peers")


def main() -> None:
    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("what", choices=("nest", "cut", "draw"))
    said.add_argument("files", nargs="+", type=Path)
    said.add_argument("--peers", type=Path)
    said.add_argument("--python", default=sys.executable)
    said.add_argument("--seconds", default="5,20")
    said.add_argument("--add", type=Path)
    said.add_argument("--optima", type=Path)
    asked = said.parse_args()
    if asked.what == "draw":
        optima = dict[str, float]()
        if asked.optima:
            with asked.optima.open(encoding="utf-8") as rows:
                optima = {row["instance"]: float(row["optimum_bars"]) for row in csv.DictReader(rows)}
        asked.files[1].write_text(drawn(asked.files[0], optima, cutting=bool(asked.optima)), encoding="utf-8")
        return
    from steadyrest.stock.nesting.plan import make_ready

    if asked.what == "nest":
        make_ready()
    else:
        warm()
    ask = nest_points if asked.what == "nest" else cut_points
    for file in asked.files:
        for seconds in map(float, asked.seconds.split(",")):
            for point in ask(file.resolve(), seconds, asked.peers.resolve(), asked.python):
                print(json.dumps(point), flush=True)
                if asked.add:
                    with asked.add.open("a", encoding="utf-8") as kept:
                        kept.write(json.dumps(point) + "\n")


if __name__ == "__main__":
    main()
