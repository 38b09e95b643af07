"""The revised lifting equation of 1991: its constants in both systems of units, its tables."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest.tables.rows import rows

LiftSystem = Literal["metric", "us"]
Hours = Literal["short", "moderate", "long"]
Grip = Literal["good", "fair", "poor"]


@dataclass(frozen=True, slots=True)
class LiftConstants:
    """The equation's constants, in cm and kg or in inches and pounds. Names as in lifting_equation.csv."""

    load: float
    horizontal: float
    horizontal_most: float
    height: float
    height_slope: float
    height_most: float
    travel: float
    travel_base: float
    travel_least: float
    travel_most: float
    twist_slope: float
    twist_most: float
    often_least: float
    index_raised: float
    index_most: float


@cache
def lift_constants(system: LiftSystem) -> LiftConstants:
    """The constants of one system of units.

    Args:
        system: "metric": cm and kg; "us": inches and pounds.
    Returns: the constants.
    """
    return LiftConstants(**{row.text("name"): row.number(system) for row in rows("lifting_equation")})


@cache
def often_table(hours: Hours, *, low: bool) -> tuple[tuple[float, float], ...]:
    """What lifting so often leaves, by lifts a minute.

    Args:
        hours: how long it goes on.
        low: the hands are low where the lift begins.
    Returns: lifts a minute, rising, and the multiplier.
    """
    column = f"{hours}_low" if low else hours
    return tuple((row.number("per_min"), row.number(column)) for row in rows("lifting_often"))


@cache
def grip_share(grip: Grip, *, low: bool) -> float:
    """What the grip leaves.

    Args:
        grip: good, fair or poor.
        low: the hands are low at the end that is judged.
    Returns: the multiplier.
    Raises: KeyError: no such grip.
    """
    found = {row.text("grip"): row for row in rows("lifting_grip")}
    return found[grip].number("low" if low else "high")


@cache
def carrying_rule(name: str) -> float:
    """A rule for slings and trailers.

    Args:
        name: as in carrying_rules.csv.
    Returns: its value.
    Raises: KeyError: no such rule.
    """
    return {row.text("name"): row.number("value") for row in rows("carrying_rules")}[name]
