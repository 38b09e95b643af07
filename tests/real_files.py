"""Run the command line on a folder of files by others and print what it made of each: `python run.py real DIR`.

Every file is read (a file without units once more with the unit given here), and planned if it is a turned part.
Nothing here judges: a person does, beside the folder's own notes. It goes on after every failure, and leaves with 1 if
one of them was the program's own fault.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

KINDS = (".stl", ".ply", ".obj", ".3mf", ".step", ".stp", ".dxf")
SIZES = ("diameter_mm", "width_mm", "depth_mm", "length_mm", "radius_mm")
NOW, DUE = "2026-11-26T08:00+01:00", "2026-12-04T16:00+01:00"
HEADINGS = ("file", "exit", "s", "kind", "unit", "turned", "features", "first sizes", "take", "s")
WIDEST = (30, 4, 5, 5, 10, 6, 44, 30, 7, 5)
OUR_FAULT = 1


@dataclass(frozen=True, slots=True)
class Ran:
    """What one call came to. answer: the JSON document, or None; said: the last line on standard error."""

    status: int
    seconds: float
    answer: Mapping[str, object] | None
    said: str


Command = Callable[[Sequence[str]], Ran]


def steadyrest(words: Sequence[str], limit_s: float = 180.0) -> Ran:
    """Call the command line in a process of its own; an answer that is no JSON document counts as our fault."""
    began = time.monotonic()
    try:
        done = subprocess.run(
            [sys.executable, "-m", "steadyrest", *words], capture_output=True, text=True, timeout=limit_s, check=False
        )
    except subprocess.TimeoutExpired:
        return Ran(OUR_FAULT, time.monotonic() - began, None, f"no answer within {limit_s:.0f} s")
    seconds = time.monotonic() - began
    said = (done.stderr.strip().splitlines() or [""])[-1]
    if done.returncode:
        if done.stdout.strip():
            said += " (and something on standard output, where nothing belongs)"
        return Ran(done.returncode, seconds, None, said)
    try:
        answer = json.loads(done.stdout)
    except json.JSONDecodeError as trouble:
        return Ran(OUR_FAULT, seconds, None, f"standard output is not one JSON document: {trouble}")
    return Ran(0, seconds, answer, said)


@dataclass(frozen=True, slots=True)
class Asked:
    """How files are to be read: the unit of those that name none, with exceptions by file name; what to plan in."""

    unit: str = "mm"
    unit_of: tuple[tuple[str, str], ...] = ()
    material: str = "C45"
    plan: bool = True

    def unit_for(self, file: Path) -> str:
        return dict(self.unit_of).get(file.name, self.unit)


def rows(file: Path, asked: Asked, command: Command) -> Iterator[tuple[str, ...]]:
    """The lines of the table for one file: one, or two if it had to be told its unit."""
    told: list[str] = []
    read = command(["read", str(file), "--json"])
    if read.answer is not None and _unit_state(read.answer) == "ask":
        yield _row(file.name, read, None)
        told = ["--unit", asked.unit_for(file)]
        read = command(["read", str(file), "--json", *told])
        name = f"  in {told[1]}"
    else:
        name = file.name
    planned = None
    if asked.plan and read.answer is not None and read.answer.get("axisymmetric"):
        due = ["--material", asked.material, "--quantity", "1", "--due", DUE, "--now", NOW]
        planned = command(["plan", str(file), "--json", *due, *told])
    yield _row(name, read, planned)


def _row(name: str, read: Ran, planned: Ran | None) -> tuple[str, ...]:
    first = [name, str(read.status), f"{read.seconds:.1f}"]
    if read.answer is None:
        return (*first, read.said)
    features = read.answer.get("features")
    found = [f for f in features if isinstance(f, dict)] if isinstance(features, list) else []
    counts = Counter(str(f.get("kind", "no kind")) for f in found)
    cells = [
        str(read.answer.get("kind", "no kind")),
        _unit_state(read.answer),
        {True: "yes", False: "no"}.get(read.answer.get("axisymmetric"), "no key"),
        " ".join(f"{kind} {count}" for kind, count in sorted(counts.items())) or "none",
        ", ".join(_first_sizes(found)),
    ]
    if planned is None:
        return (*first, *cells)
    if planned.answer is None:
        return (*first, *cells, f"exit {planned.status}", f"{planned.seconds:.1f}", planned.said)
    take = planned.answer.get("take")
    answer = take.get("answer") if isinstance(take, dict) else None
    return (*first, *cells, str(answer or "no key"), f"{planned.seconds:.1f}")


def _unit_state(answer: Mapping[str, object]) -> str:
    unit = answer.get("unit")
    if not isinstance(unit, dict):
        return "no key"
    state = str(unit.get("state", "no key"))
    return state if state == "ask" else f"{unit.get('name')} {state}"


def _first_sizes(features: Sequence[Mapping[str, object]], most: int = 4) -> Iterator[str]:
    for feature in features:
        for key in SIZES:
            size = feature.get(key)
            if isinstance(size, int | float) and most > 0:
                most -= 1
                yield f"{size:.2f}"
                break


def line(cells: Sequence[str]) -> str:
    """One line of the table; a cell is cut to its column, except the last, which says why something failed."""
    *head, last = cells
    fitted = [_fit(cell, width) for cell, width in zip(head, WIDEST, strict=False)]
    return "  ".join([*fitted, last]).rstrip()


def _fit(cell: str, width: int) -> str:
    return cell.ljust(width) if len(cell) <= width else cell[: width - 1] + "…"


def files_in(place: Path) -> list[Path]:
    return [place] if place.is_file() else sorted(p for p in place.rglob("*") if p.suffix.lower() in KINDS)


def _named_unit(text: str) -> tuple[str, str]:
    name, _, unit = text.partition("=")
    if unit not in ("mm", "in", "m"):
        raise argparse.ArgumentTypeError(f"{text!r} is not NAME=mm, NAME=in or NAME=m")
    return name, unit


def main(words: Sequence[str], command: Command = steadyrest) -> int:
    """Print the table for a folder; returns 0, or 1 if any call was the program's own fault."""
    whole = argparse.ArgumentParser(prog="run.py real", description=__doc__)
    whole.add_argument("dir", type=Path, metavar="DIR", help="a folder (with those in it), or one file")
    whole.add_argument("--unit", choices=("mm", "in", "m"), default="mm", help="of files that name none; default mm")
    whole.add_argument(
        "--unit-of", type=_named_unit, action="append", default=[], metavar="NAME=UNIT", help="of one file"
    )
    whole.add_argument("--material", default="C45", help="what turned parts are planned in; default C45")
    whole.add_argument("--no-plan", action="store_true", help="only read")
    told = whole.parse_args(words)
    asked = Asked(told.unit, tuple(told.unit_of), told.material, plan=not told.no_plan)
    found = files_in(told.dir)
    if not found:
        print(f"{told.dir}: no file that can be read ({' '.join(KINDS)}) is in it.", file=sys.stderr)
        return 2
    print(line(HEADINGS))
    faults = 0

    def counted(call: Sequence[str]) -> Ran:
        nonlocal faults
        ran = command(call)
        faults += ran.status not in (0, 2)
        return ran

    for file in found:
        for cells in rows(file, asked, counted):
            print(line(cells), flush=True)
    print(f"files: {len(found)}; calls that failed by the program's own fault: {faults}")
    return OUR_FAULT if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
