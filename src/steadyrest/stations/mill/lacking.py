"""What tool is missing where a refusal hangs on one: which kind and size, and what in the drawer comes nearest.

A refusal carries its lacks as values (Cut.lacks, Milled.lacks), made where the tool was looked for; nobody reads them
out of its words afterwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Tool

# What is bought most easily first: of several ways to a size the first of these is the nearest yes.
EASY = ("drill", "centre drill", "end mill", "slot drill", "chamfer mill", "ball mill", "tap", "reamer", "thread mill",
        "face mill", "boring", "probe")  # fmt: skip
SAME_MM = 0.051
ROUND_ENDED = ("end mill", "slot drill")


@dataclass(frozen=True, slots=True)
class Lack:
    """A tool that is not in the drawer, or not long enough.

    diameter_mm: wanted; 0: any. least_mm: the smallest that would do as well; equal to the diameter where only that
    will. depth_mm: how far it must reach; 0: any. pitch_mm: of a tap.
    """

    kind: str
    diameter_mm: float = 0.0
    least_mm: float = 0.0
    depth_mm: float = 0.0
    pitch_mm: float = 0.0


def easiest(ways: Iterable[tuple[Lack, ...]]) -> tuple[Lack, ...]:
    """Of several ways, each undone by buying its lacks, the one with fewest, then most easily bought.

    Args:
        ways: the lacks of each way; empty: no tool helps there.
    Returns: one of them; empty where no tool helps anywhere.
    """
    found = [way for way in ways if way]
    return min(found, key=lambda way: (len(way), [_ease(lack) for lack in way]), default=())


def _ease(lack: Lack) -> int:
    return EASY.index(lack.kind) if lack.kind in EASY else len(EASY)


def to_buy(lacks: Sequence[Lack]) -> Reason | None:
    """The nearest yes: the tool to buy or borrow; None where nothing is lacking.

    Args:
        lacks: of one refusal.
    Returns: its sentence, the first tool by name and how many more.
    """
    if not lacks:
        return None
    lack, more = lacks[0], len(lacks) - 1
    if more:
        names = ", ".join(f"{one.kind} {one.diameter_mm:.4g}" if one.diameter_mm else one.kind for one in lacks)
        return because("mill.buy_tools", tools=names, depth_mm=max(one.depth_mm for one in lacks))
    if lack.kind == "tap":
        return because("mill.buy_tap", diameter_mm=lack.diameter_mm, pitch_mm=lack.pitch_mm, depth_mm=lack.depth_mm)
    if not lack.diameter_mm:
        return because("mill.buy_any", kind=lack.kind)
    kind, most_mm, deep_mm = lack.kind, lack.diameter_mm, lack.depth_mm
    if lack.least_mm >= most_mm - SAME_MM:
        return because("mill.buy_size", kind=kind, diameter_mm=most_mm, depth_mm=deep_mm)
    if lack.least_mm:
        return because("mill.buy_between", kind=kind, least_mm=lack.least_mm, diameter_mm=most_mm, depth_mm=deep_mm)
    if deep_mm < 1.0:  # it lies on top: any reaches
        return because("mill.buy_plain", kind=kind, diameter_mm=most_mm)
    return because("mill.buy_smaller", kind=kind, diameter_mm=most_mm, depth_mm=deep_mm)


def in_drawer(tools: Sequence[Tool], lack: Lack) -> Reason | None:
    """The tool of the drawer that comes nearest to what is lacking, and what it lacks; None: none of that kind.

    Args:
        tools: of the machine.
        lack: what is wanted.
    Returns: its sentence.
    """
    kinds = ROUND_ENDED if lack.kind in ROUND_ENDED else (lack.kind,)
    alike = [tool for tool in tools if tool.kind in kinds]
    if not alike:
        return because("mill.drawer_none", kind=lack.kind)
    best = min(alike, key=lambda tool: (_off_mm(tool, lack), max(lack.depth_mm - _reach_mm(tool), 0.0), tool.number))
    off, short = _off_mm(best, lack), lack.depth_mm - _reach_mm(best)
    number, kind, has_mm, reach_mm = float(best.number), best.kind, best.diameter_mm, _reach_mm(best)
    if off > 1e-6 and short > 1e-6:
        return because(
            "mill.drawer_both", tool=number, kind=kind, has_mm=has_mm, off_mm=off, depth_mm=lack.depth_mm,
            reach_mm=reach_mm,
        )  # fmt: skip
    if off > 1e-6:
        return because("mill.drawer_size", tool=number, kind=kind, has_mm=has_mm, off_mm=off)
    if short > 1e-6:
        return because(
            "mill.drawer_short", tool=number, kind=kind, has_mm=has_mm, depth_mm=lack.depth_mm, reach_mm=reach_mm
        )
    return None


def _off_mm(tool: Tool, lack: Lack) -> float:
    """How far a tool's diameter, or a tap's pitch, is from what would do."""
    if not lack.diameter_mm:
        return 0.0
    if lack.pitch_mm:
        return abs(tool.diameter_mm - lack.diameter_mm) + abs(tool.pitch_mm - lack.pitch_mm)
    return max(tool.diameter_mm - lack.diameter_mm, min(lack.least_mm, lack.diameter_mm) - tool.diameter_mm, 0.0)


def _reach_mm(tool: Tool) -> float:
    deep = tool.max_depth_mm if tool.kind in ("drill", "reamer", "tap") else tool.reach_mm
    return min(deep, tool.reach_mm)
