"""Hostile files in bulk through the command line: `python tests/corpus/sweep.py --many 600 [--files DIR]`.

Sound files of every kind (made by the tests; with --files also a folder's own) are damaged by seed (damaged.py) and
read by the command `read`, which reads each in a process with limits. Of each, one of these must be true: exit 0 with
one JSON document in which every number is finite; exit 2 with one line and nothing on standard output. Anything else
is printed with its seed and the file is kept. Not part of the unit tests: what failed once stands in test_seeds.py.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import math
import resource
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.corpus.damaged import WAYS, damaged

LIMIT_WORDS = ("and was ended", "the reader broke on it")  # of workers.running
LARGEST = 2_000_000


@dataclass(frozen=True, slots=True)
class Outcome:
    """One hostile file and what came of it. fault: what is wrong with the answer, or nothing."""

    name: str
    way: str
    status: int
    said: str
    seconds: float
    fault: str


def sound_files() -> dict[str, bytes]:
    """Sound files of every kind that the tests make."""
    from tests.part.files.test_meshes import WELL
    from tests.part.flat.test_hostile import SEED
    from tests.part.solid import made

    hole = made.cylinder(8, -1, 30, at=(10, 5))
    block = made.cut(made.box((-30, -20, 0), (30, 20, 15)), hole, made.box((-20, -10, 9), (0, 10, 20)))
    return {
        "shaft.step": made.step(made.stepped_shaft()),
        "block.step": made.step(block),
        "twice.step": made.step(made.compound(block, block)),
        "plate.dxf": SEED,
        **{name.replace(" ", "_"): data for name, data in WELL.items()},
    }


def hostile_files(sound: dict[str, bytes], many: int, seed: int) -> Iterator[tuple[str, str, bytes]]:
    """Name, way and bytes; each kind of file in turn, then each file of that kind."""
    by_kind: dict[str, list[str]] = {}
    for name in sorted(sound):
        by_kind.setdefault(Path(name).suffix.lower().replace(".stp", ".step"), []).append(name)
    kinds = sorted(by_kind)
    for i in range(many):
        kind = kinds[i % len(kinds)]
        names = by_kind[kind]
        name = names[(i // len(kinds)) % len(names)]
        way, data = damaged(sound[name], kind, seed + i)
        yield f"{Path(name).stem}-{seed + i}{Path(name).suffix}", way, data


def finite(value: object) -> bool:
    """Whether every number in a JSON document is one."""
    if isinstance(value, dict):
        return all(map(finite, value.values()))
    if isinstance(value, list | tuple):
        return all(map(finite, value))
    return not isinstance(value, float) or math.isfinite(value)


def fault_of(status: int, out: str, said: str) -> str:
    """What breaks the contract, or nothing."""
    if status == 0:
        try:
            return "" if finite(json.loads(out)) else "a number that is none"
        except json.JSONDecodeError:
            return "not one JSON document"
    if status == 2:
        lines = [line for line in said.splitlines() if line.strip()]
        if out:
            return "something on standard output"
        return "" if len(lines) == 1 and len(lines[0]) < 400 else f"{len(lines)} lines"
    return f"exit {status}"


def read_one(path: Path) -> tuple[int, str, str, float]:
    """The command `read` on one file, as mm where it names no unit: exit status, both streams, seconds."""
    from steadyrest.cli.main import status

    out, told = io.StringIO(), io.StringIO()
    began = time.monotonic()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(told):
        came_to = status(["read", str(path), "--json", "--unit", "mm", "--now", "2026-01-05T08:00+01:00"])
    return came_to, out.getvalue(), told.getvalue(), time.monotonic() - began


def run(many: int, seed: int, files: Path | None, keep: Path) -> list[Outcome]:
    """Damage, read, judge; failures are printed at once and kept in a folder."""
    sound = sound_files()
    if files is not None:
        found = [p for p in sorted(files.rglob("*")) if p.suffix.lower() in WAYS and p.stat().st_size < LARGEST]
        sound |= {p.name: p.read_bytes() for p in found}
    outcomes: list[Outcome] = []
    with tempfile.TemporaryDirectory() as folder:
        for name, way, data in hostile_files(sound, many, seed):
            path = Path(folder) / name
            path.write_bytes(data)
            came_to, out, told, seconds = read_one(path)
            said = (told.strip().splitlines() or [""])[-1]
            fault = fault_of(came_to, out, told if came_to == 2 else said)
            outcomes.append(Outcome(name, way, came_to, said, seconds, fault))
            if fault or any(word in said for word in LIMIT_WORDS):
                keep.mkdir(parents=True, exist_ok=True)
                (keep / name).write_bytes(data)
                print(
                    f"{name}  [{way}]  exit {came_to}  {fault or 'ended by its limits'}  {seconds:.0f} s  {said}",
                    flush=True,
                )
            path.unlink()
    return outcomes


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--many", type=int, default=600)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--files", type=Path, help="a folder of sound files besides")
    asked.add_argument("--keep", type=Path, default=Path(tempfile.gettempdir()) / "hostile", help="where failures go")
    given = asked.parse_args()
    outcomes = run(given.many, given.seed, given.files, given.keep)
    print("kind     files  answered  one line  limits  faults  longest s")
    for kind in sorted({Path(o.name).suffix for o in outcomes}):
        some = [o for o in outcomes if o.name.endswith(kind)]
        came_to = Counter(o.status for o in some)
        limits = sum(any(word in o.said for word in LIMIT_WORDS) for o in some)
        faults = sum(bool(o.fault) for o in some)
        longest = max(o.seconds for o in some)
        print(f"{kind:7} {len(some):6} {came_to[0]:9} {came_to[2]:9} {limits:7} {faults:7} {longest:10.1f}")
    mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1000
    print(f"most memory that one reading took: {mb:.0f} MB")
    return 1 if any(o.fault for o in outcomes) else 0


if __name__ == "__main__":
    sys.exit(main())
