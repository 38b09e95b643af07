"""Rules of the trade that no table prints, by name, from practice.toml. Each says where it comes from."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: its value in the unit its name ends with, where it comes from, what it means."""

    value: float
    standing: str
    note: str


@cache
def rules() -> Mapping[str, Rule]:
    """Every rule by its name.

    Returns: name to rule.
    Raises: ValueError: a row without standing or note.
    """
    text = (resources.files("steadyrest.tables") / "practice.toml").read_text(encoding="utf-8")
    found: dict[str, Rule] = {}
    for name, row in tomllib.loads(text).items():
        if not row["standing"] or not row["note"]:
            raise ValueError(f"practice.toml: {name} has no standing or note")
        found[name] = Rule(float(row["value"]), row["standing"], row["note"])
    return found


def rule(name: str) -> float:
    """A rule's value.

    Args:
        name: as in practice.toml.
    Returns: its value.
    Raises: KeyError: no such rule.
    """
    return rules()[name].value
