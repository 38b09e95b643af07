"""Tools that are called and not there, and tools that will not last the run."""

from __future__ import annotations

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.run import EventKind
from steadyrest.shop.figure import because

SLACK_S = 1e-6  # a tool with exactly the time left lasts


def missing(case: Case) -> tuple[Finding, ...]:
    """Tools called that are not in the machine's list, at the line that first calls each.

    Args:
        case: what is judged.
    Returns: one finding a tool.
    """
    found: dict[int, Finding] = {}
    for event in case.events(EventKind.TOOL_CHANGE):
        number = int(event.value)
        if number and number not in found and case.machine.tool(number) is None:
            found[number] = Finding(
                "tool missing",
                event.line,
                because("tool_missing.what", tool=f"T{number}", machine=case.machine.name),
                because("tool_missing.do", tool=f"T{number}"),
            )
    return tuple(found.values())


def worn(case: Case) -> tuple[Finding, ...]:
    """Tools whose cutting time in this run, all repeats, exceeds what is left of their life.

    It belongs to no line: the whole run wears the tool, and the cure lies in the tool, not in the program.

    Args:
        case: what is judged.
    Returns: one finding a tool.
    """
    found: list[Finding] = []
    for one in case.time.tools:
        tool = case.machine.tool(one.number)
        if tool is None or one.cut_s <= tool.life_s - tool.used_s + SLACK_S:
            continue
        name = f"T{one.number}"
        what = because("tool_worn.what", tool=name, cut_s=one.cut_s, left_s=max(tool.life_s - tool.used_s, 0.0))
        if one.cut_s <= tool.life_s + SLACK_S:
            change = because("tool_worn.change", tool=name)
            found.append(Finding("tool worn", None, what, change, change))
        else:
            share = because("tool_worn.share", tool=name, cut_s=one.cut_s, life_s=tool.life_s)
            found.append(Finding("tool worn", None, what, share))
    return tuple(found)
