"""How the loops are compiled, in one place.

A loop works on arrays that it is given, and makes none: then nothing need count who holds which array, which takes
time, most where two searches share the same grids, and has to be compiled too. So that each loop is compiled once, it
is given whole numbers as variables, never as literals (`np.int64(0)` is none), and arrays that may all be written to,
or none; rows are copied by counting, not by slices.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Numbers = NDArray[np.float64] | NDArray[np.int64]


def loop(*, fastmath: bool | set[str] = False, written_in: bool = False, inner: bool = False) -> Any:
    """Compile a loop that makes no arrays.

    Args:
        fastmath: what may be assumed of floats, as the compiler has it.
        written_in: whether it is written into every loop that calls it; worth it where many arrays would be handed on.
        inner: only other loops call it, never Python; its way in from Python, a third of the compiling, is left out.
    Returns: the decorator, untyped as the compiler's own: whole numbers of arrays are whole numbers to it.
    """
    # The compiler's own name for not counting; a loop that makes an array then does not compile, which tests notice.
    inline = "always" if written_in else "never"
    return njit(  # pyright: ignore[reportCallIssue]
        cache=True, nogil=True, fastmath=fastmath, error_model="numpy", inline=inline, _nrt=False,
        no_cpython_wrapper=inner, no_cfunc_wrapper=inner,
    )  # fmt: skip


def maker() -> Any:
    """Compile what makes arrays of its own, and calls the loops.

    Returns: the decorator.
    """
    return njit(cache=True, nogil=True, error_model="numpy")


@loop()
def put(to: Numbers, of: Numbers) -> None:
    """Put the numbers of one row into another."""
    for k in range(len(of)):
        to[k] = of[k]


@loop()
def filled(to: Floats, by: float) -> None:
    """The same number into all of a row."""
    for k in range(len(to)):
        to[k] = by
