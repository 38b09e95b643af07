"""Reading and showing what people write: lengths, times, weights, odds, money.

Inside the house everything is mm, s, kg. A person writes `36,5`, `1-7/16`, `2' 3-1/2"`, `90 min`, and sees the same
kind of thing again. Any text either reads or is refused with one clear line (BadInput); nothing is guessed. Worth
knowing: a comma in a length is always a decimal comma; a fraction without a unit is always inches; a day is 24 hours.

Factors are exact: 1 in = 25.4 mm, 1 lb = 0.45359237 kg (international yard and pound, 1959).
Start at lengths.py; written.py makes plain what was typed.
"""

from steadyrest.units.lengths import (
    FRACTIONS,
    MM_PER_IN,
    LengthUnit,
    WrittenLength,
    nearest_fraction,
    parse_length,
    read_length,
    show_fraction_with_error,
    show_length,
    show_limits,
)
from steadyrest.units.masses import MassUnit, parse_mass, show_mass
from steadyrest.units.money import parse_money, show_money
from steadyrest.units.odds import pegs, show_odds
from steadyrest.units.times import parse_time, show_time

__all__ = [
    "FRACTIONS", "MM_PER_IN", "LengthUnit", "MassUnit", "WrittenLength", "nearest_fraction", "parse_length",
    "parse_mass", "parse_money", "parse_time", "pegs", "read_length", "show_fraction_with_error", "show_length",
    "show_limits", "show_mass", "show_money", "show_odds", "show_time",
]  # fmt: skip
