"""A view with its numerals, ready to be put above its list."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Drawn:
    """Shapes of a view. height: how far down it reaches, mm. left_out: numerals that found no place."""

    shapes: tuple[str, ...]
    height: float
    left_out: tuple[str, ...]
