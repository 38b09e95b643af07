"""The leaving check on the command line: its document and its lines in words."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json, number, sentences
from steadyrest.desk.night.step_program import StepTimed
from steadyrest.papers.leaving_words import parts_words, tool_rows
from steadyrest.papers.said import sentence
from steadyrest.program.findings.finding import Finding
from steadyrest.program.leave import LeavingAnswer
from steadyrest.program.leaving_beside import beside
from steadyrest.shop.figure import because
from steadyrest.units import show_time
from steadyrest.wording.say import Reader, say

READER = Reader()


def leave_answer(answer: LeavingAnswer, *, example: bool) -> dict[str, Json]:
    """The answer, as `leave --json` prints it.

    Args:
        answer: from the desk.
        example: nobody named a shop file, so the invented shop stood in.
    Returns: the contract's section 1 document.
    """
    good = answer.good_parts
    return {
        "time_s": number(answer.time.value),
        "time_spread_s": [number(seconds) for seconds in answer.time_spread_s],
        "tools": [{"number": tool.number, "cut_s": number(tool.cut_s)} for tool in answer.tools],
        "findings": [finding_answer(finding) for finding in answer.findings],
        "may_leave": answer.may_leave,
        "hold_points": [
            {"line": point.line, "after_tool": point.after_tool, "checks": say(point.checks)}
            for point in answer.hold_points
        ],
        "before_leaving": sentences(answer.before_leaving),
        "good_parts": None if good is None else {"p50": good.p50, "p90": good.p90, "of": good.parts},
        "left": sentences(answer.left),
        "cautions": sentences(answer.cautions),
        "doubts": doubts(answer, example=example),
        "program": answer.program,
        "sha256": answer.sha256,
        "machine": answer.machine.name,
        "unit": answer.run.unit,
        "lines": answer.run.lines,
    }


def finding_answer(finding: Finding) -> Json:
    return {
        "kind": finding.kind,
        "line": finding.line,
        "what": say(finding.what),
        "do": say(finding.do),
        "cure": None if finding.cure is None else say(finding.cure),
    }


def doubts(answer: LeavingAnswer, *, example: bool) -> list[Json]:
    """What could not be judged, the invented shop first."""
    return [*([say(because("leave.example_shop"))] if example else []), *sentences(answer.doubts)]


def leave_lines(answer: LeavingAnswer, *, example: bool) -> Iterator[str]:
    """The answer in words.

    Args:
        answer: from the desk.
        example: nobody named a shop file, so the invented shop stood in.
    Returns: lines, the answer first, its cautions beside it.
    """
    aside = beside(answer)
    low_s, high_s = answer.time_spread_s
    yield f"May I leave {answer.program} running on {answer.machine.name}? {answer.may_leave}"
    yield from (f"  Caution: {sentence(caution, READER)}" for caution in answer.cautions)
    between = f"{show_time(low_s)} and {show_time(high_s)}"
    yield f"It runs {show_time(answer.time.value)}; eight times in ten between {between}"
    for finding in answer.findings:
        where = f"line {finding.line}: " if finding.line is not None else ""
        yield f"  {finding.kind}: {where}{sentence(finding.what, READER)} {sentence(finding.do, READER)}"
    if answer.before_leaving:
        yield "Before you leave"
        yield from (f"  {say(reason)}" for reason in answer.before_leaving)
    yield "By morning"
    yield from (f"  {line}" for line in parts_words(answer, READER))
    for tool in tool_rows(answer, aside):
        lasts = f", odds that it lasts {tool.lasts}" if tool.lasts else ""
        yield f"  T{tool.number} ({tool.name}) cuts {tool.cuts}; left of its life: {tool.left}{lasts}"
    yield from (f"  {say(reason)}" for reason in aside.relies)
    if answer.hold_points or aside.advised:
        yield "Hold points"
        yield from (f"  line {point.line}: {say(point.checks)}" for point in answer.hold_points)
        yield from (f"  would pay: {say(one.said)}" for one in aside.advised)
    if answer.left:
        yield "When it stops"
        yield from (f"  {say(reason)}" for reason in answer.left)
    if unsure := doubts(answer, example=example):
        yield "Not judged"
        yield from (f"  {doubt}" for doubt in unsure)


def step_answer(timed: StepTimed, job: int) -> Json:
    """The step that the program makes, as `leave --job --step` prints it."""
    return {
        "job": job, "step": timed.step, "number": timed.number, "each_s": number(timed.program.each_s),
        "estimated_s": number(timed.was_s), "parts": timed.program.parts, "spread": number(timed.program.spread),
    }  # fmt: skip


def step_line(timed: StepTimed, job: int) -> str:
    """The same in words."""
    each = show_time(timed.program.each_s)
    was = f"; the estimate was {show_time(timed.was_s)}" if timed.was_s is not None else ""
    return f"The week counts with it from now on: job {job}, step {timed.step}: {each} a part{was}."
