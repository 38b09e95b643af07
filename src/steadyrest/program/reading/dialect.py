"""How one machine's control understands words: data, filled from the shop file, never guessed from the program."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

import numpy as np

from steadyrest.tables.rows import rows

Point = tuple[float, float, float]
Kind = Literal["mill", "lathe"]

_NOTHING: Mapping[str, str] = MappingProxyType({})
_NO_POINTS: Mapping[str, Point] = MappingProxyType({})
_NO_NUMBERS: Mapping[int, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Dialect:
    """The words of one machine.

    kind: "mill" or "lathe". inch_word, metric_word: "G20", "G21" on most, "G70", "G71" on others.
    unit_at_start: the unit until a word names one. x_is_diameter: a lathe's X is written as a diameter.
    tool_word: "T" selects and M6 changes; "TTOO" changes at once, the last two digits being the offset.
    dwell: unit of a dwell by its letter, "ms" or "s". feed_at_start: "G94" per minute or "G95" per turn; "" for the
    usual of the kind. speed_clamp_words: with S they cap the spindle under constant surface speed.
    peck_clear_mm: how far above the last depth a peck comes down in rapid. chip_break_mm: how far G73 draws back.
    optional_stop: M1 waits. block_delete: lines that begin with a slash are left out.
    hold_point_calls, library: program numbers that the control holds itself. bar_word: pulls bar, such as "M70".
    arc_tolerance_mm: how far an arc's radius at its end may differ. offsets_mm: machine position of a work zero by its
    word. home_mm, home2_mm: machine position of G28 and G30, None where unknown. start_mm: where the machine stands.
    tool_length_mm by H, tool_radius_mm by D, in a cutter radius's sense; empty where nothing is known.
    extra_words: further words of this machine that move nothing, such as "M29".
    least_increment_mm, least_increment_in: what one digit counts in a number without decimal point; 0: a whole unit.
    fix_toward_zero: FIX and FUP round toward and away from zero, else down and up. turns_word: the letter that gives
    an arc's number of turns; "" where none does. max_rpm: what constant surface speed can reach at most.
    main_passes: how often a main program that ends with M99 is run.
    """

    kind: Kind = "mill"
    inch_word: str = "G20"
    metric_word: str = "G21"
    unit_at_start: Literal["mm", "in"] = "mm"
    x_is_diameter: bool = False
    tool_word: Literal["T", "TTOO"] = "T"
    dwell: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({"P": "ms", "X": "s"}))
    feed_at_start: Literal["", "G94", "G95"] = ""
    speed_clamp_words: tuple[str, ...] = ()
    peck_clear_mm: float = 1.0
    chip_break_mm: float = 0.5
    optional_stop: bool = False
    block_delete: bool = False
    hold_point_calls: tuple[int, ...] = ()
    library: tuple[int, ...] = ()
    bar_word: str = ""
    arc_tolerance_mm: float = 0.02
    offsets_mm: Mapping[str, Point] = field(default_factory=lambda: _NO_POINTS)
    home_mm: Point = (0.0, 0.0, 0.0)
    home2_mm: Point | None = None
    start_mm: Point = (0.0, 0.0, 0.0)
    tool_length_mm: Mapping[int, float] = field(default_factory=lambda: _NO_NUMBERS)
    tool_radius_mm: Mapping[int, float] = field(default_factory=lambda: _NO_NUMBERS)
    extra_words: tuple[str, ...] = ()
    least_increment_mm: float = 0.0
    least_increment_in: float = 0.0
    fix_toward_zero: bool = False
    turns_word: str = ""
    max_rpm: float = np.inf
    main_passes: int = 1

    def __post_init__(self) -> None:
        if not self.arc_tolerance_mm >= 0.0:
            raise ValueError(f"Dialect: arc_tolerance_mm is {self.arc_tolerance_mm!r}, not 0 or more")
        if not self.peck_clear_mm >= 0.0:
            raise ValueError(f"Dialect: peck_clear_mm is {self.peck_clear_mm!r}, not 0 or more")


@dataclass(frozen=True, slots=True)
class Limits:
    """What a program may ask of the reader before it is given up: all of it bounds time and memory.

    text_bytes: length of the file. moves: rows of the run. careful: lines that hold more than plain motion, as often
    as they are run. repeats: lines that are run again by loops and calls.
    calls_deep: programs that stand open within each other. odds: of which a list is kept.
    """

    text_bytes: int = 400_000_000
    moves: int = 20_000_000
    careful: int = 4_000_000
    repeats: int = 1_000_000
    calls_deep: int = 16
    odds: int = 1_000


def meanings(dialect: Dialect) -> Mapping[str, str]:
    """What each word of this machine does: "G81" to "drill", "M8" to "coolant on", "X" to "letter".

    Args:
        dialect: the machine's.
    Returns: by word, as in tables/data/nc_words.csv, then the machine's own; a word that is not in it is unknown.
    Source: iso-6983-1, nist-rs274-ngc, eia-rs-274-d, a few by practice: each row says which.
    """
    known = {
        row.text("word"): row.text("does") for row in rows("nc_words") if row.text("machine") in ("any", dialect.kind)
    }
    known |= dict.fromkeys(dialect.extra_words, "nothing")
    known |= {dialect.inch_word: "inch", dialect.metric_word: "metric"}
    if dialect.bar_word:
        known[dialect.bar_word] = "bar"
    for word in dialect.speed_clamp_words:
        known.setdefault(word, "speed clamp")
    return known
