"""Ten pegs, so many filled: the odds of a promise, with the word for it."""

from __future__ import annotations

from steadyrest import units
from steadyrest.papers.drawing import ink

PEGS = 10
HOLDS = 0.9
THIN = 0.5
PITCH_MM = 7.0
RADIUS_MM = 2.6


def word(odds: float) -> str:
    """ "holds" from nine in ten, "thin" from five in ten, else "gone"."""
    return "holds" if odds >= HOLDS else "thin" if odds >= THIN else "gone"


def pegs_svg(odds: float, *, dark: bool = False) -> str:
    """The odds as ten pegs and a word.

    Args:
        odds: 0 to 1; pegs round down.
        dark: for a dark page.
    Returns: SVG text.
    Raises: ValueError: odds outside 0 to 1.
    """
    if not 0 <= odds <= 1:
        raise ValueError(f"pegs_svg: odds {odds!r} are not between 0 and 1")
    colours = ink.DARK if dark else ink.LIGHT
    filled = units.pegs(odds)
    body: list[str] = []
    for k in range(PEGS):
        x, y = 4.2 + k * PITCH_MM + (2.0 if k >= PEGS // 2 else 0.0), 6.0
        if k < filled:
            body.append(ink.circle((x, y), RADIUS_MM, fill=colours.ink, stroke=colours.ink, width=0.5))
        else:
            # An empty peg is a hole: a thin ring with a point, so that it differs without colour and in poor print.
            body.append(ink.circle((x, y), RADIUS_MM, fill="none", stroke=colours.soft, width=0.5))
            body.append(ink.circle((x, y), 0.45, fill=colours.soft))
    end = 4.2 + (PEGS - 1) * PITCH_MM + 2.0 + RADIUS_MM
    said = word(odds)
    body.append(ink.text((end + 3.5, 7.75), said, size=5.0, fill=colours.ink, bold=True, klass="pegs-word"))
    width = end + 3.5 + 17.0
    meaning = f"{filled} of ten pegs filled: {units.show_odds(odds)}, it {'is ' if said != 'holds' else ''}{said}"
    return ink.svg(body, width_mm=width, height_mm=12.0, title=f"{units.show_odds(odds)}: {said}", description=meaning)
