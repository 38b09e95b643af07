"""The picture that can be turned: its shape, what its shades mean, and what it does not show."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.papers.drawing.turning_data import Turning, turning
from steadyrest.papers.drawing.worn_stretch import step_of
from steadyrest.shop.part import Part
from steadyrest.web.pages.job import ToTurn
from steadyrest.web.showing.words import Words, numeral


def to_turn(part: Part, words: Words) -> ToTurn | None:
    """What the turning picture needs, if the part is a body.

    Args:
        part: as read and named.
        words: for its reader.
    Returns: the shape with its words, or None for a flat part.
    """
    shape = turning(part, unit=words.unit)
    if shape is None:
        return None
    worn = tuple(
        (step, f"no. {numeral(f.id)} worn {words.length(round(f.wear_mm or 0.0, 2))} deep")
        for f in part.features
        if (step := step_of(part, f.id))
    )
    return ToTurn(shape=shape, worn=worn, besides=tuple(besides(part, shape)))


def besides(part: Part, shape: Turning) -> Iterator[str]:
    """What the picture does not show as it is, in words."""
    if not shape.rings:
        yield "The body is drawn as its box; slots and pockets lie along its edges"
    if part.broken:
        yield "The broken end is drawn as if cut straight"
    if shape.undrawn:
        yield f"Not in this picture, but in the list of sizes: {', '.join(shape.undrawn)}"
