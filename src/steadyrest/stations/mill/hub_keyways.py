"""Keyways in a bore: no cutter that turns gets into a hub; they are broached, or slotted."""

from __future__ import annotations

from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature
from steadyrest.shop.work import Undone
from steadyrest.stations import sizes
from steadyrest.stations.answer import Ask, refusal


def in_a_hub(ask: Ask, feature: Feature) -> Undone | None:
    """The refusal of a keyway that is sunk into a bore's wall, with what to buy; None for any other feature.

    Args:
        ask: what is asked.
        feature: one of it.
    Returns: the refusal, or None.
    """
    bore = sizes.bore_of(feature, ask.part)
    if bore is None:
        return None
    name, width = feature.id, sizes.value_mm(feature, "width_mm") or 0.0
    within, long = sizes.value_mm(bore, "diameter_mm") or 0.0, sizes.value_mm(feature, "length_mm") or 0.0
    why = because("mill.in_hub", feature=name, kind=sizes.called(feature), bore=bore.id)
    key = "mill.buy_slotter" if feature.through is False and not _runs_through(ask, feature) else "mill.buy_broach"
    buy = because(key, width_mm=width, bore_mm=within, length_mm=long)
    return refusal(ask, "mill", (name,), (why,), buy)


def _runs_through(ask: Ask, feature: Feature) -> bool:
    """Whether a keyway runs from one end of a turned part to the other, so that a broach is pushed through."""
    profile, along = ask.part.profile, feature.along_mm
    if profile is None or along is None:
        return False
    return abs(along[1] - along[0]) >= 0.8 * profile.length_mm
