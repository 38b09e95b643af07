"""Release: what was released as JSON values and in words; what was written down of edges and runs alone."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json, sentences
from steadyrest.desk.night.release_program import Released
from steadyrest.program.difference import summary
from steadyrest.store.edge_ends import EdgeNoted
from steadyrest.store.releases import Noted
from steadyrest.store.runs_alone import AloneNoted
from steadyrest.units import show_time
from steadyrest.wording.say import Reader, say

MOST_DIFFERENCES = 20


def release_answer(released: Released) -> Json:
    """The answer as `release --json` prints it.

    Args:
        released: from the desk.
    Returns: the record, the release before, and the differences in moves.
    """
    return {
        **noted(released.noted),
        "before": noted(released.before) if released.before else None,
        "differences": [
            {
                "kind": one.kind,
                "tool": one.tool or None,
                "lines": list(one.lines),
                "count": one.count,
                "said": say(one.said),
            }
            for one in released.differences
        ],
        "said": sentences(released.said),
        "cautions": sentences(released.cautions),
    }


def noted(one: Noted) -> dict[str, Json]:
    """A record."""
    return {
        "program": one.program,
        "machine": one.machine,
        "sha256": one.sha256,
        "may_leave": one.answer,
        "by": one.who,
        "when": one.when.isoformat(),
        "to": one.to,
    }


def release_lines(released: Released, reader: Reader | None = None) -> Iterator[str]:
    """The answer in words.

    Args:
        released: from the desk.
        reader: whose units.
    Returns: lines.
    """
    one = released.noted
    yield f"{one.program} is released to {one.machine}: {one.to}"
    yield f"  by {one.who}, {one.when.isoformat(timespec='minutes')}, SHA-256 {one.sha256}"
    yield from (f"  {say(reason, reader)}" for reason in released.said)
    if released.differences:
        yield f"  {say(summary(released.differences), reader)}:"
        for change in released.differences[:MOST_DIFFERENCES]:
            yield f"    {say(change.said, reader)}"
        if len(released.differences) > MOST_DIFFERENCES:
            yield f"    and {len(released.differences) - MOST_DIFFERENCES} more (--json has all)"
    yield from (f"  Caution: {say(reason, reader)}" for reason in released.cautions)


def edge_answer(one: EdgeNoted) -> Json:
    """An edge's end as `edge --json` prints it.

    Args:
        one: what was noted.
    Returns: machine, tool, time in the cut, how it ended.
    """
    return {
        "machine": one.machine,
        "tool": one.tool,
        "had_cut_s": one.had_cut_s,
        "failed": one.failed,
        "by": one.who,
        "when": one.when.isoformat(),
    }


def alone_answer(one: AloneNoted) -> Json:
    """A run alone as `alone --json` prints it.

    Args:
        one: what was noted.
    Returns: machine, how long, whether it stopped.
    """
    return {
        "machine": one.machine,
        "ran_s": one.ran_s,
        "stopped": one.stopped,
        "by": one.who,
        "when": one.when.isoformat(),
    }


def alone_line(one: AloneNoted) -> str:
    """A run alone in words."""
    how = "stopped after" if one.stopped else "ran alone for"
    return f"{one.machine} {how} {show_time(one.ran_s)}: written down by {one.who}."


def edge_line(one: EdgeNoted) -> str:
    """An edge's end in words."""
    how = "broke or wore out" if one.failed else "was changed while good"
    return f"T{one.tool} of {one.machine} {how} after {show_time(one.had_cut_s)} in the cut: written down by {one.who}."
