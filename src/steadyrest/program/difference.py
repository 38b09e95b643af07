"""What changed between two programs, in moves: added, gone, and the same path at another feed, speed, tool or height.

Two moves are the same path when they go the same way between the same work coordinates. Moves are matched in order:
what is alike at both ends, then between landmarks that stand equally often on both sides. A text that was renumbered or
re-spaced makes no difference; one digit in a feed does.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.program.run import EventKind, Moves, Run
from steadyrest.shop.figure import Reason, because

IntArray = npt.NDArray[np.int64]
FloatArray = npt.NDArray[np.float64]
# Coordinates nearer than this are one place: a hundredth of what any control resolves well.
PLACE_MM = 1e-4
RELATIVE = 1e-6


@dataclass(frozen=True, slots=True)
class Changed:
    """One difference. tool: whose moves; 0 for none. lines: first and last, in the new file (in the old one for gone).

    kind: "added", "gone", "feed", "speed", "tool", "shifted", "event". count: moves. said: the sentence.
    """

    kind: str
    tool: int
    lines: tuple[int, int]
    count: int
    said: Reason


def difference(old: Run, new: Run) -> tuple[Changed, ...]:
    """What the new program does otherwise.

    Args:
        old: the run of the program released last.
        new: the run of the one to be released.
    Returns: differences in the order of the new program, what is gone among them; empty if they move alike.
    """
    a, b = old.moves, new.moves
    pairs = matched(places(a), places(b))
    found = [
        *missing(a, others(len(a), pairs[:, 0]), "gone"),
        *missing(b, others(len(b), pairs[:, 1]), "added"),
        *altered(a, b, pairs),
        *events_changed(old, new),
    ]
    shifted = as_shift(found, a, b)
    return tuple(sorted(shifted, key=lambda one: (one.lines, one.kind)))


def others(count: int, taken: IntArray) -> IntArray:
    """The indices that are not taken."""
    free = np.ones(count, dtype=np.bool_)
    free[taken] = False
    return np.flatnonzero(free)


def places(moves: Moves) -> IntArray:
    """One number a move for its path in work coordinates: motion, both ends, centre."""
    centre = np.nan_to_num(moves.centre_mm - moves.offset_mm, nan=0.0)
    whole = np.column_stack(
        [
            moves.start_mm - moves.offset_mm,
            moves.end_mm - moves.offset_mm,
            centre,
            moves.rotary_deg,
            moves.turns[:, None],
        ]
    )
    steps = np.rint(whole / PLACE_MM).astype(np.int64)
    # Multiply-and-fold; two different paths share a number about once in 2**63.
    number = moves.motion.astype(np.uint64) + np.uint64(0x9E3779B97F4A7C15)
    with np.errstate(over="ignore"):
        for column in range(steps.shape[1]):
            number ^= steps[:, column].view(np.uint64)
            number *= np.uint64(0xFF51AFD7ED558CCD)
            number ^= number >> np.uint64(33)
    return number.view(np.int64)


def matched(a: IntArray, b: IntArray) -> IntArray:
    """Pairs of places that stand for the same path, in order on both sides.

    Args:
        a: (n,) numbers of the old paths.
        b: (m,) numbers of the new ones.
    Returns: (k, 2) indices, rising in both columns.
    """
    pairs: list[IntArray] = [np.zeros((0, 2), dtype=np.int64)]
    # What is settled, and what is still to be matched with where it begins; the last is looked at next.
    todo: list[tuple[IntArray, int, IntArray, int] | IntArray] = [(a, 0, b, 0)]
    while todo:
        one = todo.pop()
        if isinstance(one, np.ndarray):
            pairs.append(one)
            continue
        a, at_a, b, at_b = one
        n = min(len(a), len(b))
        head = first_unlike(a[:n], b[:n])
        tail = first_unlike(a[len(a) - n + head :][::-1], b[len(b) - n + head :][::-1])
        if head:
            pairs.append(np.column_stack([at_a + np.arange(head), at_b + np.arange(head)]))
        inner_a, inner_b = a[head : len(a) - tail], b[head : len(b) - tail]
        if tail:
            ends = np.arange(tail)
            todo.append(np.column_stack([at_a + len(a) - tail + ends, at_b + len(b) - tail + ends]))
        if not len(inner_a) or not len(inner_b):
            continue
        marks = landmarks(inner_a, inner_b)
        if not len(marks):
            continue
        # Landmarks that follow one another on both sides go together; what lies between is looked at in its turn.
        groups = np.split(marks, np.flatnonzero((np.diff(marks, axis=0) != 1).any(axis=1)) + 1)
        before_a, before_b = 0, 0
        parts: list[tuple[IntArray, int, IntArray, int] | IntArray] = []
        for group in groups:
            (x, y), (last_x, last_y) = group[0], group[-1]
            if x > before_a and y > before_b:
                parts.append((inner_a[before_a:x], at_a + head + before_a, inner_b[before_b:y], at_b + head + before_b))
            parts.append(group + np.array([at_a + head, at_b + head]))
            before_a, before_b = int(last_x) + 1, int(last_y) + 1
        parts.append((inner_a[before_a:], at_a + head + before_a, inner_b[before_b:], at_b + head + before_b))
        todo.extend(reversed(parts))
    return np.concatenate(pairs)


def first_unlike(a: IntArray, b: IntArray) -> int:
    """How many are alike from the beginning."""
    unlike = np.flatnonzero(a != b)
    return int(unlike[0]) if len(unlike) else len(a)


def landmarks(a: IntArray, b: IntArray) -> IntArray:
    """Paths that stand equally often on both sides, the first with the first, the second with the second; of those as
    many as rise in both (patience sorting). A part repeated forty times so matches repeat by repeat."""
    which_a, turn_a, often_a = occurrences(a)
    which_b, turn_b, often_b = occurrences(b)
    common, ia, ib = np.intersect1d(which_a, which_b, assume_unique=True, return_indices=True)
    alike = often_a[ia] == often_b[ib]
    kept = common[alike]
    if not len(kept):
        return np.zeros((0, 2), dtype=np.int64)
    at_a, at_b = np.flatnonzero(np.isin(a, kept)), np.flatnonzero(np.isin(b, kept))
    at_a = at_a[np.lexsort((turn_a[at_a], a[at_a]))]
    at_b = at_b[np.lexsort((turn_b[at_b], b[at_b]))]
    both = np.column_stack([at_a, at_b])
    both = both[np.argsort(both[:, 0])]
    return both[rising(both[:, 1])]


def occurrences(a: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """The different numbers; for each place, the how manieth of its number it is; and how often each number stands."""
    order = np.argsort(a, kind="stable")
    which, first, often = np.unique(a[order], return_index=True, return_counts=True)
    turn = np.empty(len(a), dtype=np.int64)
    turn[order] = np.arange(len(a)) - np.repeat(first, often)
    return which, turn, often


def rising(values: IntArray) -> IntArray:
    """Indices of a longest rising subsequence."""
    tails: list[int] = []
    ends: list[int] = []
    before = np.full(len(values), -1, dtype=np.int64)
    for k, value in enumerate(values.tolist()):
        low = bisect_left(ends, value)
        before[k] = tails[low - 1] if low else -1
        if low == len(ends):
            ends.append(value)
            tails.append(k)
        else:
            ends[low] = value
            tails[low] = k
    chain: list[int] = []
    k = tails[-1] if tails else -1
    while k >= 0:
        chain.append(k)
        k = int(before[k])
    return np.array(chain[::-1], dtype=np.int64)


def missing(moves: Moves, which: IntArray, kind: str) -> Iterator[Changed]:
    """Moves of one side that the other has not, together where they follow one another with one tool."""
    for group in runs_of(which, moves.tool):
        lines = (int(moves.line[group].min()), int(moves.line[group].max()))
        tool = int(moves.tool[group[0]])
        length_mm = float(moves.length_mm[group].sum())
        said = because(
            f"difference.{kind}", tool=f"T{tool}", count=moves_said(len(group)), lines=lines_said(lines),
            length_mm=length_mm,
        )  # fmt: skip
        yield Changed(kind, tool, lines, len(group), said)


def altered(a: Moves, b: Moves, pairs: IntArray) -> Iterator[Changed]:
    """The same path at another feed, speed or tool."""
    old, new = pairs[:, 0], pairs[:, 1]
    for kind, was, now in (
        ("tool", a.tool[old].astype(np.float64), b.tool[new].astype(np.float64)),
        ("feed", fed(a)[old], fed(b)[new]),
        ("speed", turned(a)[old], turned(b)[new]),
    ):
        unlike = np.flatnonzero(~np.isclose(was, now, rtol=RELATIVE, atol=1e-9, equal_nan=True))
        if not len(unlike):
            continue
        # One sentence for one edit, wherever it shows: grouped by tool, by what it was and by what it is.
        rows = np.nan_to_num(np.column_stack([b.tool[new[unlike]], was[unlike], now[unlike]]), nan=-1.0)
        _, group = np.unique(rows, axis=0, return_inverse=True)
        for number in range(int(group.max()) + 1):
            at = unlike[group.ravel() == number]
            where = new[at]
            lines = (int(b.line[where].min()), int(b.line[where].max()))
            tool = int(b.tool[where[0]])
            said = because(
                f"difference.{kind}", tool=f"T{tool}", count=moves_said(len(at)), lines=lines_said(lines),
                was=shown(float(was[at[0]])), now=shown(float(now[at[0]])),
            )  # fmt: skip
            yield Changed(kind, tool, lines, len(at), said)


def fed(moves: Moves) -> FloatArray:
    """Feed as the program means it: a turn where it is a turn, else a minute; rapids have none."""
    return np.where(moves.feed_per_turn_mm > 0, moves.feed_per_turn_mm, moves.feed_mm_min)


def turned(moves: Moves) -> FloatArray:
    """Speed as the program means it: at the surface where it is constant there, else turns a minute."""
    return np.where(moves.surface_m_min > 0, moves.surface_m_min, moves.rpm)


EVENTS = (
    (EventKind.STOP, "difference.stops"),
    (EventKind.HOLD_POINT, "difference.checks"),
    (EventKind.BAR, "difference.bars"),
    (EventKind.COOLANT, "difference.coolant"),
    (EventKind.DWELL, "difference.dwells"),
)


def events_changed(old: Run, new: Run) -> Iterator[Changed]:
    """Stops, checks, bar pulls and the like that are more, fewer or other than before."""
    for kind, key in EVENTS:
        was = [event.value for event in old.events if event.kind is kind]
        events = [event for event in new.events if event.kind is kind]
        if was != [event.value for event in events]:
            lines = (events[0].line, events[-1].line) if events else (0, 0)
            said = because(key, was=str(len(was)), now=str(len(events)))
            yield Changed("event", 0, lines, abs(len(events) - len(was)), said)


def as_shift(found: list[Changed], a: Moves, b: Moves) -> list[Changed]:
    """As many of one tool gone as added, all by the same vector: it was shifted, and that is said instead."""
    kept = list(found)
    for gone in found:
        twin = next(
            (one for one in kept if one.kind == "added" and one.tool == gone.tool and one.count == gone.count), None
        )
        if gone.kind != "gone" or twin is None:
            continue
        where_a = picked(a, gone)
        where_b = picked(b, twin)
        if len(where_a) != len(where_b) or len(where_a) < 3:
            continue
        by = (b.end_mm - b.offset_mm)[where_b] - (a.end_mm - a.offset_mm)[where_a]
        inner = by[1:-1]
        if not len(inner) or np.ptp(inner, axis=0).max() > PLACE_MM or np.abs(inner[0]).max() <= PLACE_MM:
            continue
        x, y, z = (float(v) for v in inner[0])
        said = because(
            "difference.shifted", tool=f"T{gone.tool}", count=moves_said(twin.count), lines=lines_said(twin.lines),
            x_mm=x, y_mm=y, z_mm=z,
        )  # fmt: skip
        kept.remove(gone)
        kept[kept.index(twin)] = Changed("shifted", twin.tool, twin.lines, twin.count, said)
    return kept


def picked(moves: Moves, one: Changed) -> IntArray:
    """The moves of a tool between two lines."""
    low, high = one.lines
    return np.flatnonzero((moves.tool == one.tool) & (moves.line >= low) & (moves.line <= high))


def runs_of(which: IntArray, beside: IntArray) -> Iterator[IntArray]:
    """Neighbouring indices that also agree in what stands beside them."""
    if not len(which):
        return
    breaks = np.flatnonzero((np.diff(which) != 1) | (np.diff(beside[which]) != 0)) + 1
    yield from np.split(which, breaks)


def moves_said(count: int) -> str:
    """A count of moves in words."""
    return "1 move" if count == 1 else f"{count} moves"


def lines_said(lines: tuple[int, int]) -> str:
    """A stretch of lines in words."""
    return f"line {lines[0]}" if lines[0] == lines[1] else f"lines {lines[0]} to {lines[1]}"


def shown(value: float) -> str:
    """A feed, a speed or a tool's number as it stands in a program."""
    return "none" if np.isnan(value) else f"{value:.6g}"


def summary(found: tuple[Changed, ...]) -> Reason:
    """All differences in one sentence, for a record."""
    if not found:
        return because("difference.none")
    count = {kind: sum(one.count for one in found if one.kind == kind) for kind in ("added", "gone")}
    return because("difference.sum", added=str(count["added"]), gone=str(count["gone"]), places=str(len(found)))
