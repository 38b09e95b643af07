"""The time of a step from its program, once there is one: the program's own run in place of the estimated cut.

What hands do at the machine stays as it was estimated. The first part runs slowly and is looked at as before, by its
own factor. The rest of the lot runs as the program says, and is no less sure than a program is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from steadyrest.shop.figure import Figure, because
from steadyrest.shop.work import Phase, Step

READY, FIRST = "set up", "first part"
CUT, TRAVEL, HANDS, PROVED = "time.cut", "time.travel", "time.hands", "time.first"
LEAST_S = 1.0


@dataclass(frozen=True, slots=True)
class StepProgram:
    """A program that makes a step. run_s: one run of it; parts: good parts of one run; spread: sd of ln(run).

    good: parts to expect by morning where it runs alone, on average; whole: the chance that all are made; None: not
    said. leave: the answer of the leaving check, "yes", "no" or "yes if"; "": not said. holds: checks in it that stop.
    """

    program: str
    run_s: float
    parts: int
    spread: float
    good: float | None = None
    whole: float | None = None
    leave: str = ""
    holds: int | None = None

    def __post_init__(self) -> None:
        if not self.run_s > 0 or self.parts < 1 or self.spread < 0:
            raise ValueError(f"StepProgram: run {self.run_s!r} s, {self.parts!r} parts or spread {self.spread!r}")

    @property
    def each_s(self) -> float:
        """What a part takes."""
        return self.run_s / self.parts


def estimated_run_s(step: Step) -> float | None:
    """Cutting and getting there of one part, as estimated; None where the step does not say it."""
    found = {one.why[0].key: one.value for one in step.split if one.why}
    return found[CUT] + found.get(TRAVEL, 0.0) if CUT in found else None


def with_program(step: Step, program: StepProgram, *, quantity: int) -> Step:
    """The step with its program's time.

    Args:
        step: as planned for the lot.
        program: of this step.
        quantity: parts in the lot; at least 1.
    Returns: the step, each phase that runs on the machine longer or shorter by what the program differs; as it was
        where nothing on it says what a part's run was thought to take.
    """
    was_s = estimated_run_s(step)
    if was_s is None:
        return step
    differs_s = program.each_s - was_s
    runs = [n for n, phase in enumerate(step.phases) if phase.name not in (READY, FIRST) and _runs(phase)]
    first = next((n for n, phase in enumerate(step.phases) if phase.name == FIRST), None)
    others = quantity - (first is not None)
    total_s = sum(step.phases[n].duration_s.value for n in runs)
    phases = list(step.phases)
    if first is not None:
        phases[first] = _moved(phases[first], differs_s * _factor(step), program, was_s, step.phases[first].spread)
    for n in runs:
        phase = phases[n]
        share = phase.duration_s.value / total_s if total_s > 0 else 1.0 / len(runs)
        phases[n] = _moved(phase, differs_s * others * share, program, was_s, _spread(step, phase, program))
    return replace(step, phases=tuple(phases))


def _runs(phase: Phase) -> bool:
    """Whether the machine runs in it; loading is hands alone."""
    return not phase.name.startswith("load ")


def _factor(step: Step) -> float:
    """How many times as long the first part runs."""
    found = next((one for one in step.split if one.why and one.why[0].key == PROVED), None)
    factor = dict(found.why[0].given).get("factor", 1.0) if found is not None else 1.0
    return float(factor) if isinstance(factor, float | int) else 1.0


def _spread(step: Step, phase: Phase, program: StepProgram) -> float:
    """The program's part by its own spread, the hands' part by theirs; never less sure than it was."""
    found = {one.why[0].key: one for one in step.split if one.why}
    hands_s = found[HANDS].value if phase.who and HANDS in found else 0.0
    theirs = dict(found[HANDS].why[0].given).get("spread", 0.0) if HANDS in found else 0.0
    of_hands = hands_s / (hands_s + program.each_s) * (float(theirs) if isinstance(theirs, float | int) else 0.0)
    of_program = program.each_s / (hands_s + program.each_s) * program.spread
    return min(phase.spread, math.hypot(of_hands, of_program))


def _moved(phase: Phase, by_s: float, program: StepProgram, was_s: float, spread: float) -> Phase:
    why = because("promise.by_program", program=program.program, each_s=program.each_s, was_s=was_s)
    takes = Figure(max(phase.duration_s.value + by_s, LEAST_S), "s", (why, *phase.duration_s.why))
    return replace(phase, duration_s=takes, spread=spread)
