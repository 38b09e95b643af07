"""What a treatment asks of the steps before it, said where it is done: limits to turn to, centres for the grinder."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.finish import Finish
from steadyrest.shop.part import Part
from steadyrest.shop.work import Step

LEFT = ("outside.leave_grinding", "outside.leave_plating", "outside.leave_thread")


def told_before(steps: Iterable[Step], outside: Iterable[Step], finishes: tuple[Finish, ...], part: Part) -> list[Step]:
    """The cutting steps, each with what later treatments ask of what it makes.

    Args:
        steps: that cut, in their order.
        outside: the steps outside, with what they ask.
        finishes: all of the part.
        part: with its features.
    Returns: the same steps, with notes.
    """
    asked = [note for step in outside for note in step.notes if note.key in LEFT]
    centres = _centres(finishes, part)
    found: list[Step] = []
    for step in steps:
        mine: list[Reason] = [note for note in asked if dict(note.given).get("feature") in step.makes]
        if step.station == "turn" and step.machine is not None:
            mine.extend(centres)
        new = [note for note in mine if note not in step.notes]
        found.append(replace(step, notes=(*step.notes, *new)))
    return found


def _centres(finishes: tuple[Finish, ...], part: Part) -> tuple[Reason, ...]:
    """That the ends get centres, where a shaft is ground: the grinder holds it between them."""
    ground = next((finish for finish in finishes if finish.way == "ground"), None)
    shafts = [
        feature.id
        for feature in part.features
        if feature.kind == "shaft" and ground is not None and (not ground.features or feature.id in ground.features)
    ]
    return (because("outside.centres", features=", ".join(shafts)),) if shafts else ()
