"""Sentences and amounts as they stand on a paper."""

from __future__ import annotations

from collections.abc import Iterable

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Piece, Shop
from steadyrest.shop.work import Blank
from steadyrest.units import LengthUnit, show_length
from steadyrest.wording.say import Reader, say

DIAMETER = "⌀"


def in_own_words(text: str) -> Reason:
    """A person's own words as a reason, so that they stand on a paper among the others."""
    return because("paper.said", text=text)


def length_unit(shop: Shop) -> LengthUnit:
    """The unit that this shop reads lengths in."""
    return "in" if shop.unit == "in" else "mm"


def reader(shop: Shop) -> Reader:
    """Who reads this shop's papers."""
    return Reader(length_unit(shop), shop.currency)


def numeral(feature: str) -> str:
    """A feature's numeral as it stands in the picture: "2" for "F2"."""
    return feature.lstrip("F") or feature


def sentence(reason: Reason, who: Reader) -> str:
    """A reason as a sentence that stands by itself."""
    said = say(reason, who).strip()
    return said[:1].upper() + said[1:] + ("" if said.endswith((".", "?", "!")) else ".")


def sentences(reasons: Iterable[Reason], who: Reader) -> list[str]:
    """Several reasons, each sentence once, in their order."""
    return list(dict.fromkeys(sentence(reason, who) for reason in reasons))


def section(shape: str, size_mm: tuple[float, ...], unit: LengthUnit) -> str:
    """A bar's section in few signs: "⌀ 45 mm", "40 x 20 mm flat"."""
    sizes = [show_length(size, unit) for size in size_mm]
    if shape == "round":
        return f"{DIAMETER} {sizes[0]}"
    if shape == "tube":
        return f"tube {DIAMETER} {sizes[0]}, wall {sizes[1]}"
    if shape == "hexagon":
        return f"hexagon {sizes[0]} across flats"
    return f"{shape} {' × '.join(sizes)}"


def cut_length(mm: float, unit: LengthUnit) -> str:
    """A length to be sawn: to 0.1 mm or 0.01 in, finer than any saw."""
    return f"{mm / 25.4:.2f} in" if unit == "in" else show_length(round(mm, 1), unit)


def blank_words(blank: Blank, unit: LengthUnit) -> str:
    """What goes into the first machine: "⌀ 45 mm, 275 mm long"."""
    return f"{section(blank.shape, blank.size_mm, unit)}, {cut_length(blank.length_mm, unit)} long"


def piece_words(piece: Piece, unit: LengthUnit) -> str:
    """A piece on the floor: "⌀ 45 mm × 820 mm, bright drawn"."""
    return f"{section(piece.shape, piece.size_mm, unit)} × {cut_length(piece.length_mm, unit)}, {piece.condition}"
