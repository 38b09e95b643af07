"""Between the control's memory and the compiled reader of plain lines: one is copied into the other and back."""

from __future__ import annotations

import numpy as np

from steadyrest.program.reading import quick
from steadyrest.program.reading.control import Control
from steadyrest.program.reading.motion import LAST_DIGIT_IN, LAST_DIGIT_MM
from steadyrest.program.reading.rows import Common
from steadyrest.program.run import Motion

_MOST_AT_ONCE = 200_000
_WRITTEN = (
    "line", "motion", "start_mm", "end_mm", "centre_mm", "length_mm", "feed_mm_min", "feed_per_turn_mm", "rpm",
    "rotary_deg",
)  # fmt: skip
_FEED_WAYS = {"feed per minute": quick.A_MINUTE, "feed per turn": quick.A_TURN, "inverse time": quick.INVERSE}


class Plain:
    """The compiled reader on one program."""

    __slots__ = ("_bytes", "_control", "_kept", "_room")

    def __init__(self, control: Control, text: bytes) -> None:
        self._control = control
        self._bytes = np.frombuffer(text, np.uint8)
        self._kept = np.zeros(quick.SIZE)
        self._room = (np.zeros(quick.WORDS), np.zeros(quick.WORDS, np.bool_), np.zeros(3))

    def run(self, at: int, line: int) -> tuple[int, int, bool]:
        """Run the plain lines from here on, as far as they go.

        Args:
            at: where the next line begins. line: its number.
        Returns: the same of the line that is not plain, and whether any word was among them.
        """
        control = self._control
        state, rows = control.state, control.rows
        if state.arc_absolute or control.follower is not None or not control.units_told:
            return at, line, False
        rows.make_room(1)
        self._copy_in()
        first, column = rows.count, rows.columns
        on, next_line, rows.count = quick.plain_lines(
            self._bytes, at, line, _MOST_AT_ONCE, self._kept, first, min(rows.room, control.limits.moves),
            *(column[name] for name in _WRITTEN), *self._room,
        )  # fmt: skip
        if on == at:
            return at, line, False
        words = self._copy_back()
        if rows.count > first:
            surface = state.surface_m_min if state.surface else 0.0
            rows.fill(
                first,
                Common(state.plane, state.tool, state.length_mm, surface, state.cap_rpm, state.offset(), state.exact),
            )
        return on, next_line, words

    def _copy_in(self) -> None:
        control = self._control
        state, dialect = control.state, control.dialect
        inch = state.scale != 1.0
        self._kept[:] = (
            *state.nose, *state.offset(), state.length_mm, state.scale, state.absolute, state.motion, state.plane,
            state.feed(), _FEED_WAYS[state.feed_mode], state.surface,
            state.surface_m_min if state.surface else state.speed_rpm, state.turning,
            min(state.cap_rpm, dialect.max_rpm), 0.5 if dialect.x_is_diameter else 1.0,
            dialect.least_increment_in if inch else dialect.least_increment_mm, dialect.arc_tolerance_mm,
            LAST_DIGIT_IN if inch else LAST_DIGIT_MM, control.feed_told, 0.0, *state.rotary,
        )  # fmt: skip

    def _copy_back(self) -> bool:
        state = self._control.state
        kept: list[float] = self._kept.tolist()
        state.nose = kept[:3]
        state.rotary = kept[quick.ROTARY :]
        state.motion = int(kept[quick.MOTION])
        state.absolute = bool(kept[quick.ABSOLUTE])
        if state.feed_mode == "inverse time":
            state.inverse = kept[quick.FEED]
        elif state.feed_mode == "feed per turn":
            state.feed_turn = kept[quick.FEED]
        else:
            state.feed_min = kept[quick.FEED]
        if 0 <= state.motion <= Motion.ARC_CCW:
            state.cycle = None
        return bool(kept[quick.WORDS_SEEN])
