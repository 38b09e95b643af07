"""Lengths: mm, decimal inch, fractions, feet and inches."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NoReturn

from steadyrest.units.shown import trimmed
from steadyrest.units.written import NUMBER, exact_number, plain_text, refuse

LengthUnit = Literal["mm", "in"]

MM_PER_IN = 25.4
EXACT_IN = Fraction(254, 10)
# A length goes by its fraction's name only if four decimals would say the same: 36.5 mm is 1.437 in, not 1-7/16.
NAMED_WITHIN_IN = 0.00005
FRACTIONS = (2, 4, 8, 16, 32, 64)
LONGEST_MM = 1e6
SAME = 1e-6  # a limit that is a whole step but for the arithmetic
DECIMAL_LENGTH = re.compile(rf"({NUMBER})\s*([a-zµ\"]*)")
FRACTION = re.compile(r"(?:([0-9]+)(?:-|\s+))?([0-9]+)\s*/\s*([0-9]+)\s*([a-zµ\"']*)")
FEET = re.compile(rf"({NUMBER})\s*(?:'|ft|foot|feet)\s*-?\s*(.*)")
LENGTHS = {
    "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "µm": Fraction(1, 1000), "um": Fraction(1, 1000),
    "in": EXACT_IN, "inch": EXACT_IN, "inches": EXACT_IN, '"': EXACT_IN, "thou": EXACT_IN / 1000,
}  # fmt: skip
INCHES = ("in", "inch", "inches", '"')


@dataclass(frozen=True, slots=True)
class WrittenLength:
    """A length as somebody wrote it.

    mm: the length. unit: "mm" or "in", the family it was written in. stated: False where no unit was written, so that
    the page can say what it was taken for ("7/16 taken as inches").
    """

    mm: float
    unit: LengthUnit
    stated: bool


def read_length(text: str, unit: LengthUnit = "mm", where: str = "length") -> WrittenLength:
    """A length as written, with the unit that it was taken in.

    Args:
        text: `36.5`, `36,5`, `2.5 cm`, `1.4375 in`, `1-7/16`, `3/8"`, `2' 3-1/2"`, `5 thou`, `12 µm` and the like.
        unit: what a plain number means, "mm" or "in"; a fraction without a unit is inches whatever this says.
        where: the field or key, for the line a person sees.
    Returns: the length, not negative.
    Raises: BadInput: negative, not a length, a thread or gauge number, zero below the line, over a kilometre.
    """
    if unit not in ("mm", "in"):
        raise ValueError(f"read_length: unit {unit!r} must be 'mm' or 'in'")
    plain = plain_text(text, where, "Write a length such as 36.5 mm or 1-7/16 in.")
    found = _feet(plain) or _fraction(plain) or _decimal(plain, unit)
    if found is None:
        _no_length(text, plain, where)
    if found.mm > LONGEST_MM:
        refuse(where, text, "is longer than a kilometre.", "Check the number and its unit.")
    return found


def parse_length(text: str, unit: LengthUnit = "mm", where: str = "length") -> float:
    """A length as written, in mm.

    Args:
        text: see read_length.
        unit: what a plain number means, "mm" or "in"; a fraction without a unit is inches whatever this says.
        where: the field or key, for the line a person sees.
    Returns: mm, not negative.
    Raises: BadInput: see read_length.
    """
    return read_length(text, unit, where).mm


def show_length(mm: float, unit: LengthUnit = "mm", *, fractions: bool = True) -> str:
    """A length as a person reads it.

    Args:
        mm: the length; negative for a step the other way.
        unit: "mm" (up to 3 decimals) or "in" (a fraction to 1/64 where four decimals say the same, else decimals).
        fractions: False writes inches in decimals always, as limits are written.
    Returns: text such as "36.513 mm", "1-7/16 in" or "1.438 in".
    Raises: ValueError: not finite, or another unit.
    """
    if not math.isfinite(mm) or unit not in ("mm", "in"):
        raise ValueError(f"show_length: {mm!r} {unit!r} cannot be shown")
    if unit == "mm":
        return f"{trimmed(mm, most=3)} mm"
    inches = mm / MM_PER_IN
    nearest = Fraction(round(inches * 64), 64)
    if fractions and abs(inches - float(nearest)) < NAMED_WITHIN_IN:
        return f"{_fraction_text(nearest)} in"
    return f"{trimmed(inches, most=4, least=3)} in"


def show_limits(low_mm: float, high_mm: float, unit: LengthUnit = "mm") -> str:
    """Two limits with the same decimals, rounded inward, such as "25.002 to 25.015 mm" or "0.9844 to 0.9848 in"."""
    low, high = limit_digits(low_mm, high_mm, unit)
    if not low:  # closer together than the last digit: what is nearest says more than nothing
        per = MM_PER_IN if unit == "in" else 1.0
        digits = 4 if unit == "in" else 3
        low, high = f"{low_mm / per:.{digits}f}", f"{high_mm / per:.{digits}f}"
    return f"{low} to {high} {unit}"


def limit_digits(low_mm: float, high_mm: float, unit: LengthUnit) -> tuple[str, str]:
    """Two limits to 0.001 mm or 0.0001 in, rounded inward, so that what is shown allows no more than what is meant.

    Args:
        low_mm, high_mm: the limits.
        unit: "mm" or "in".
    Returns: both as digits of one length; ("", "") when nothing is left between them at that step.
    """
    steps_per_mm, digits = (10_000 / MM_PER_IN, 4) if unit == "in" else (1_000.0, 3)
    low, high = math.ceil(low_mm * steps_per_mm - SAME), math.floor(high_mm * steps_per_mm + SAME)
    return (f"{low / 10**digits:.{digits}f}", f"{high / 10**digits:.{digits}f}") if low <= high else ("", "")


def nearest_fraction(mm: float, denominators: tuple[int, ...] = FRACTIONS) -> tuple[str, float]:
    """The nearest named inch fraction, and how far the length is from it.

    Args:
        mm: the length.
        denominators: those allowed; of equally near ones the coarsest is taken.
    Returns: text such as "1-7/16 in", and length minus fraction in mm (positive: the length is larger).
    Raises: ValueError: the length is not finite, or no denominator is given.
    """
    if not math.isfinite(mm) or not denominators:
        raise ValueError(f"nearest_fraction: {mm!r} over {denominators!r} has no nearest fraction")
    inches = mm / MM_PER_IN
    near = [Fraction(round(inches * bottom), bottom) for bottom in sorted(denominators)]
    best = min(near, key=lambda fraction: abs(inches - float(fraction)))
    return f"{_fraction_text(best)} in", mm - float(best) * MM_PER_IN


def show_fraction_with_error(mm: float, denominators: tuple[int, ...] = FRACTIONS) -> str:
    """The nearest named fraction with the error stated, such as "1-7/16 in less 0.013 mm"."""
    text, over_mm = nearest_fraction(mm, denominators)
    if abs(over_mm) < 0.0005:
        return text
    return f"{text} {'plus' if over_mm > 0 else 'less'} {trimmed(abs(over_mm), most=3)} mm"


def _written(exact_mm: Fraction, unit: LengthUnit, stated: bool) -> WrittenLength:
    return WrittenLength(float(exact_mm), unit, stated)


def _decimal(plain: str, unit: LengthUnit) -> WrittenLength | None:
    match = DECIMAL_LENGTH.fullmatch(plain)
    if not match or (match[2] and match[2] not in LENGTHS):
        return None
    inches = match[2] in (*INCHES, "thou") or (not match[2] and unit == "in")
    return _written(exact_number(match[1]) * LENGTHS[match[2] or unit], "in" if inches else "mm", bool(match[2]))


def _fraction(plain: str) -> WrittenLength | None:
    match = FRACTION.fullmatch(plain)
    if not match or (match[4] and match[4] not in INCHES):
        return None
    top, bottom = int(match[2]), int(match[3])
    if bottom == 0 or (match[1] and top >= bottom):
        return None
    return _written((int(match[1] or 0) + Fraction(top, bottom)) * EXACT_IN, "in", bool(match[4]))


def _feet(plain: str) -> WrittenLength | None:
    match = FEET.fullmatch(plain)
    if not match:
        return None
    feet_mm = exact_number(match[1]) * 12 * EXACT_IN
    if not match[2]:
        return _written(feet_mm, "in", True) if not plain.endswith("-") else None
    rest = _fraction(match[2]) or _decimal(match[2], "in")
    if rest is None or rest.unit != "in" or not match[1].isdigit() or rest.mm >= 12 * MM_PER_IN:
        return None
    return _written(feet_mm + Fraction(repr(rest.mm)), "in", True)


def _no_length(text: str, plain: str, where: str) -> NoReturn:
    """Says why this is no length, as narrowly as can be told."""
    if plain.startswith("-"):
        refuse(where, text, "is negative.", "Write a length of zero or more.")
    if re.fullmatch(r"m\s*[0-9].*|(?:[0-9]+|[0-9]+/[0-9]+)-[0-9]+(?:\s*un.*)?", plain):
        refuse(where, text, "is a thread, not a length.", "Write its diameter, such as 10 mm or 5/16 in.")
    if re.search(r"#|\b(ga|gauge|swg|awg)\b|[0-9]ga\b", plain):
        refuse(where, text, "is a gauge number, not a length.", "Write the size itself, such as 2.66 mm or 0.105 in.")
    if re.search(r"/\s*0+(?![0-9])", plain):
        refuse(where, text, "divides by zero.", "Write a fraction such as 7/16.")
    if re.search(r"/.*(mm|cm|m|ft)$", plain):
        refuse(where, text, "is a fraction of something other than inches.", "Write it in decimals, such as 0.5 mm.")
    if len(re.findall(r"[.,]", plain)) > 1:
        refuse(where, text, "has two decimal points.", "Write 1234.5, without anything between thousands.")
    if re.fullmatch(rf"{NUMBER}\s*mils?", plain):
        refuse(where, text, "may mean two different units.", "Write mm or thou.")
    refuse(where, text, "is not a length.", "Write a length such as 36.5 mm, 1.4375 in or 1-7/16 in.")


def _fraction_text(fraction: Fraction) -> str:
    sign, size = ("-" if fraction < 0 else ""), abs(fraction)
    whole, rest = divmod(size, 1)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{f'{whole}-' if whole else ''}{rest.numerator}/{rest.denominator}"
