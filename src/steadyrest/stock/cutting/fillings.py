"""Every filling of a piece at once: a table of the most that a filling of exactly so much can be worth.

One table serves all kinds of piece, since it asks for what is used, not for what is left. Worths are whole numbers, so
that nothing is lost in it: a bound made from it holds to the last digit.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numba import njit

IntArray = npt.NDArray[np.int64]

UNREACHED = -(2**61)
NEVER = -(2**60)  # at most this: no parts take exactly so much


@njit(cache=True, nogil=True)
def tabulate(table: IntArray, widths: IntArray, most: IntArray, worth: IntArray) -> None:  # pragma: no cover  compiled
    """table[i, x] = most that parts 0..i-1 are worth that take exactly x; at most NEVER where none do.

    Args:
        table: (n + 1, room + 1), written. widths: (n,) > 0. most: (n,) how many at most. worth: (n,) of each.
    """
    steps = table.shape[1]
    table[0, :] = UNREACHED
    table[0, 0] = 0
    for i in range(len(widths)):
        for x in range(steps):
            table[i + 1, x] = table[i, x]
        for k in range(1, most[i] + 1):
            shift, more = k * widths[i], k * worth[i]
            if shift >= steps:
                break
            for x in range(shift, steps):
                with_it = table[i, x - shift] + more
                if with_it > table[i + 1, x]:
                    table[i + 1, x] = with_it


@njit(cache=True, nogil=True)
def filling_at(
    table: IntArray, widths: IntArray, most: IntArray, worth: IntArray, used: int
) -> IntArray:  # pragma: no cover  compiled
    """The filling that takes exactly `used` and is worth table[n, used].

    Args:
        table: as tabulated from widths, most, worth. widths, most, worth: (n,). used: reachable.
    Returns: (n,) how many of each.
    """
    found = np.zeros(len(widths), np.int64)
    x = used
    for i in range(len(widths) - 1, -1, -1):
        for k in range(most[i] + 1):
            before = x - k * widths[i]
            if before < 0:
                break
            if table[i, before] > NEVER and table[i, before] + k * worth[i] == table[i + 1, x]:
                found[i] = k
                x = before
                break
    return found


@njit(cache=True, nogil=True)
def all_fillings(
    table: IntArray, widths: IntArray, most: IntArray, worth: IntArray, slack: IntArray, cap: int, cap_each: int
) -> tuple[IntArray, IntArray, bool]:  # pragma: no cover  compiled
    """Every filling that takes x and is worth at least table[n, x] - slack[x].

    Args:
        table: as tabulated from widths, most, worth. widths, most, worth: (n,).
        slack: (room + 1,) how much less will do; below 0: none with this x. cap: stop after so many.
        cap_each: no more than so many for one x.
    Returns: (f, n) fillings, (f,) what each takes, and whether these are all.
    """
    n = len(widths)
    found = np.zeros((cap, n), np.int64)
    takes = np.zeros(cap, np.int64)
    now = np.zeros(n, np.int64)
    at = np.zeros(n + 1, np.int64)
    left = np.zeros(n + 1, np.int64)
    size, complete = 0, True
    for x in range(1, table.shape[1]):
        if slack[x] < 0 or table[n, x] <= NEVER:
            continue
        i = n - 1
        at[n], left[n] = x, slack[x]
        now[i] = -1
        begun = size
        while i < n:
            # Level i holds the count of part i that is tried; at[i + 1], left[i + 1] what came down to it.
            now[i] += 1
            before = at[i + 1] - now[i] * widths[i]
            if now[i] > most[i] or before < 0:
                i += 1
                continue
            if table[i, before] <= NEVER:
                continue
            lost = table[i + 1, at[i + 1]] - table[i, before] - now[i] * worth[i]
            if lost > left[i + 1]:
                continue
            if i == 0:
                if size == cap:
                    return found[:size], takes[:size], False
                found[size] = now
                takes[size] = x
                size += 1
                if size - begun == cap_each:
                    complete = False
                    break
                continue
            at[i], left[i] = before, left[i + 1] - lost
            i -= 1
            now[i] = -1
    return found[:size], takes[:size], complete
