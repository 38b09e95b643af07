"""Refusals said once: features that are refused for the same reasons stand together in one no."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from steadyrest.shop.figure import Reason
from steadyrest.shop.work import Undone

NAMED = "feature"


def said_once(undone: Iterable[Undone]) -> tuple[Undone, ...]:
    """Refusals with those alike put together.

    Args:
        undone: refusals, in any number.
    Returns: in the order in which each was first said; two are alike where nothing but the feature's name differs, and
        the sentences then name all of them.
    """
    alike: dict[tuple[object, ...], list[Undone]] = {}
    for no in undone:
        nearest = None if no.nearest is None else _unnamed(no.nearest)
        alike.setdefault((no.station, no.machine, tuple(map(_unnamed, no.reasons)), nearest), []).append(no)
    return tuple(_together(some) for some in alike.values())


def _unnamed(reason: Reason) -> Reason:
    """A reason without the feature's name."""
    return replace(reason, given=tuple(pair for pair in reason.given if pair[0] != NAMED))


def _together(some: list[Undone]) -> Undone:
    """Several refusals alike as one."""
    first = some[0]
    if len(some) == 1:
        return first
    features = tuple(dict.fromkeys(name for no in some for name in no.features))
    reasons = tuple(_naming(each) for each in zip(*(no.reasons for no in some), strict=True))
    nearest = None if first.nearest is None else _naming([no.nearest for no in some if no.nearest is not None])
    return replace(first, features=features, reasons=reasons, nearest=nearest)


def _naming(reasons: Iterable[Reason]) -> Reason:
    """One reason with the names that several have."""
    every = list(reasons)
    names = ", ".join(dict.fromkeys(str(value) for one in every for name, value in one.given if name == NAMED))
    given = tuple((name, names if name == NAMED else value) for name, value in every[0].given)
    return replace(every[0], given=given)
