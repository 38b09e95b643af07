"""How well times are estimated without a toolpath: against written paths, driven by the kinematics of program/timing.

    python -m tests.scoring.routes [--pockets 240] [--profiles 100] [--seed 21] [--write]

The estimate sees figures of geometry only (area, boundary, narrowest way, corners, islands; diameters and lengths); the
referee writes the whole path (tests/oracles/mill_paths.py, turn_paths.py) and times every block of it. Both drive the
same feed, step and depth on the same machine, so what is judged is the path that the estimate never sees. The model was
built looking at seeds 1 and 2; seed 21 judges it. `--write` puts the table into docs/times.md.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Callable
from functools import partial
from pathlib import Path

from steadyrest.shop.floor import Tool
from steadyrest.stations.mill.spindles import Place
from tests.scoring.judged import HEADS, Case, told
from tests.scoring.mill_times import facing, holed, ledge, place_of, pocket, tool_of, wall
from tests.scoring.turn_times import profile

PAGE = Path(__file__).resolve().parent.parent.parent / "docs" / "times.md"
BEGIN, END = "<!-- measured: python -m tests.scoring.routes --write -->", "<!-- end of what is measured -->"
Make = Callable[[random.Random, Place, Tool], Case]


def milled(make: Make, name: str, count: int, seed: int, corner_mm: float | None = None) -> list[Case]:
    """So many cases of a family, each from a luck of its own."""
    found: list[Case] = []
    for number in range(count):
        luck = random.Random(f"{seed} {name} {number}")
        found.append(make(luck, place_of(luck, corner_mm=corner_mm), tool_of(luck)))
    return found


def profiles(count: int, seed: int, kind: str) -> list[Case]:
    """So many turned sides on controlled lathes, or by hand."""
    found: list[Case] = []
    number = 0
    while len(found) < count:
        case = profile(random.Random(f"{seed} profile {number}"))
        number += 1
        if case is not None and case.kind == kind:
            found.append(case)
    return found


def table(pockets: int, sides: int, seed: int) -> list[tuple[str, ...]]:
    """Every family's row."""
    many = partial(milled, count=pockets, seed=seed)
    return [
        told("pockets, corners counted; the control stops at them", many(pocket, "pocket")),
        told("the same pockets, corners not counted", many(partial(pocket, counted=False), "pocket")),
        told("the same pockets, figures from a grid as a plan has them", many(partial(pocket, gridded=True), "pocket")),
        told("the same pockets, the control rounds corners by 0.02 mm", many(pocket, "pocket", corner_mm=0.02)),
        told("walls of pockets, once round", many(wall, "wall")),
        told("ledges open to the side, in rows", many(ledge, "ledge")),
        told("faces in rows", many(facing, "facing")),
        told("drilled holes in depth cycles", many(holed, "holed")),
        told("turned sides, controlled", profiles(sides, seed, "controlled")),
        told("turned sides, by hand", profiles(sides, seed, "by hand")),
    ]


def written(rows: list[tuple[str, ...]]) -> str:
    lines = [HEADS, ("---",) * len(HEADS), *rows]
    return "\n".join("| " + " | ".join(row) + " |" for row in lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pockets", type=int, default=240)
    parser.add_argument("--profiles", type=int, default=100)
    parser.add_argument("--seed", type=int, default=21)
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args()
    shown = written(table(asked.pockets, asked.profiles, asked.seed))
    print(shown)
    if asked.write:
        page = PAGE.read_text(encoding="utf-8")
        before, after = page.split(BEGIN)[0], page.split(END)[1]
        PAGE.write_text(f"{before}{BEGIN}\n\n{shown}\n\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
