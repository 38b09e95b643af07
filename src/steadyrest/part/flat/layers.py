"""What a layer's name says of what is drawn on it: cut, bend, engrave, or aside (dimensions, centre lines)."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib import resources
from typing import Literal, cast

Role = Literal["cut", "bend", "engrave", "aside"]
ORDER: tuple[Role, ...] = ("cut", "bend", "engrave", "aside")
WORD = re.compile(r"[^\W\d_]+")
LONG = 6  # letters from which a word counts inside a longer one


@cache
def words() -> dict[Role, frozenset[str]]:
    """The words of each role, of all languages."""
    table = read_table()
    return {role: frozenset(w for some in table[role].values() for w in some) for role in ORDER}


@cache
def read_table() -> dict[str, dict[str, list[str]]]:
    text = resources.files("steadyrest.part.flat").joinpath("layers.toml").read_text(encoding="utf-8")
    return cast("dict[str, dict[str, list[str]]]", tomllib.loads(text))


def role_of(layer: str, linetype: str = "") -> Role | None:
    """What is drawn on a layer, by its name, and in a line type, by its own; None where neither says.

    Args:
        layer: its name in any of the languages of layers.toml.
        linetype: of the line or of its layer.
    Returns: the role. A line type that no cut is drawn in counts before a layer that says nothing or "cut".
    """
    named = by_name(layer)
    drawn_aside = any(linetype.lower().startswith(start) for start in read_table()["linetype"]["aside"])
    return "aside" if drawn_aside and named in (None, "cut") else named


def by_name(layer: str) -> Role | None:
    """The role that a layer's name says; the first word that is one decides, a whole word before a part of one."""
    parts = [w.lower() for w in WORD.findall(split_at_capitals(layer))]
    whole = layer.lower()
    for part in (*parts, whole):
        for role in ORDER:
            if part in words()[role]:
                return role
    for part in parts:
        for role in ORDER:
            if any(len(w) >= LONG and w in part for w in words()[role]):
                return role
    return None


def split_at_capitals(layer: str) -> str:
    """OuterProfile as two words; OUTER as one."""
    return re.sub(r"(?<=[a-zäöüß])(?=[A-ZÄÖÜ])", " ", layer)
