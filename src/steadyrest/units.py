"""Reading and showing what people write: lengths, times, weights, odds, money.

Inside the house everything is mm, s, kg. A person writes `36,5`, `1-7/16`, `2' 3-1/2"`, `90 min`, and sees the same
kind of thing again. Any text either reads or is refused with one clear line (BadInput); nothing is guessed. Worth
knowing: a comma in a length is always a decimal comma; a fraction without a unit is always inches; a day is 24 hours.

Factors are exact: 1 in = 25.4 mm, 1 lb = 0.45359237 kg (international yard and pound, 1959).
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Literal, NoReturn

from steadyrest.trouble import BadInput

LengthUnit = Literal["mm", "in"]
MassUnit = Literal["kg", "lb"]

MM_PER_IN = 25.4
EXACT_IN = Fraction(254, 10)
KG_PER_LB = 0.45359237
# A length goes by its fraction's name only if four decimals would say the same: 36.5 mm is 1.437 in, not 1-7/16.
NAMED_WITHIN_IN = 0.00005
FRACTIONS = (2, 4, 8, 16, 32, 64)
LONGEST_MM = 1e6
LONGEST_S = 10 * 365 * 86400
HEAVIEST_KG = 1e6
LONGEST_TEXT = 60

NUMBER = r"(?:[0-9]+(?:[.,][0-9]+)?|[0-9]+\.|[.,][0-9]+)"
DECIMAL_LENGTH = re.compile(rf"({NUMBER})\s*([a-zµ\"]*)")
FRACTION = re.compile(r"(?:([0-9]+)(?:-|\s+))?([0-9]+)\s*/\s*([0-9]+)\s*([a-zµ\"']*)")
FEET = re.compile(rf"({NUMBER})\s*(?:'|ft|foot|feet)\s*-?\s*(.*)")
LENGTHS = {
    "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "µm": Fraction(1, 1000), "um": Fraction(1, 1000),
    "in": EXACT_IN, "inch": EXACT_IN, "inches": EXACT_IN, '"': EXACT_IN, "thou": EXACT_IN / 1000,
}  # fmt: skip
INCHES = ("in", "inch", "inches", '"')
TIMES = {name: Fraction(size) for size, names in (
    (86400, ("d", "day", "days")), (3600, ("h", "hr", "hrs", "hour", "hours")),
    (60, ("min", "minute", "minutes")), (1, ("s", "sec", "second", "seconds")),
) for name in names}  # fmt: skip
MASSES = {
    "kg": Fraction(1), "g": Fraction(1, 1000), "t": Fraction(1000),
    "lb": Fraction("0.45359237"), "lbs": Fraction("0.45359237"), "oz": Fraction("0.45359237") / 16,
}  # fmt: skip
LOOKALIKES = str.maketrans({
    "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "–": "-", "−": "-", "‐": "-", "‑": "-", "⁄": "/",
    "μ": "µ", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
})  # fmt: skip


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
    plain = _plain(text, where, "Write a length such as 36.5 mm or 1-7/16 in.")
    found = _feet(plain) or _fraction(plain) or _decimal(plain, unit)
    if found is None:
        _no_length(text, plain, where)
    if found.mm > LONGEST_MM:
        _refuse(where, text, "is longer than a kilometre.", "Check the number and its unit.")
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
        return f"{_trimmed(mm, most=3)} mm"
    inches = mm / MM_PER_IN
    nearest = Fraction(round(inches * 64), 64)
    if fractions and abs(inches - float(nearest)) < NAMED_WITHIN_IN:
        return f"{_fraction_text(nearest)} in"
    return f"{_trimmed(inches, most=4, least=3)} in"


def show_limits(low_mm: float, high_mm: float, unit: LengthUnit = "mm") -> str:
    """Two limits with the same decimals, such as "25.002 to 25.015 mm" or "0.9844 to 0.9848 in"."""
    if unit == "in":
        return f"{low_mm / MM_PER_IN:.4f} to {high_mm / MM_PER_IN:.4f} in"
    return f"{low_mm:.3f} to {high_mm:.3f} mm"


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
    return f"{text} {'plus' if over_mm > 0 else 'less'} {_trimmed(abs(over_mm), most=3)} mm"


def parse_time(text: str, where: str = "time") -> float:
    """A stretch of time as written, in s.

    Args:
        text: `90 min`, `1.5 h`, `45s`, `1 h 30 min`, `1:30` (hours:minutes), `1:30:15`, `2 days`; a day is 24 h.
        where: the field or key, for the line a person sees.
    Returns: s, not negative.
    Raises: BadInput: not a time, or a number without a unit.
    """
    how = "Write a time such as 45 s, 90 min, 1.5 h or 1:30."
    plain = _plain(text, where, how)
    if clock := re.fullmatch(r"([0-9]{1,4}):([0-5][0-9])(?::([0-5][0-9]))?", plain):
        return int(clock[1]) * 3600.0 + int(clock[2]) * 60 + int(clock[3] or 0)
    if re.fullmatch(NUMBER, plain):
        _refuse(where, text, "has no unit.", how)
    seconds = _amount(plain, TIMES)
    if seconds is None:
        _refuse(where, text, "is not a time.", how)
    if seconds > LONGEST_S:
        _refuse(where, text, "is longer than ten years.", "Check the number and its unit.")
    return seconds


def show_time(s: float, *, to_the_minute: bool = False) -> str:
    """A stretch of time as a person reads it, no finer than it deserves.

    Args:
        s: seconds; negative for earlier.
        to_the_minute: True for hours that were really clocked; estimates above half an hour go by five minutes,
            above ten hours by the half hour, above a day by the hour.
    Returns: "45 s", "2 min 30 s", "12 min", "2 h 10 min", "1 day 3 h".
    Raises: ValueError: not finite.
    """
    if not math.isfinite(s):
        raise ValueError(f"show_time: {s!r} cannot be shown")
    if s < 0:
        return f"-{show_time(-s, to_the_minute=to_the_minute)}"
    if s < 89.5:
        return f"{math.floor(s + 0.5)} s"
    if s < 595:
        return _together(_nearest(s, 10), (("min", 60), ("s", 1)))
    if to_the_minute:
        return _together(_nearest(s, 60), (("h", 3600), ("min", 60)))
    grain_s = 60 if s < 1800 else 300 if s < 36000 else 1800 if s < 86400 - 900 else 3600
    return _together(_nearest(s, grain_s), (("day", 86400), ("h", 3600), ("min", 60)))


def parse_mass(text: str, unit: MassUnit | None = None, where: str = "weight") -> float:
    """A weight as written, in kg.

    Args:
        text: `12.5 kg`, `500 g`, `1.2 t`, `40 lb`, `5 lb 4 oz`.
        unit: what a plain number means; None refuses a plain number.
        where: the field or key, for the line a person sees.
    Returns: kg, not negative.
    Raises: BadInput: not a weight, a number without a unit, or "ton", which is three different weights.
    """
    how = "Write a weight such as 12.5 kg, 500 g, 1.2 t or 40 lb."
    plain = _plain(text, where, how)
    if unit is not None and re.fullmatch(NUMBER, plain):
        plain = f"{plain} {unit}"
    if re.fullmatch(NUMBER, plain):
        _refuse(where, text, "has no unit.", how)
    weight = _amount(plain, MASSES)
    if weight is None:
        ton = re.search(r"(?<![a-z])tons?$", plain)
        _refuse(where, text, "may mean three different weights." if ton else "is not a weight.", how)
    if weight > HEAVIEST_KG:
        _refuse(where, text, "is over a thousand tonnes.", "Check the number and its unit.")
    return weight


def show_mass(kg: float, unit: MassUnit = "kg") -> str:
    """A weight to three figures, such as "15.4 kg", "213 g" or "34 lb".

    Args:
        kg: the weight.
        unit: "kg" (grams below one) or "lb".
    Returns: text.
    Raises: ValueError: not finite, or another unit.
    """
    if not math.isfinite(kg) or unit not in ("kg", "lb"):
        raise ValueError(f"show_mass: {kg!r} {unit!r} cannot be shown")
    if unit == "kg" and abs(kg) < 0.9995:
        return f"{_three_figures(kg * 1000)} g"
    return f"{_three_figures(kg if unit == 'kg' else kg / KG_PER_LB)} {unit}"


def pegs(share: float) -> int:
    """How many of ten pegs are filled for these odds; rounded down, so that ten means always.

    Args:
        share: 0 to 1.
    Returns: 0 to 10.
    Raises: ValueError: outside 0 to 1.
    """
    if not 0 <= share <= 1:
        raise ValueError(f"pegs: share {share!r} must be between 0 and 1")
    return math.floor(share * 10 + 1e-12)


def show_odds(share: float) -> str:
    """Odds as a person says them, rounded down: "9 in 10"."""
    return f"{pegs(share)} in 10"


def parse_money(text: str, currency: str = "", where: str = "amount", *, may_be_negative: bool = False) -> Decimal:
    """An amount of money as written.

    Args:
        text: `95`, `95.00`, `95,00`, `1,234.50`, `1.234,50`, `1 234.50`, with the currency before or behind if given.
        currency: the only currency that the text may name; "" allows none.
        where: the field or key, for the line a person sees.
        may_be_negative: True for a credit.
    Returns: the amount, not rounded.
    Raises: BadInput: not an amount, another currency, or `1,234`, which reads two ways.
    """
    how = f"Write an amount such as 1234.50{' ' + currency if currency else ''}."
    plain = _plain(text, where, how)
    name = re.escape(currency.lower())
    bare = re.sub(rf"^{name}\s*|\s*{name}$", "", plain, count=1) if name else plain
    sign, digits = (-1, bare[1:].strip()) if bare.startswith("-") else (1, bare)
    if sign < 0 and not may_be_negative:
        _refuse(where, text, "is negative.", how)
    amount = _ungrouped(digits)
    if amount is None and re.fullmatch(r"[0-9]{1,3},[0-9]{3}", digits):
        _refuse(where, text, "reads two ways.", f"Write {digits.replace(',', '')} or {digits.replace(',', '.')}.")
    if amount is None:
        _refuse(where, text, "is not an amount of money.", how)
    return sign * amount


def _ungrouped(digits: str) -> Decimal | None:
    """An amount with or without thousands apart; None where it reads two ways or not at all."""
    if re.fullmatch(NUMBER, digits) and not re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", digits):
        return Decimal(digits.replace(",", "."))
    for group, point in ((",", "."), (".", ","), (" ", "."), (" ", ",")):
        lead, behind = rf"[0-9]{{1,3}}(?:{re.escape(group)}[0-9]{{3}})", rf"{re.escape(point)}[0-9]+"
        if re.fullmatch(rf"{lead}+{behind}|{lead}{{{1 if group == ' ' else 2},}}", digits):
            return Decimal(digits.replace(group, "").replace(point, "."))
    return None


def show_money(amount: Decimal, currency: str = "") -> str:
    """An amount to the cent, half up, with its currency; thousands apart from ten thousand on: "12 400.00 EUR"."""
    cents = amount.quantize(Decimal("0.01"), ROUND_HALF_UP)
    digits = f"{cents:,.2f}".replace(",", "\u00a0") if abs(cents) >= 10000 else f"{cents:.2f}"
    return f"{digits} {currency}".strip()


def _plain(text: str, where: str, how: str) -> str:
    """Lower case, plain quotes, dashes and spaces, `½` spelled out; refuses an empty or endless text."""
    if len(text) > LONGEST_TEXT:
        _refuse(where, text, "is too long to be one.", how)
    spelled = "".join(_spelled(char, text[at - 1] if at else "") for at, char in enumerate(text))
    plain = spelled.translate(LOOKALIKES).lower().replace("''", '"').strip()
    if not plain:
        raise BadInput(where=where, what="nothing is written there.", do=how)
    return plain


def _spelled(char: str, before: str) -> str:
    apart = unicodedata.normalize("NFKC", char) if unicodedata.category(char) == "No" else ""
    if "⁄" not in apart:
        return char
    return f" {apart}" if before.isdigit() else apart


def _number(text: str) -> Fraction:
    return Fraction(text.replace(",", ".").rstrip("."))


def _written(exact_mm: Fraction, unit: LengthUnit, stated: bool) -> WrittenLength:
    return WrittenLength(float(exact_mm), unit, stated)


def _decimal(plain: str, unit: LengthUnit) -> WrittenLength | None:
    match = DECIMAL_LENGTH.fullmatch(plain)
    if not match or (match[2] and match[2] not in LENGTHS):
        return None
    inches = match[2] in (*INCHES, "thou") or (not match[2] and unit == "in")
    return _written(_number(match[1]) * LENGTHS[match[2] or unit], "in" if inches else "mm", bool(match[2]))


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
    feet_mm = _number(match[1]) * 12 * EXACT_IN
    if not match[2]:
        return _written(feet_mm, "in", True) if not plain.endswith("-") else None
    rest = _fraction(match[2]) or _decimal(match[2], "in")
    if rest is None or rest.unit != "in" or not match[1].isdigit() or rest.mm >= 12 * MM_PER_IN:
        return None
    return _written(feet_mm + Fraction(repr(rest.mm)), "in", True)


def _no_length(text: str, plain: str, where: str) -> NoReturn:
    """Says why this is no length, as narrowly as can be told."""
    if plain.startswith("-"):
        _refuse(where, text, "is negative.", "Write a length of zero or more.")
    if re.fullmatch(r"m\s*[0-9].*|(?:[0-9]+|[0-9]+/[0-9]+)-[0-9]+(?:\s*un.*)?", plain):
        _refuse(where, text, "is a thread, not a length.", "Write its diameter, such as 10 mm or 5/16 in.")
    if re.search(r"#|\b(ga|gauge|swg|awg)\b|[0-9]ga\b", plain):
        _refuse(where, text, "is a gauge number, not a length.", "Write the size itself, such as 2.66 mm or 0.105 in.")
    if re.search(r"/\s*0+(?![0-9])", plain):
        _refuse(where, text, "divides by zero.", "Write a fraction such as 7/16.")
    if re.search(r"/.*(mm|cm|m|ft)$", plain):
        _refuse(where, text, "is a fraction of something other than inches.", "Write it in decimals, such as 0.5 mm.")
    if len(re.findall(r"[.,]", plain)) > 1:
        _refuse(where, text, "has two decimal points.", "Write 1234.5, without anything between thousands.")
    if re.fullmatch(rf"{NUMBER}\s*mils?", plain):
        _refuse(where, text, "may mean two different units.", "Write mm or thou.")
    _refuse(where, text, "is not a length.", "Write a length such as 36.5 mm, 1.4375 in or 1-7/16 in.")


def _refuse(where: str, text: str, what: str, do: str) -> NoReturn:
    short = "".join(char if char.isprintable() else "?" for char in text[:LONGEST_TEXT])
    more = "..." if len(text) > LONGEST_TEXT else ""
    raise BadInput(where=where, what=f"“{short}{more}” {what}", do=do)


def _amount(plain: str, sizes: Mapping[str, Fraction]) -> float | None:
    """`1 h 30 min` in the base unit; None unless each unit is known and smaller than the one before."""
    if not re.fullmatch(rf"(?:{NUMBER}\s*[a-z]+\s*)+", plain):
        return None
    total, last = Fraction(0), None
    for number, name in re.findall(rf"({NUMBER})\s*([a-z]+)", plain):
        size = sizes.get(name)
        if size is None or (last is not None and size >= last):
            return None
        last = size
        total += _number(number) * size
    return float(total)


def _nearest(s: float, grain_s: int) -> int:
    return math.floor(s / grain_s + 0.5) * grain_s


def _together(whole_s: int, sizes: tuple[tuple[str, int], ...]) -> str:
    """The largest unit that fits and the one below it, the second left out where it is zero."""
    first = next(at for at, (_, size) in enumerate(sizes) if whole_s >= size)
    shown: list[str] = []
    for name, size in sizes[first : first + 2]:
        count, whole_s = divmod(whole_s, size)
        if count:
            shown.append(f"{count} {name}{'s' if name == 'day' and count > 1 else ''}")
    return " ".join(shown)


def _trimmed(value: float, *, most: int, least: int = 0) -> str:
    """A number with `most` decimals, its trailing zeros cut down to `least` decimals; never "-0"."""
    whole, _, decimals = f"{value:.{most}f}".partition(".")
    decimals = decimals.rstrip("0").ljust(least, "0")
    text = f"{whole}.{decimals}" if decimals else whole
    return text.lstrip("-") if not text.strip("-0.") else text


def _three_figures(value: float) -> str:
    if value == 0:
        return "0"
    decimals = max(0, 2 - math.floor(math.log10(abs(value))))
    return _trimmed(value, most=decimals)


def _fraction_text(fraction: Fraction) -> str:
    sign, size = ("-" if fraction < 0 else ""), abs(fraction)
    whole, rest = divmod(size, 1)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{f'{whole}-' if whole else ''}{rest.numerator}/{rest.denominator}"
