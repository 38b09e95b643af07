"""What people write, made plain: one kind of quote, dash and space; numbers; and the line that refuses."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from fractions import Fraction
from typing import NoReturn

from steadyrest.trouble import BadInput

LONGEST_TEXT = 60
NUMBER = r"(?:[0-9]+(?:[.,][0-9]+)?|[0-9]+\.|[.,][0-9]+)"
LOOKALIKES = str.maketrans({
    "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "–": "-", "−": "-", "‐": "-", "‑": "-", "⁄": "/",
    "μ": "µ", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
})  # fmt: skip


def plain_text(text: str, where: str, how: str) -> str:
    """Lower case, plain quotes, dashes and spaces, `½` spelled out; refuses an empty or endless text."""
    if len(text) > LONGEST_TEXT:
        refuse(where, text, "is too long to be one.", how)
    whole = "".join(spelled(char, text[at - 1] if at else "") for at, char in enumerate(text))
    plain = whole.translate(LOOKALIKES).lower().replace("''", '"').strip()
    if not plain:
        raise BadInput(where=where, what="nothing is written there.", do=how)
    return plain


def spelled(char: str, before: str) -> str:
    apart = unicodedata.normalize("NFKC", char) if unicodedata.category(char) == "No" else ""
    if "⁄" not in apart:
        return char
    return f" {apart}" if before.isdigit() else apart


def exact_number(text: str) -> Fraction:
    return Fraction(text.replace(",", ".").rstrip("."))


def amount_of(plain: str, sizes: Mapping[str, Fraction]) -> float | None:
    """`1 h 30 min` in the base unit; None unless each unit is known and smaller than the one before."""
    if not re.fullmatch(rf"(?:{NUMBER}\s*[a-z]+\s*)+", plain):
        return None
    total, last = Fraction(0), None
    for number, name in re.findall(rf"({NUMBER})\s*([a-z]+)", plain):
        size = sizes.get(name)
        if size is None or (last is not None and size >= last):
            return None
        last = size
        total += exact_number(number) * size
    return float(total)


def refuse(where: str, text: str, what: str, do: str) -> NoReturn:
    short = "".join(char if char.isprintable() else "?" for char in text[:LONGEST_TEXT])
    more = "..." if len(text) > LONGEST_TEXT else ""
    raise BadInput(where=where, what=f"“{short}{more}” {what}", do=do)
