"""What cutting one thing takes: which tools, how long each, what bounded it, how far it may be off; or why not."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.floor import Tool
from steadyrest.stations.mill.lacking import Lack, easiest

Used = tuple[Tool, float, float]  # a tool, how long it cuts, and how long it is on its way (s)


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece of work on a mill.

    tools: (tool, cutting s, getting there s) in the order they are used; changes of tool are not in it (between.py).
    figures: what bounded it, most telling first. refused: every reason against it; then there are no times.
    spread: how far the times may be off without a program, sd of the logarithm. cautions: what can hurt someone.
    lacks: of a refusal that tools would undo, all of them; empty where no tool does.
    """

    tools: tuple[Used, ...]
    figures: tuple[Figure, ...] = ()
    refused: tuple[Reason, ...] = ()
    spread: float = 0.0
    cautions: tuple[Reason, ...] = ()
    lacks: tuple[Lack, ...] = ()

    @property
    def cut_s(self) -> float:
        return sum(cut for _, cut, _ in self.tools)

    @property
    def travel_s(self) -> float:
        return sum(travel for _, _, travel in self.tools)


NOTHING = Cut(())


def no_cut(*reasons: Reason, lacks: Iterable[Lack] = ()) -> Cut:
    """The cut that is not made, for these reasons; lacks: the tools that would undo them all."""
    return Cut((), refused=tuple(dict.fromkeys(reasons)), lacks=tuple(dict.fromkeys(lacks)))


def together(cuts: Iterable[Cut]) -> Cut:
    """Several cuts as one: times by tool, all figures once, refused if one is.

    Args:
        cuts: in the order they are made.
    Returns: their sum. What one is off, all are (the same feed, the same machine): the spread is the mean by time.
    """
    cuts = tuple(cuts)
    refused = tuple(dict.fromkeys(reason for cut in cuts for reason in cut.refused))
    if refused:
        no = [cut for cut in cuts if cut.refused]
        return no_cut(*refused, lacks=all_lacks(no))
    times: dict[int, Used] = {}
    for cut in cuts:
        for tool, cut_s, travel_s in cut.tools:
            _, before_s, travelled_s = times.get(tool.number, (tool, 0.0, 0.0))
            times[tool.number] = (tool, before_s + cut_s, travelled_s + travel_s)
    whole_s = sum(cut.cut_s + cut.travel_s for cut in cuts)
    off_s = sum((cut.cut_s + cut.travel_s) * cut.spread for cut in cuts)
    return Cut(
        tuple(times.values()),
        tuple(dict.fromkeys(figure for cut in cuts for figure in cut.figures)),
        (),
        off_s / whole_s if whole_s > 0 else 0.0,
        tuple(dict.fromkeys(caution for cut in cuts for caution in cut.cautions)),
    )


def all_lacks(refused: Iterable[Cut]) -> tuple[Lack, ...]:
    """What refused cuts lack together; empty where one of them hangs on more than tools."""
    lacks = [cut.lacks for cut in refused]
    return tuple(dict.fromkeys(lack for one in lacks for lack in one)) if all(lacks) else ()


def soonest(cuts: Iterable[Cut]) -> Cut:
    """The soonest of several ways; every reason of all where none can be done.

    Args:
        cuts: ways of doing the same.
    Returns: one of them, or the refusal; between equals the one whose tool has the lowest number.
    """
    cuts = tuple(cuts)
    good = [cut for cut in cuts if not cut.refused]
    if good:
        return min(
            good, key=lambda cut: (cut.cut_s + cut.travel_s, min((t.number for t, _, _ in cut.tools), default=0))
        )
    reasons = (reason for cut in cuts for reason in cut.refused)
    return no_cut(*reasons, lacks=easiest(cut.lacks for cut in cuts))
