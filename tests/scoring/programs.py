"""How the leaving check does on programs that were made up: faults found, false alarms, time against the plain clock.

    python -m tests.scoring.programs --count 20 --seed 1

Each draw is asked clean, with every fault, and with every legal variant. A fault counts as found by its kind and line.
Whatever of the contract's kinds was not planted is a false alarm; so is a clean or legal program that gets no yes.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from dataclasses import dataclass, field

from steadyrest.desk.night.leave import ShopText, leave_bytes
from steadyrest.program.leave import LeavingAnswer
from tests.forward.programs import FILE, MACHINE, WRITERS, Made

CONTRACT_KINDS = frozenset((
    "stop", "tool missing", "tool worn", "travel", "speed", "hold point", "coolant", "word", "units", "arc",
    "subprogram", "feed", "rapid", "bar",
))  # fmt: skip
# The plain clock knows no lost calls, no missing feed or unit, and no arc that does not close.
NOT_CLOCKED = ("subprogram", "arc", "feed", "units", "speed without")


def asked(made: Made) -> LeavingAnswer:
    """The leaving check's answer to a program that was made up."""
    return leave_bytes(
        made.text.encode(),
        FILE,
        machine=MACHINE,
        shop=ShopText(made.floor.toml(), "shop.toml"),
        progress=lambda _what, _share: None,
        stop=lambda: False,
    )


def clocked(twist: str) -> bool:
    return not twist.startswith(NOT_CLOCKED)


@dataclass
class Score:
    planted: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    asked: int = 0
    false_alarms: list[str] = field(default_factory=list)
    no_yes: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    time_off: float = 0.0
    cut_off: float = 0.0

    def take(self, made: Made, twist: str) -> None:
        """Judge one answer."""
        answer = asked(made)
        self.asked += 1
        got = [(one.kind, one.line) for one in answer.findings]
        if made.wanted is not None:
            self.planted[made.wanted[0]] += 1
            if made.wanted in got and answer.may_leave != "yes":
                self.found[made.wanted[0]] += 1
            else:
                self.missed.append(f"{made.name}: wanted {made.wanted}, got {got}")
        elif answer.may_leave != "yes":
            self.no_yes.append(f"{made.name}: {got}")
        extra = [one for one in got if one != made.wanted and one[0] in CONTRACT_KINDS]
        if extra:
            self.false_alarms.append(f"{made.name}: {extra}")
        if clocked(twist):
            total, cut = made.time()
            self.time_off = max(self.time_off, abs(answer.time.value / total - 1))
            mine = {tool.number: tool.cut_s for tool in answer.tools}
            off = [abs(mine.get(number, 0.0) / seconds - 1) for number, seconds in cut.items() if seconds > 0]
            self.cut_off = max(self.cut_off, *off)


def score(count: int, seed: int) -> Score:
    """The score over so many draws of each writer."""
    total = Score()
    for write, twists in WRITERS.values():
        for draw in range(seed, seed + count):
            for twist in twists:
                total.take(write(draw, twist), twist)
    return total


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    told = parser.parse_args()
    total = score(told.count, told.seed)
    for line in (*total.missed, *total.false_alarms, *total.no_yes):
        print(line)
    summary = {
        "programs": total.asked,
        "planted": total.planted.total(),
        "found": total.found.total(),
        "false_alarms": len(total.false_alarms),
        "clean_without_yes": len(total.no_yes),
        "time_off_most": round(total.time_off, 6),
        "cut_off_most": round(total.cut_off, 6),
        "by_kind": {kind: [total.found[kind], planted] for kind, planted in sorted(total.planted.items())},
    }
    print(json.dumps(summary))


if __name__ == "__main__":
    main()
