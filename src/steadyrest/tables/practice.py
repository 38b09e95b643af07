"""Rules of the trade that no table prints, by name, from practice.toml. Each says where it comes from.

A rule may name the machines that it is about, the metals, and the reasons that it decides, so that it can be looked up
and shown where it counts.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

UNITS: Mapping[str, str] = {
    "mm_rev": "mm/rev", "m_min": "m/min", "cm2_min": "cm2/min", "s_per_m": "s/m", "n_mm2": "N/mm2", "n_m2": "N/m2",
    "um": "um", "mm2": "mm2", "mm": "mm", "kg": "kg", "s": "s", "min": "min", "h": "h", "deg": "deg", "mpa": "MPa",
    "k": "K", "c": "degC", "n": "N", "w": "W", "nm": "Nm", "share": "share of 1", "ratio": "times", "odds": "odds",
    "dm2_s": "s/dm2",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: its value in the unit its name ends with, where it comes from, what it means.

    machines: kinds of machine or ways of working it is about; none: any. metals: ISO letters (P, M, K, N, S, H); none:
    any. decides: keys of the reasons that it stands behind. works: else in which figures it counts, or "advice only".
    """

    value: float
    standing: str
    note: str
    machines: tuple[str, ...] = ()
    metals: tuple[str, ...] = ()
    decides: tuple[str, ...] = ()
    works: str = ""


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
        found[name] = Rule(
            float(row["value"]), row["standing"], row["note"], tuple(row.get("machines", ())),
            tuple(row.get("metals", ())), tuple(row.get("decides", ())), row.get("works", ""),
        )  # fmt: skip
    return found


def rule(name: str) -> float:
    """A rule's value.

    Args:
        name: as in practice.toml.
    Returns: its value.
    Raises: KeyError: no such rule.
    """
    return rules()[name].value


def unit_of(name: str) -> str:
    """The unit that a rule's name ends with.

    Args:
        name: as in practice.toml.
    Returns: the unit; "" for a plain number.
    """
    ending = _ending(name)
    return UNITS[ending] if ending else ""


def called(name: str) -> str:
    """A rule's name as it is read: words, without the unit that stands with its value.

    Args:
        name: as in practice.toml.
    Returns: such as "thread clear".
    """
    ending = _ending(name)
    return (name.removesuffix(f"_{ending}") if ending else name).replace("_", " ")


def _ending(name: str) -> str:
    """The unit's letters at the end of a name; "" where there are none."""
    parts = name.split("_")
    endings = ("_".join(parts[-count:]) for count in (3, 2, 1) if len(parts) > count)
    return next((ending for ending in endings if ending in UNITS), "")


@cache
def _deciding() -> Mapping[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for name, one in rules().items():
        for key in one.decides:
            found.setdefault(key, []).append(name)
    return {key: tuple(names) for key, names in found.items()}


def deciding(keys: Iterable[str]) -> tuple[str, ...]:
    """Names of the rules that stand behind these reasons, each once.

    Args:
        keys: of reasons.
    Returns: names, in the order in which the reasons come.
    """
    return tuple(dict.fromkeys(name for key in keys for name in _deciding().get(key, ())))
