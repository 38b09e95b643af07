"""A size of the tolerance chart in words, the same on page, paper and at the terminal."""

from __future__ import annotations

from steadyrest import units
from steadyrest.shop.chart import Charted
from steadyrest.wording.say import SIZE_WORDS, Reader, say


def charted(one: Charted, reader: Reader) -> str:
    """What a size must be, how likely that is, and what moves it most.

    Args:
        one: of the chart.
        reader: whose units.
    Returns: one line without the feature's name and without a full stop.
    """
    limits = units.show_limits(one.low_mm, one.high_mm, reader.unit)
    off = units.show_length(one.worst_mm, reader.unit)
    why = "; ".join(dict.fromkeys(say(reason, reader) for reason in one.odds.why))
    size = SIZE_WORDS.get(one.size, one.size)
    return f"{size} {limits}: held {units.show_odds(one.odds.value)}; {why}; all at once {off}"
