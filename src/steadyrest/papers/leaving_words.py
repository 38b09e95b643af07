"""The leaving check in words, as page and paper both show it; and its two pictures."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest import units
from steadyrest.papers.drawing.path_picture import StopOnPath, ToolOnPath, path_svg
from steadyrest.papers.drawing.time_strip import strip_svg
from steadyrest.papers.said import sentence, sentences
from steadyrest.program.leave import LeavingAnswer
from steadyrest.program.leaving_beside import Beside
from steadyrest.program.night.left_standing import stops_at
from steadyrest.shop.figure import Reason
from steadyrest.shop.leaving import LeavingTool
from steadyrest.wording import moments
from steadyrest.wording.say import Reader

ANSWERS = {"yes": "Yes", "no": "No", "yes if": "Yes, if"}
# Lines of one kind after these are told as a number: a program with a thousand of them has one fault, not a thousand.
MOST_OF_A_KIND = 12
# A doubt that stands beside the odds instead of at the end: it is what they rest on.
NO_LIFE = "night.no_life"
# What leaves the odds of tools and stops as they are; after anything else they would mislead.
ODDS_STAND = frozenset({"alone", "stop", "tool worn", "bar", "hold point"})


@dataclass(frozen=True, slots=True)
class FindingRow:
    """line: in words, "" where no line is meant."""

    kind: str
    line: str
    what: str
    do: str


@dataclass(frozen=True, slots=True)
class ToolRow:
    """A tool in the run. left: of its written life, after what it has cut. lasts: the odds that its edge does."""

    number: str
    name: str
    cuts: str
    left: str
    lasts: str


@dataclass(frozen=True, slots=True)
class CheckRow:
    """A hold point of the program."""

    line: str
    after: str
    says: str


@dataclass(frozen=True, slots=True)
class LeavingWords:
    """The answer in words.

    answer: "Yes", "No", "Yes, if". because: one line under it. checked: when. mark: the file by its hash, in few signs.
    parts: what to expect by morning, line by line. left: how it stands when it stops.
    """

    program: str
    machine: str
    answer: str
    because: str
    checked: str
    mark: str
    time: str
    parts: tuple[str, ...]
    cautions: tuple[str, ...]
    before_leaving: tuple[str, ...]
    findings: tuple[FindingRow, ...]
    more_findings: str
    tools: tuple[ToolRow, ...]
    checks: tuple[CheckRow, ...]
    relies: tuple[str, ...]
    checks_worth: tuple[str, ...]
    left: tuple[str, ...]
    doubts: tuple[str, ...]


def leaving_words(
    answer: LeavingAnswer, shown: Beside, *, reader: Reader, checked: datetime, timezone: str
) -> LeavingWords:
    """The answer in words.

    Args:
        answer: of the leaving check.
        shown: what stands beside it.
        reader: whose units.
        checked: when it was judged.
        timezone: of the shop.
    Returns: for page and paper.
    """
    rows, more = finding_rows(answer, reader)
    return LeavingWords(
        program=answer.program,
        machine=answer.machine.name,
        answer=ANSWERS[answer.may_leave],
        because=because_of(answer),
        checked=moments.moment(checked, timezone),
        mark=answer.sha256[:12],
        time=time_words(answer),
        parts=parts_words(answer, reader),
        cautions=tuple(sentences(answer.cautions, reader)),
        before_leaving=tuple(sentences(answer.before_leaving, reader)),
        findings=rows,
        more_findings=more,
        tools=tool_rows(answer, shown),
        checks=tuple(
            CheckRow(
                f"line {one.line}",
                f"after T{one.after_tool}" if one.after_tool else "before any tool cuts",
                sentence(one.checks, reader),
            )
            for one in answer.hold_points
        ),
        relies=tuple(sentences(shown.relies, reader)),
        checks_worth=tuple(sentences((one.said for one in shown.advised), reader)),
        left=tuple(sentences((*answer.left, *at_stops(answer)), reader)),
        doubts=tuple(sentences((doubt for doubt in answer.doubts if doubt.key != NO_LIFE), reader)),
    )


def at_stops(answer: LeavingAnswer) -> tuple[Reason, ...]:
    """How it stands at the program's own stops, the first of them."""
    return stops_at(answer.run, switch_on=answer.machine.optional_stop_switch)[:MOST_OF_A_KIND]


def because_of(answer: LeavingAnswer) -> str:
    """One line under the answer."""
    count = len(answer.findings)
    things = "1 thing was found" if count == 1 else f"{count} things were found"
    if answer.may_leave == "yes":
        return "Nothing was found against it in this program, on this machine."
    if answer.may_leave == "yes if":
        return f"{things}, and what mends it is done before leaving."
    return f"{things} against it. Mend the program, or stay."


def time_words(answer: LeavingAnswer) -> str:
    """How long it runs, with its spread."""
    low_s, high_s = answer.time_spread_s
    spread = f", eight times in ten {units.show_time(low_s)} to {units.show_time(high_s)}" if high_s > low_s else ""
    return f"{units.show_time(answer.time.value)}{spread}"


def parts_words(answer: LeavingAnswer, reader: Reader) -> tuple[str, ...]:
    """What to expect by morning, as far as tools and stops go; odds are not given where something worse was found."""
    good = answer.good_parts
    if good is None:
        return ("Nothing is cut.",)
    worse = sorted({one.kind for one in answer.findings} - ODDS_STAND)
    if worse:
        return (f"What was found comes first ({', '.join(worse)}): odds would say nothing.",)
    if good.mean == 0:
        return ("No part is finished by morning: it stands and waits before.",)
    said = [f"The part comes out good with odds of {units.show_odds(good.whole)}, as far as tools and stops go."]
    if good.parts > 1:
        said = [
            f"{good.p90} good parts of {good.parts} or more, nine nights in ten",
            f"{good.p50} or more, every other night",
            f"all {good.parts}: {units.show_odds(good.whole)}",
        ]
    return (*said, *sentences((doubt for doubt in answer.doubts if doubt.key == NO_LIFE), reader))


def finding_rows(answer: LeavingAnswer, reader: Reader) -> tuple[tuple[FindingRow, ...], str]:
    """Findings as rows, the first of each kind; and how many more there are."""
    count: dict[str, int] = {}
    rows: list[FindingRow] = []
    for one in answer.findings:
        count[one.kind] = count.get(one.kind, 0) + 1
        if count[one.kind] <= MOST_OF_A_KIND:
            line = "" if one.line is None else f"line {one.line}"
            rows.append(FindingRow(one.kind, line, sentence(one.what, reader), sentence(one.do, reader)))
    left_out = [f"{n - MOST_OF_A_KIND} more of “{kind}”" for kind, n in count.items() if n > MOST_OF_A_KIND]
    return tuple(rows), ", ".join(left_out)


def tool_rows(answer: LeavingAnswer, shown: Beside) -> tuple[ToolRow, ...]:
    """Tools in the order of their calls."""
    edges = {edge.number: edge for edge in shown.edges}
    rows: list[ToolRow] = []
    for one in answer.tools:
        edge = edges.get(one.number)
        rows.append(
            ToolRow(
                number=str(one.number),
                name=tool_name(answer.machine.tool(one.number)),
                cuts=units.show_time(one.cut_s),
                left=units.show_time(edge.left_s) if edge else "not written down",
                lasts=units.show_odds(edge.lasts) if edge else "",
            )
        )
    return tuple(rows)


def tool_name(tool: LeavingTool | None) -> str:
    """A tool in few words: "drill Ø 8"."""
    if tool is None:
        return "not in the machine's list"
    size = f" Ø {tool.diameter_mm:g}" if tool.diameter_mm else ""
    return f"{tool.kind or tool.role or 'tool'}{size}"


def path_picture(
    answer: LeavingAnswer, shown: Beside, *, width_mm: float, dark: bool = False, unit: units.LengthUnit = "mm"
) -> str:
    """The path over the blank, as SVG text; empty where nothing is cut.

    Args:
        answer: of the leaving check.
        shown: what stands beside it.
        width_mm: of the drawing.
        dark: for a dark page.
        unit: the reader's.
    Returns: SVG text.
    """
    return path_svg(
        answer.run,
        blank=answer.blank,
        lathe=answer.machine.kind == "lathe",
        tools=[
            ToolOnPath(one.number, f"{tool_name(answer.machine.tool(one.number))}, cuts {units.show_time(one.cut_s)}")
            for one in answer.tools
        ],
        stops=[StopOnPath(one.before, f"line {one.line}: it stands and waits") for one in shown.standing],
        width_mm=width_mm,
        unit=unit,
        dark=dark,
    )


def strip_picture(answer: LeavingAnswer, shown: Beside, *, width_mm: float, dark: bool = False) -> str:
    """The run's time by tool, as SVG text; empty where nothing is cut.

    Args:
        answer: of the leaving check.
        shown: what stands beside it.
        width_mm: of the drawing.
        dark: for a dark page.
    Returns: SVG text.
    """
    return strip_svg(
        shown.stretches,
        total_s=answer.time.value,
        stops_s=[one.at_s for one in shown.standing],
        width_mm=width_mm,
        dark=dark,
    )
