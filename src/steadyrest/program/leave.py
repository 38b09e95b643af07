"""May I leave it running? One program on one machine: read, timed, held against the machine and the stock, judged.

The answer is *yes* where nothing was found on a machine that may run alone; *yes if* where everything found has a cure
that leaves the program as it is (a new edge, a switch, a longer bar); else *no*. What could not be judged is a doubt
beside the answer and does not decide it.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from steadyrest.program.checks.hold_points import HoldPointFound, found
from steadyrest.program.findings.alone import alone, worst_first
from steadyrest.program.findings.bar import bar
from steadyrest.program.findings.coolant import coolant
from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.findings.hold_point import hold_points as hold_points_missing
from steadyrest.program.findings.speed import speed
from steadyrest.program.findings.stops import stops
from steadyrest.program.findings.text import doubted, text, unread_calls
from steadyrest.program.findings.tools import missing, worn
from steadyrest.program.findings.travel import travel
from steadyrest.program.night.left_standing import left_standing
from steadyrest.program.night.prohibited import Circumstance, cautions, not_said
from steadyrest.program.night.stretches import clock, first_stop_s, stretches
from steadyrest.program.night.survival import Edge, GoodParts, edges_of, night
from steadyrest.program.night.tool_life import EdgeEnd
from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.removal import blank as removal_blank
from steadyrest.program.removal.met import Met
from steadyrest.program.run import EventKind, FloatArray, Run
from steadyrest.program.timing.machine_time import MachineTiming, ToolTime, run_time, timing_of
from steadyrest.program.timing.time_spread import time_spread
from steadyrest.program.unsaid import unsaid
from steadyrest.program.with_stock import with_stock
from steadyrest.shop.draws import Luck
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Material
from steadyrest.shop.leaving import Bar, Blank, LeavingMachine, ProgramSaid

Answered = Literal["yes", "no", "yes if"]
Progress = Callable[[str, float], None]
Stop = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class LeavingAnswer:
    """Whether one program may be left running on one machine.

    program: its file's name. sha256: of the bytes that were judged. machine: as the shop file has it.
    run, blank, met: what moves, from what, and what it meets (None where nobody said what the blank is).
    time: the whole run. time_spread_s: nine in ten runs take longer than the first, one in ten longer than the second.
    move_s, event_s: (moves,) and (events,) seconds. tools: cutting time by tool, in the order of their calls.
    findings: what stands against it, those of no line first. may_leave: the answer.
    hold_points: checks that the program has. before_leaving: what to do first, cures of findings before the rest.
    good_parts: what to expect by morning; None where nothing is cut. left: what stays as it is when it stops.
    cautions: stand beside every answer. doubts: what could not be judged, and is not in the answer.
    edges: what is believed of each tool's edge, by number; those with a written life.
    """

    program: str
    sha256: str
    machine: LeavingMachine
    run: Run
    blank: Blank | None
    met: Met | None
    time: Figure
    time_spread_s: tuple[float, float]
    move_s: FloatArray
    event_s: FloatArray
    tools: tuple[ToolTime, ...]
    findings: tuple[Finding, ...]
    may_leave: Answered
    hold_points: tuple[HoldPointFound, ...]
    before_leaving: tuple[Reason, ...]
    good_parts: GoodParts | None
    left: tuple[Reason, ...]
    cautions: tuple[Reason, ...]
    doubts: tuple[Reason, ...]
    edges: Mapping[int, Edge]


@dataclass(frozen=True, slots=True)
class Known:
    """What is known besides the program's text.

    machine: it is to run on. said: what the shop file says of the program; None where it does not name it.
    metal: what is cut; None where nobody said. luck: the draws of the night. unit: of a file that names none,
    None where nobody said it.
    timing: the machine's constants, None for those of the shop file; fitted: from how many timed programs they come.
    past: (computed, actual) seconds of timed runs. ends: how edges ended so far, by tool.
    part: the finished part, in the program's work coordinates; None where nobody gave it.
    stops_seen: stops of this machine alone for other reasons than a tool so far, and in how many hours.
    """

    machine: LeavingMachine
    said: ProgramSaid | None
    metal: Material | None
    luck: Luck
    unit: Literal["mm", "in"] | None = None
    timing: MachineTiming | None = None
    fitted: int = 0
    past: tuple[tuple[float, float], ...] = ()
    ends: Mapping[int, Sequence[EdgeEnd]] | None = None
    part: removal_blank.MeshBlank | None = None
    stops_seen: tuple[float, float] = (0.0, 0.0)


def leave(source: bytes, name: str, known: Known, *, progress: Progress, stop: Stop) -> LeavingAnswer:
    """Whether a program may be left running.

    Args:
        source: the program file's bytes.
        name: the file's name, for messages and for the answer.
        known: machine, blank, metal, and the rest.
        progress: told what is being done and how far it is, 0 to 1.
        stop: asked now and then; True ends the work.
    Returns: the answer.
    Raises: BadInput: no NC program. InterruptedError: stop said so.
    """
    machine, said = known.machine, known.said
    run = read(source, dialect_of(machine, said, known.unit or "mm"), name=name, progress=progress, stop=stop)
    time = run_time(run, known.timing or timing_of(machine))
    case = Case(run, time, machine, said)
    cut = with_stock(case, known.metal, known.part, progress=progress, stop=stop)
    circumstance = _circumstance(known)
    ask_each = (stops, missing, worn, travel, speed, hold_points_missing, coolant, bar, text)
    against = [finding for ask in ask_each for finding in ask(case)]
    against += (*alone(case, circumstance), *cut.findings)
    unsized = known.unit is None and any(odd.kind == "units" for odd in run.odds)
    findings = worst_first(_caused(run, _sized(against) if unsized else against))
    spread = time_spread(time.total_s, known.past)
    edges = _edges(case, known)
    expected, words = _night(case, known, edges)
    changed = {dict(word.given).get("tool") for word in words if word.key == "night.change_tool"}
    cures = tuple(
        cure
        for cure in dict.fromkeys(finding.cure for finding in findings if finding.cure is not None)
        # To change a tool is said once, with what it brings.
        if not (cure.key == "tool_worn.change" and dict(cure.given).get("tool") in changed)
    )
    return LeavingAnswer(
        program=name,
        sha256=hashlib.sha256(source).hexdigest(),
        machine=machine,
        run=run,
        blank=said.blank if said else None,
        met=cut.met,
        time=Figure(time.total_s, "s", _time_why(run, time.event_s, spread.runs, known.fitted)),
        time_spread_s=(spread.p10_s, spread.p90_s),
        move_s=time.move_s,
        event_s=time.event_s,
        tools=time.tools,
        findings=findings,
        may_leave=may_leave(findings),
        hold_points=found(
            run,
            {tool.number: 0.5 * tool.diameter_mm for tool in machine.tools},
            lathe=machine.kind == "lathe",
        ),
        before_leaving=(*cures, *words, *cut.before_leaving),
        good_parts=expected,
        left=left_standing(run, lathe=machine.kind == "lathe"),
        cautions=cautions(),
        doubts=(
            *((because("leave.no_unit"),) if unsized else ()),
            *unsaid(case, cut.met),
            *cut.doubts,
            *_lives(case, edges),
            *doubted(case),
            *unread_calls(case),
            *not_said(circumstance),
        ),
        edges=edges,
    )


# What adds up over a run, and says nothing of one that has no end.
SUMMED = ("tool worn", "chips", "bar")
# What is worth nothing while nobody knows whether the program is in inches or millimetres.
HANGS_ON_UNIT = (
    "travel", "rapid", "holder", "overload", "tool worn", "speed", "arc", "hold point", "dead spindle", "collision",
    "gouge", "chips",
)  # fmt: skip


def _sized(against: Sequence[Finding]) -> list[Finding]:
    """Findings that stand whatever the unit is."""
    return [finding for finding in against if finding.kind not in HANGS_ON_UNIT]


def _caused(run: Run, against: Sequence[Finding]) -> list[Finding]:
    """Findings but those that only a run without end brings about."""
    endless = any(odd.kind == "loop" for odd in run.odds)
    return [finding for finding in against if not (endless and finding.kind in SUMMED)]


def may_leave(findings: Sequence[Finding]) -> Answered:
    """The answer that follows from what was found.

    Args:
        findings: everything that stands against it.
    Returns: "yes" with none, "yes if" where each has a cure that needs no change of the program, else "no".
    """
    if not findings:
        return "yes"
    return "yes if" if all(finding.cure is not None for finding in findings) else "no"


def dialect_of(machine: LeavingMachine, said: ProgramSaid | None, unit: Literal["mm", "in"] = "mm") -> Dialect:
    """How this machine's control understands words.

    Args:
        machine: as the shop file has it.
        said: what it says of the program: a bar tells how often a main program may begin anew.
        unit: until a word names one.
    Returns: the dialect.
    """
    return Dialect(
        kind=machine.kind,
        inch_word=machine.inch_word,
        metric_word=machine.metric_word,
        unit_at_start=unit,
        x_is_diameter=machine.x_is_diameter,
        tool_word="TTOO" if machine.tool_word == "TTOO" else "T",
        dwell=machine.dwell,
        speed_clamp_words=machine.speed_clamp_words,
        peck_clear_mm=machine.peck_clear_mm,
        optional_stop=machine.optional_stop_switch,
        hold_point_calls=machine.hold_point_calls,
        library=machine.library,
        extra_words=machine.extra_words,
        bar_word=machine.bar_feed.word if machine.bar_feed else "",
        arc_tolerance_mm=machine.arc_tolerance_mm,
        offsets_mm=machine.offsets_mm,
        tool_radius_mm=_radii(machine),
        tool_length_mm={tool.number: tool.length_mm for tool in machine.tools if tool.length_mm},
        main_passes=_passes(machine, said.bar if said else None),
    )


def _radii(machine: LeavingMachine) -> dict[int, float]:
    """What D holds in the control, where the shop file says what sort of radius that is."""
    if not machine.compensation:
        return {}
    whole = machine.compensation == "radius"
    return {
        tool.number: 0.5 * tool.diameter_mm if whole else 0.0
        for tool in machine.tools
        if tool.diameter_mm > 0 or not whole
    }


def _passes(machine: LeavingMachine, there: Bar | None) -> int:
    if there is None or machine.bar_feed is None:
        return 1
    return max(1, math.floor((there.length_mm - machine.bar_feed.rest_mm) / there.per_part_mm + 1e-9))


def _circumstance(known: Known) -> Circumstance:
    said = known.said or ProgramSaid("")
    return Circumstance(
        metal=known.metal,
        proved=said.proved,
        coolant=said.coolant,
        holding=said.holding,
        pressure_switch=said.pressure_switch,
    )


def _edges(case: Case, known: Known) -> dict[int, Edge]:
    """What is believed of the edges of the machine's tools."""
    group = known.metal.group if known.metal else None
    return edges_of(case.machine.tools, metal_group=group, ends=known.ends)


def _night(case: Case, known: Known, edges: Mapping[int, Edge]) -> tuple[GoodParts | None, tuple[Reason, ...]]:
    """What to expect by morning; nothing where nothing is cut."""
    cut = stretches(case.run, case.time.move_s, case.time.event_s)
    if not cut:
        return None, ()
    begins_s = clock(case.run, case.time.move_s, case.time.event_s)
    stop_after_s = first_stop_s(case.run, begins_s, switch_on=case.machine.optional_stop_switch)
    expected = night(cut, edges, luck=known.luck, stop_after_s=stop_after_s, stops_seen=known.stops_seen)
    return expected.good, expected.before_leaving


def _time_why(run: Run, event_s: FloatArray, runs: int, fitted: int) -> tuple[Reason, ...]:
    changes = sum(event.kind == EventKind.TOOL_CHANGE for event in run.events)
    waits_s = math.fsum(float(s) for event, s in zip(run.events, event_s, strict=True) if event.kind == EventKind.DWELL)
    return (
        because("leave.time", moves=f"{len(run.moves)}", changes=f"{changes}", waits_s=waits_s),
        because("leave.spread_some", runs=f"{runs}") if runs else because("leave.spread_none"),
        *((because("leave.fitted", programs=f"{fitted}"),) if fitted else ()),
    )


def _lives(case: Case, edges: Mapping[int, Edge]) -> tuple[Reason, ...]:
    """That tools without a written life are taken to last, where there are such."""
    unknown = [f"T{one.number}" for one in case.time.tools if one.cut_s > 0 and one.number not in edges]
    return (because("night.no_life", tools=", ".join(unknown)),) if unknown else ()
