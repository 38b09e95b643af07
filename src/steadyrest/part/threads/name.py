"""Which thread of the tables it is, with odds: its pitch decides, its major diameter agrees or does not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import exp, hypot, pi, sqrt

from steadyrest.part.threads.found import ThreadFound, ThreadName
from steadyrest.shop.figure import Reason, because
from steadyrest.tables.threads import metric_threads, unified_threads
from steadyrest.tables.threads_other import other_threads

# How often a small shop meets each series, by judgement (common practice, no source).
SERIES_SHARE: Mapping[str, float] = {
    "coarse": 0.45, "fine": 0.16, "UNC": 0.15, "UNF": 0.10, "pipe": 0.08, "trapezoidal": 0.05,
}  # fmt: skip
NONE_SHARE = 0.01  # of threads: none of the tables
NONE_PITCH_MM, NONE_MAJOR_MM = 0.5, 4.0  # over which an unknown thread is spread
MADE_PITCH = 1e-3  # of the pitch: how true a thread is cut
UNDER = -0.05  # of the pitch: how far a crest lies under the nominal, rounded off by die and scanner
UNDER_SD = 0.05
LEAST_ODDS = 0.01
MOST_NAMES = 4


@dataclass(frozen=True, slots=True)
class Kept:
    """A thread of any table. share: its part of what is met."""

    name: str
    major_mm: float
    pitch_mm: float
    share: float
    source: str


@cache
def kept() -> tuple[Kept, ...]:
    """All threads of the tables, each series sharing what is met of it evenly."""
    found = [(t.name, t.diameter_mm, t.pitch_mm, t.series, t.source) for t in (*metric_threads(), *unified_threads())]
    found += [(t.name, t.major_mm, t.pitch_mm, t.form, t.source) for t in other_threads()]
    counts: dict[str, int] = {}
    for *_, series, _ in found:
        counts[series] = counts.get(series, 0) + 1
    return tuple(Kept(n, d, p, SERIES_SHARE[series] / counts[series], source) for n, d, p, series, source in found)


def thread_names(found: ThreadFound) -> tuple[ThreadName, ...]:
    """The threads of the tables that a thread found may be.

    Args:
        found: its pitch, major diameter and their sigmas, starts, and how deep it was seen.
    Returns: likeliest first, those under one in a hundred left out; empty where none of the tables is likelier.
    """
    if found.starts > 1:
        return ()
    weighed = [(one, one.share * likeness(one, found)) for one in kept()]
    nothing = NONE_SHARE / (NONE_PITCH_MM * NONE_MAJOR_MM) / max(1, len(kept()) // 20)
    total = sum(weight for _, weight in weighed) + nothing
    best = sorted(weighed, key=lambda pair: (-pair[1], pair[0].name))[:MOST_NAMES]
    if best[0][1] < nothing:
        return ()
    return tuple(
        ThreadName(one.name, one.major_mm, one.pitch_mm, weight / total, one.source)
        for one, weight in best
        if weight / total >= LEAST_ODDS
    )


def names_told(names: tuple[ThreadName, ...], major_mm: float) -> tuple[Reason, ...]:
    """What a thread may be, as reasons: the first by name with its sizes, then the others."""
    if not names:
        return ()
    first, *others = names
    told = because(
        "threads.named", source=first.source, name=first.name, major_mm=major_mm, name_odds=first.odds,
        nominal_diameter_mm=first.diameter_mm, nominal_pitch_mm=first.pitch_mm,
    )  # fmt: skip
    return (told, *(because("threads.or", name=one.name, name_odds=one.odds) for one in others))


def likeness(one: Kept, found: ThreadFound) -> float:
    """How likely such a pitch and diameter would be seen of this thread, per mm2."""
    pitch = bell(found.pitch_mm - one.pitch_mm, hypot(found.u_pitch_mm, MADE_PITCH * one.pitch_mm))
    unseen = 2 * unseen_mm(found)
    if found.inside:
        # A nut's valleys are its major diameter: the scanner fills them.
        off, sd = found.major_mm - one.major_mm + unseen / 2, hypot(unseen / 2, 0.08 * one.pitch_mm)
    else:
        off = found.major_mm - one.major_mm - UNDER * one.pitch_mm + unseen / 2
        sd = hypot(unseen / 2, UNDER_SD * one.pitch_mm)
    return pitch * bell(off, hypot(sd, found.u_major_mm))


def unseen_mm(found: ThreadFound) -> float:
    """Depth that a full thread of this pitch has and that was not seen."""
    return max(0.0, (1 - found.depth_share) * 5 * sqrt(3) / 16 * found.pitch_mm)


def bell(off: float, sd: float) -> float:
    return exp(-0.5 * (off / sd) ** 2) / (sd * sqrt(2 * pi))
