"""What chips weigh as they lie in a bin."""

from __future__ import annotations

from functools import cache

from steadyrest.tables.rows import rows

KG_M3_PER_LB_FT3 = 0.45359237 / 0.3048**3


@cache
def chip_bulks() -> dict[tuple[str, str], float]:
    """By metal and form ("broken", "long"), the middle of the range in print, kg/m3.

    Returns: each row of the table.
    Source: chip-weights.
    """
    return {
        (row.text("metal"), row.text("form")): (row.number("low_lb_ft3") + row.number("high_lb_ft3"))
        / 2
        * KG_M3_PER_LB_FT3
        for row in rows("chip_weights")
    }
