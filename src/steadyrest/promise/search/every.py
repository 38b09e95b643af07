"""Every plan of a few jobs, tried: how late they are at least, known for certain where they are few enough.

Phases are put down one after another, each as soon as it can begin after those before it. In the order in which the
phases of any plan begin, this gives a plan that is no later; so the best of all orders is the best of all plans. Limits
on the wait are let go, which can only make it less late.
"""

from __future__ import annotations

import math
from typing import NamedTuple, TypeVar

from steadyrest.promise.search.laid import Laid
from steadyrest.promise.week import IntArray

MOST_PHASES = 24
MOST_STATES = 10_000
SMALL_S = 1e-6
T = TypeVar("T")


class State(NamedTuple):
    """at, ready_s: each job's next phase, and when its last one ended. free_s: of each person.

    held: of each machine the job that has it, or -1, and when it was given back.
    """

    at: tuple[int, ...]
    ready_s: tuple[float, ...]
    free_s: tuple[float, ...]
    held: tuple[tuple[int, float], ...]


def every(w: Laid, jobs: IntArray) -> float | None:
    """The least weighted hours late of these jobs.

    Args:
        w: the week laid out.
        jobs: (n,) those that count; each can be done.
    Returns: hours that no plan goes below; None: there are too many plans to try.
    """
    if sum(int(w.first[j + 1] - w.first[j]) for j in jobs) > MOST_PHASES:
        return None
    few = _Few(w, [int(j) for j in jobs])
    begin = State(
        tuple(int(w.first[j]) for j in few.jobs), tuple(float(w.release_s[j]) for j in few.jobs),
        (0.0,) * int(w.here_count.size), ((-1, 0.0),) * int(w.machines),
    )  # fmt: skip
    best, seen, stack = math.inf, {begin}, [begin]
    while stack:
        state = stack.pop()
        if few.least(state) >= best:
            continue
        if all(few.ended(state, k) for k in range(len(few.jobs))):
            best = few.least(state)
            continue
        fresh = [after for after in few.after(state) if after not in seen and few.least(after) < best]
        # The one that promises least lateness is looked at first: a good plan soon leaves out most of the others.
        fresh.sort(key=lambda after: (few.least(after), sum(after.ready_s)), reverse=True)
        seen.update(fresh)
        stack += fresh
        if len(seen) > MOST_STATES:
            return None
    return best if best < math.inf else None


class _Few:
    """A few jobs of a week in plain numbers."""

    def __init__(self, w: Laid, jobs: list[int]) -> None:
        self.jobs = jobs
        self.last = [int(w.first[j + 1]) for j in jobs]
        self.due_s = [float(w.due_s[j]) for j in jobs]
        self.weight = [float(w.weight[j]) for j in jobs]
        self.takes_s: list[float] = w.takes_s.tolist()
        self.tail_s: list[float] = w.tail_s.tolist()
        self.machine: list[int] = w.machine.tolist()
        self.step_first: list[int] = w.step_first.tolist()
        self.step_end: list[int] = w.step_end.tolist()
        self.pauses: list[bool] = w.pauses.tolist()
        self.who = [[p for p in row if p >= 0] for row in w.who.tolist()]
        self.here = [
            list(zip(w.here_from[p, :n].tolist(), w.here_to[p, :n].tolist(), strict=True))
            for p, n in enumerate(w.here_count.tolist())
        ]

    def ended(self, state: State, k: int) -> bool:
        """Whether the k-th job is done."""
        return state.at[k] == self.last[k]

    def least(self, state: State) -> float:
        """What the jobs come to at least from here."""
        out = 0.0
        for k, (i, ready) in enumerate(zip(state.at, state.ready_s, strict=True)):
            ends = ready if i == self.last[k] else ready + self.takes_s[i] + self.tail_s[i]
            out += self.weight[k] * max(0.0, ends - self.due_s[k]) / 3600.0
        return out

    def after(self, state: State) -> list[State]:
        """Every way to put down one phase more."""
        out: list[State] = []
        for k, i in enumerate(state.at):
            if i == self.last[k]:
                continue
            m, opens, closes = self.machine[i], self.step_first[i] == i, self.step_end[i] == i + 1
            begin = state.ready_s[k]
            if m >= 0 and opens:
                owner, free_s = state.held[m]
                if owner >= 0:
                    continue
                begin = max(begin, free_s)
            for p in self.who[i] or [-1]:
                ends = begin + self.takes_s[i] if p < 0 else self.ends(p, max(begin, state.free_s[p]), i)
                if ends < math.inf:
                    out.append(
                        State(
                            _with(state.at, k, i + 1),
                            _with(state.ready_s, k, ends),
                            _with(state.free_s, p, ends) if p >= 0 else state.free_s,
                            _with(state.held, m, (-1 if closes else k, ends)) if m >= 0 else state.held,
                        )
                    )
        return out

    def ends(self, p: int, t: float, i: int) -> float:
        """When person p, free from t on, is through with phase i; inf: never."""
        takes, here = self.takes_s[i], self.here[p]
        for n, (from_s, to_s) in enumerate(here):
            begin = max(t, from_s)
            if begin >= to_s:
                continue
            if begin + takes <= to_s + SMALL_S:
                return begin + takes
            if self.pauses[i]:
                left = takes - (to_s - begin)
                for again_s, until_s in here[n + 1 :]:
                    if left <= until_s - again_s + SMALL_S:
                        return again_s + left
                    left -= until_s - again_s
                return math.inf
        return math.inf


def _with(values: tuple[T, ...], k: int, value: T) -> tuple[T, ...]:
    return (*values[:k], value, *values[k + 1 :])
