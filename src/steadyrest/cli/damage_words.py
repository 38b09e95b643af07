"""Damage: the answer as JSON values and in words."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json, doubt_answer, number, sentences
from steadyrest.part.damage.halves import Halves
from steadyrest.part.damage.whole import Damage
from steadyrest.shop.figure import Figure
from steadyrest.wording.say import figure, say


def damage_answer(found: Damage) -> Json:
    """Damage on one part, as `damage --json` prints it.

    Args:
        found: from the desk.
    Returns: ends, bend with its run-out, openings by place, doubts.
    """
    bend = found.bend
    return {
        "ends": [{"state": end.state, "at_mm": number(end.at_mm)} for end in found.ends or ()],
        "bend": None
        if bend is None
        else {
            "verdict": bend.verdict,
            "runout_mm": number(bend.runout.value),
            "uncertainty_mm": number(bend.u_mm),
            "cannot_tell_under_mm": number(bend.cannot_tell_under.value),
        },
        "openings": [
            {"shape": one.shape, "at_mm": [number(x) for x in one.at_mm], "length_mm": number(one.length_mm)}
            for one in found.openings
        ],
        "doubts": [doubt_answer(doubt) for doubt in found.doubts],
    }


def halves_answer(found: Halves) -> Json:
    """Two halves, as `damage --json` prints them.

    Args:
        found: from the desk.
    Returns: how far to trust it, the whole length, reasons and questions.
    """
    return {
        "trust": found.trust,
        "length_mm": number(found.length.value) if found.length else None,
        "why": sentences(found.why),
        "ask": sentences(found.ask),
    }


def damage_lines(found: Damage) -> Iterator[str]:
    """Damage on one part in words."""
    if found.bend is not None:
        yield f"{found.bend.verdict}: run-out {figure(found.bend.runout)}; {say(found.bend.runout.why[0])}"
    for doubt in found.doubts:
        yield f"{say(doubt.what)}. {say(doubt.ask)}"
    if not found.doubts:
        yield "nothing broken, bent or open was found; a scan does not see cracks"


def halves_lines(found: Halves) -> Iterator[str]:
    """Two halves in words."""
    length: Figure | None = found.length
    yield f"{found.trust}: the whole part is {figure(length)} long" if length else f"{found.trust}: no whole length"
    yield from (f"  {say(reason)}" for reason in (*found.why, *found.ask))
