"""A number that a person will see, and why it is what it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a figure is what it is, or why something is refused, as data.

    key: names a sentence in wording/words/*.toml, such as "limit.spindle_power".
    given: what the sentence needs, by name; figures and lengths are worded in the reader's own units.
    source: a key of tables/sources.toml, where a published value decided.
    """

    key: str
    given: tuple[tuple[str, Figure | float | str], ...] = ()
    source: str | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """A number that a person will see, and why it is what it is.

    value: in the house unit named by `unit`.
    unit: "mm", "s", "kg", "N", "Nm", "W", "MPa", "rpm", "m/min", "mm/rev", "mm/min", "money", "1" (a plain number).
    why: never empty, most telling first.
    """

    value: float
    unit: str
    why: tuple[Reason, ...]

    def __post_init__(self) -> None:
        if not self.why:
            raise ValueError(f"Figure: a figure carries a reason; {self.value!r} {self.unit!r} has none")


def because(key: str, source: str | None = None, **given: Figure | float | str) -> Reason:
    """A reason, with what its sentence needs given by name."""
    return Reason(key, tuple(given.items()), source)


def least(limits: Sequence[Figure]) -> Figure:
    """The smallest of several limits; its own reasons first, then what would bind next."""
    first, *rest = sorted(limits, key=lambda limit: limit.value)
    after = (Reason("limit.next", (("figure", rest[0]),)),) if rest else ()
    return Figure(first.value, first.unit, first.why + after)
