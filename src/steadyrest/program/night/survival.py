"""What is done by morning: every tool's chance to last, and the parts that come out good when nobody looks.

The first tool that fails ends the good parts, whether the machine notices or cuts on: what comes after is scrap or is
not made. A stop stays a stop until somebody comes. So good parts are those finished before the first failure, the first
stop in the program, and the first stop for any other reason (chips, coolant, power). The draws of one tool are the same
whichever tools are changed, so that what a change saves is not luck.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.program.night.stretches import Stretch
from steadyrest.program.night.tool_life import EdgeEnd, EdgeLife, learned, prior_life
from steadyrest.shop.draws import Luck
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.leaving import LeavingTool
from steadyrest.tables.leaving import alone_figure

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
S_PER_H = 3600.0


@dataclass(frozen=True, slots=True)
class Edge:
    """A tool as it stands in the machine. used_s: how long its edge has cut. life_s: the life written down for it."""

    number: int
    life: EdgeLife
    used_s: float
    life_s: float


def edges_of(
    tools: Sequence[LeavingTool],
    *,
    metal_group: int | None = None,
    ends: Mapping[int, Sequence[EdgeEnd]] | None = None,
) -> dict[int, Edge]:
    """The machine's tools with what is believed of their edges.

    Args:
        tools: of the machine; one without a written life is left out, for nothing can be said of it.
        metal_group: VDI 3323 group of what is cut; None where nobody said.
        ends: by tool, how its earlier edges ended.
    Returns: edges by number.
    """
    found: dict[int, Edge] = {}
    for tool in tools:
        if not 0 < tool.life_s < math.inf or tool.role == "probe":
            continue
        believed = prior_life(
            tool.life_s,
            tool=tool.kind,
            made_of=tool.made_of,
            diameter_mm=tool.diameter_mm,
            metal_group=metal_group,
        )
        life = learned(believed, (ends or {}).get(tool.number, ()))
        found[tool.number] = Edge(tool.number, life, tool.used_s, tool.life_s)
    return found


@dataclass(frozen=True, slots=True)
class EdgeInRun:
    """A tool's part in the run. cut_s: all repeats. lasts: the chance that it cuts to the end of the run."""

    number: int
    cut_s: float
    left_s: float
    lasts: float


@dataclass(frozen=True, slots=True)
class GoodParts:
    """Parts finished good by the time somebody comes.

    parts: how many the run makes. p50: that many or more in half of all nights. p90: that many or more in nine of ten.
    mean: on the average. whole: the chance that all are made.
    """

    parts: int
    p50: int
    p90: int
    mean: float
    whole: float


@dataclass(frozen=True, slots=True)
class Night:
    """What is to be expected of a run with nobody there.

    good: the parts. edges: the tools, by number. changes: tools worth changing, the most worth first, with the mean of
    good parts if that tool alone (and those before it) is changed. before_leaving: the same in words.
    """

    good: GoodParts
    edges: tuple[EdgeInRun, ...]
    changes: tuple[tuple[int, float], ...]
    before_leaving: tuple[Reason, ...]


def night(
    stretches: Sequence[Stretch],
    edges: Mapping[int, Edge],
    *,
    luck: Luck,
    stop_after_s: float = math.inf,
    stops_seen: tuple[float, float] = (0.0, 0.0),
) -> Night:
    """What is to be expected of a run with nobody there.

    Args:
        stretches: of the run, in order.
        edges: the tools by number; one that is not here cannot fail.
        luck: the draws.
        stop_after_s: when the program stops by itself till somebody comes, or the light goes on; inf if never.
        stops_seen: other stops of this machine alone so far, and the hours alone in which they happened.
    Returns: good parts, tools, and what to change before leaving.
    """
    run = _Played(stretches, edges, luck, stop_after_s=stop_after_s, stops_seen=stops_seen)
    now = run.good({})
    good = good_parts(now, run.parts)
    in_run = tuple(
        EdgeInRun(
            number=number,
            cut_s=cut_s,
            left_s=max(0.0, edges[number].life_s - edges[number].used_s),
            lasts=edges[number].life.survives(edges[number].used_s, cut_s),
        )
        for number, cut_s in sorted(cut_by_tool(stretches).items())
        if number in edges
    )
    changes = worth_changing(run, in_run, good.mean)
    words: list[Reason] = []
    before = good.mean
    for number, mean in changes:
        edge = edges[number]
        cut_s = next(one.cut_s for one in in_run if one.number == number)
        words.append(
            because(
                "night.change_tool",
                tool=f"T{number}",
                used_s=edge.used_s,
                life_s=edge.life_s,
                cut_s=cut_s,
                before=shown_parts(before),
                after=shown_parts(mean),
                of=str(run.parts),
            )
        )
        before = mean
    return Night(good, in_run, changes, tuple(words))


def good_parts(drawn: IntArray, parts: int) -> GoodParts:
    """The draws as what a person is told.

    Args:
        drawn: (n,) good parts.
        parts: how many the run makes.
    Returns: quantiles that are kept half of the time and nine times in ten.
    """
    # "inverted_cdf" keeps whole parts, and is on the careful side: at least so many, with at least that chance.
    p10, p50 = (int(q) for q in np.quantile(drawn, (0.1, 0.5), method="inverted_cdf"))
    return GoodParts(parts=parts, p50=p50, p90=p10, mean=float(drawn.mean()), whole=float((drawn == parts).mean()))


def cut_by_tool(stretches: Sequence[Stretch]) -> dict[int, float]:
    """Time in the cut of each tool, all repeats."""
    found: dict[int, float] = {}
    for stretch in stretches:
        found[stretch.tool] = found.get(stretch.tool, 0.0) + stretch.cut_s
    return found


def shown_parts(mean: float) -> str:
    """A mean of parts as a person says it."""
    return f"{mean:.1f}" if mean < 9.95 else f"{mean:.0f}"


def worth_changing(run: _Played, in_run: Sequence[EdgeInRun], mean: float) -> tuple[tuple[int, float], ...]:
    """Tools to change, one after the other: each time the one that saves most, while it saves enough."""
    enough = alone_figure("worth_changing_hundredths") * run.parts
    changed: dict[int, float] = {}
    found: list[tuple[int, float]] = []
    while True:
        options = [
            (float(run.good({**changed, one.number: 0.0}).mean()), -one.number)
            for one in in_run
            if one.number not in changed
        ]
        best, minus = max(options, default=(mean, 0))
        if best - mean < enough:
            return tuple(found)
        changed[-minus] = 0.0
        found.append((-minus, best))
        mean = best


class _Played:
    """The run over all draws; the luck of each tool is drawn once."""

    def __init__(
        self,
        stretches: Sequence[Stretch],
        edges: Mapping[int, Edge],
        luck: Luck,
        *,
        stop_after_s: float,
        stops_seen: tuple[float, float],
    ) -> None:
        self.edges = edges
        self.parts = 1 + max((stretch.part for stretch in stretches), default=0)
        self.part = np.array([stretch.part for stretch in stretches], dtype=np.int64)
        self.ends_s = np.array([stretch.ends_s for stretch in stretches])
        self.tools = {
            number: (
                np.array([i for i, stretch in enumerate(stretches) if stretch.tool == number], dtype=np.int64),
                np.cumsum([stretch.cut_s for stretch in stretches if stretch.tool == number]),
            )
            for number in edges
            if any(stretch.tool == number for stretch in stretches)
        }
        self.luck = {
            number: (luck.uniform(f"tool {number} which edge"), luck.uniform(f"tool {number} own"))
            for number in self.tools
        }
        count, hours = stops_seen
        # Gamma-Poisson: one stop in so many hours believed, then what was seen.
        mean_s = S_PER_H * (alone_figure("stop_hours") + hours) / (1.0 + count)
        other_s = -mean_s * np.log(luck.uniform("other stops"))
        self.stopped = self.before(np.minimum(other_s, stop_after_s))

    def before(self, at_s: FloatArray) -> IntArray:
        """How many stretches are done by a moment."""
        # A part is done when its last stretch is: a stop at that very moment finds it done.
        return np.searchsorted(self.ends_s, at_s, side="right")

    def good(self, ages_s: Mapping[int, float]) -> IntArray:
        """Good parts of every draw, with these tools at other ages."""
        done = self.stopped
        for number, (where, cut_s) in self.tools.items():
            edge = self.edges[number]
            left_s = edge.life.left_s(ages_s.get(number, edge.used_s), *self.luck[number])
            turn = np.searchsorted(cut_s, left_s)
            # The stretch in which it fails is the first that is not done.
            fails = np.where(turn < len(where), where[np.minimum(turn, len(where) - 1)], len(self.part))
            done = np.minimum(done, fails)
        if not len(self.part):
            return np.zeros(len(done), dtype=np.int64)
        return np.where(done < len(self.part), self.part[np.minimum(done, len(self.part) - 1)], self.parts)
