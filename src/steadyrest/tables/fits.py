"""ISO 286: tolerance grades and limits of size up to 500 mm.

A zone is a letter and a grade: "k6" on a shaft, "H7" on a hole. Shafts are printed; holes follow from them by rule: A
to H mirror the shaft, K to U mirror it too but gain delta = IT(n) - IT(n-1) in the finer grades. Steps are "over ... up
to and including". Where the formula and the table differ (0 to 3 mm, IT6 at 500 mm) the table rules.
"""

from __future__ import annotations

import re
from functools import cache

from steadyrest.tables.rows import Row, rows
from steadyrest.trouble import BadInput

LARGEST_MM = 500.0
ABOVE_ZERO = ("a", "b", "c", "d", "e", "f", "g", "h")
BELOW_ZERO = ("k", "m", "n", "p", "r", "s", "t", "u")
ZONE = re.compile(r"(JS|js|[A-HJKMNPR-U]|[a-hjkmnpr-u])([0-9]{1,2})")


def it_grade_um(size_mm: float, grade: int) -> float:
    """Width of a tolerance grade.

    Args:
        size_mm: nominal size, over 0 up to 500.
        grade: 1 to 16.
    Returns: the width in micrometres, as printed.
    Raises: BadInput: size or grade outside the table.
    Source: ISO 286-1 table 1. Checked in tests/checks/test_tables_fits.py.
    """
    if not 1 <= grade <= 16:
        raise BadInput(where=f"IT{grade}", what="no such tolerance grade.", do="Use IT1 to IT16.")
    return _step("iso286_grades", size_mm).number(f"it{grade}_um")


def has_limits(size_mm: float, zone: str) -> bool:
    """Whether limits() has an answer for this size and zone."""
    try:
        deviations_um(size_mm, zone)
    except BadInput:
        return False
    return True


def limits(size_mm: float, zone: str) -> tuple[float, float]:
    """Smallest and largest size allowed.

    Args:
        size_mm: nominal size, over 0 up to 500.
        zone: such as "k6" (shaft) or "H7" (hole).
    Returns: (low, high) in mm.
    Raises: BadInput: size outside the table, or a zone that the standard does not have there.
    Source: ISO 286-1, 286-2. Checked in tests/checks/test_tables_fits.py.
    """
    lower_um, upper_um = deviations_um(size_mm, zone)
    return size_mm + lower_um / 1000, size_mm + upper_um / 1000


def deviations_um(size_mm: float, zone: str) -> tuple[float, float]:
    """Lower and upper deviation from the nominal size.

    Args:
        size_mm: nominal size, over 0 up to 500.
        zone: such as "k6" (shaft) or "H7" (hole).
    Returns: (lower, upper) in micrometres.
    Raises: BadInput: size outside the table, or a zone that the standard does not have there.
    Source: ISO 286-1 tables 2 to 5. Checked in tests/checks/test_tables_fits.py.
    """
    letter, grade = _zone(zone)
    width = it_grade_um(size_mm, grade)
    if letter.lower() == "js":
        return -width / 2, width / 2
    if letter in ABOVE_ZERO:
        upper = _shaft(size_mm, letter, zone)
        return upper - width, upper
    if letter == "j" or letter in BELOW_ZERO:
        lower = _shaft_lower(size_mm, letter, grade, zone)
        return lower, lower + width
    if letter.lower() in ABOVE_ZERO:
        lower = 0.0 - _shaft(size_mm, letter.lower(), zone)
        return lower, lower + width
    upper = _hole_upper(size_mm, letter, grade, zone)
    return upper - width, upper


def fit_um(size_mm: float, hole: str, shaft: str) -> tuple[float, float]:
    """Clearance of a hole and a shaft of the same nominal size; interference is negative.

    Args:
        size_mm: nominal size, over 0 up to 500.
        hole: such as "H7".
        shaft: such as "k6".
    Returns: (least, most) clearance in micrometres.
    Raises: BadInput: see limits.
    """
    hole_low, hole_high = deviations_um(size_mm, hole)
    shaft_low, shaft_high = deviations_um(size_mm, shaft)
    return hole_low - shaft_high, hole_high - shaft_low


def _zone(zone: str) -> tuple[str, int]:
    match = ZONE.fullmatch(zone)
    if not match:
        raise BadInput(where=zone[:12], what="no such tolerance zone.", do="Write one such as k6 or H7.")
    return match[1], int(match[2])


def _shaft(size_mm: float, column: str, zone: str) -> float:
    """The printed deviation of a shaft."""
    printed = _step("iso286_shafts", size_mm).number_or_none(f"{column}_um")
    if printed is None or (column in ("a", "b") and size_mm <= 1):
        raise _not_there(size_mm, zone)
    return printed


def _shaft_lower(size_mm: float, letter: str, grade: int, zone: str) -> float:
    if letter == "j":
        if grade not in (5, 6, 7):
            raise _not_there(size_mm, zone)
        return _shaft(size_mm, "j7" if grade == 7 else "j5", zone)
    if letter == "k" and not 4 <= grade <= 7:
        return 0.0
    return _shaft(size_mm, letter, zone)


def _hole_upper(size_mm: float, letter: str, grade: int, zone: str) -> float:
    """The upper deviation of a hole J to U, by rule from the shaft of the same letter."""
    if letter == "J":
        if grade not in (6, 7, 8):
            raise _not_there(size_mm, zone)
        return _step("iso286_holes_j", size_mm).number(f"j{grade}_um")
    if letter == "K" and grade > 8 and size_mm > 3:
        raise _not_there(size_mm, zone)
    if letter == "N" and grade > 8 and size_mm > 3:
        return 0.0
    if (letter, grade) == ("M", 6) and 250 < size_mm <= 315:
        return -9.0  # the one exception that the standard names; the rule would give -11
    finest_plain = 8 if letter in ("K", "M", "N") else 7
    delta = _delta_um(size_mm, grade) if grade <= finest_plain else 0.0
    return -_shaft(size_mm, letter.lower(), zone) + delta


def _delta_um(size_mm: float, grade: int) -> float:
    if size_mm <= 3 or not 3 <= grade <= 8:
        return 0.0
    return it_grade_um(size_mm, grade) - it_grade_um(size_mm, grade - 1)


@cache
def _bounds(table: str) -> tuple[tuple[float, Row], ...]:
    return tuple((row.number("upto_mm"), row) for row in rows(table))


def _step(table: str, size_mm: float) -> Row:
    """The row of the step that this size lies in: over its lower end, up to and including its upper end."""
    if not 0 < size_mm <= LARGEST_MM:
        raise BadInput(
            where=f"{size_mm:g} mm", what="ISO 286 limits are kept for sizes up to 500 mm.", do="Give limits."
        )
    return next(row for upto, row in _bounds(table) if size_mm <= upto)


def _not_there(size_mm: float, zone: str) -> BadInput:
    return BadInput(where=f"{zone} at {size_mm:g} mm", what="ISO 286 has no such zone there.", do="Choose another.")
