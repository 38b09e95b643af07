"""A drawing for a dark page from the same drawing for a light one: where only its colours differ, draw it once."""

from __future__ import annotations

import re

from steadyrest.papers.drawing.ink import DARK, LIGHT

COLOUR = re.compile(r"#[0-9a-f]{6}")
DARK_OF = {getattr(LIGHT, name): getattr(DARK, name) for name in ("ink", "soft", "body", "cut", "paper")}


def darkened(svg: str) -> str:
    """The drawing in the colours of a dark page.

    Args:
        svg: drawn with the light palette, without wear.
    Returns: SVG text; the same as if it had been drawn dark.
    """
    return COLOUR.sub(lambda found: DARK_OF.get(found[0], found[0]), svg)
