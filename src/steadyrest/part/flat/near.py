"""Which curves come near each other: pairs whose boxes touch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from steadyrest.part.flat.curve import Curve

MOST_LOOKED_AT = 60_000_000
MOST_PAIRS = 400_000


class Crowded(Exception):  # noqa: N818  says why not all was looked at
    """So many curves lie over each other that not all pairs can be looked at."""


def near_pairs(curves: Sequence[Curve], reach: float) -> Iterator[tuple[int, int]]:
    """Index pairs i < j of curves whose boxes, widened by a reach, touch.

    Args:
        curves: any.
        reach: by which boxes are widened.
    Returns: pairs, each once, always in the same order.
    Raises: Crowded: there are too many.
    """
    if len(curves) < 2:
        return
    boxes = np.array([c.box for c in curves])
    # Sorted along the longer side, so that fewer boxes overlap along it.
    span = (boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)).argmax()
    low, high = boxes[:, span] - reach, boxes[:, 2 + span]
    other_low, other_high = boxes[:, 1 - span] - reach, boxes[:, 3 - span]
    order = np.argsort(low, kind="stable")
    low, high, other_low, other_high = (a[order] for a in (low, high, other_low, other_high))
    ends = np.searchsorted(low, high, side="right")
    if int((ends - np.arange(len(ends))).sum()) > MOST_LOOKED_AT:
        raise Crowded
    given = 0
    for k, end in enumerate(ends):
        inside = slice(k + 1, max(k + 1, int(end)))
        hit = (other_low[inside] <= other_high[k]) & (other_high[inside] >= other_low[k])
        for m in np.flatnonzero(hit):
            i, j = int(order[k]), int(order[k + 1 + int(m)])
            given += 1
            if given > MOST_PAIRS:
                raise Crowded
            yield (i, j) if i < j else (j, i)
