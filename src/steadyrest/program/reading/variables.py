"""The variables of a run: those that a program sets, and those through which it sees the control.

#1 to #33 belong to the program that is run, the rest to all. #5061 on: where the last skip move ended; #5221 on: work
zeros (NISTIR 6556 and the widespread macro style agree). Others above #1000 cannot be known from the text; they are
empty and told.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from steadyrest.program.reading.macro import AlarmError
from steadyrest.program.reading.modal import CYCLE
from steadyrest.program.run import EventKind

if TYPE_CHECKING:
    from steadyrest.program.reading.control import Control

_ZEROS = ("G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3")
_MOST = 100_000


class Store:
    """Values by number. zeros: work zeros by their word, machine position, mm; changed in place.

    probed: a value was looked at, since it was last put to False, that comes from where a skip move ended.
    """

    __slots__ = (
        "_control", "_from_probe", "_shared", "changes", "fix_toward_zero", "line", "own", "probed", "skipped_mm",
        "zeros",
    )  # fmt: skip

    def __init__(self, control: Control) -> None:
        self._control = control
        self._shared: dict[int, float] = {}
        self.own: dict[int, float] = {}
        self.fix_toward_zero = control.dialect.fix_toward_zero
        self.line = 0
        self.changes = 0
        self.probed = False
        self._from_probe: set[int] = set()
        self.skipped_mm: tuple[float, ...] = (0.0, 0.0, 0.0)
        self.zeros = {word: list(place) for word, place in control.dialect.offsets_mm.items()}
        self.zeros.setdefault("G54", control.state.zero)
        control.state.zero = self.zeros["G54"]

    def get(self, number: int) -> float | None:
        """The value of a variable.

        Args:
            number: behind the #.
        Returns: None where nothing has set it.
        """
        if self._from_probe and number in self._from_probe:
            self.probed = True
        if 1 <= number <= 33:
            return self.own.get(number)
        if number in self._shared:
            return self._shared[number]
        if number >= 1000:
            return self._seen(number)
        return None

    def set(self, number: int, value: float | None) -> None:
        """Give a variable its value; None empties it.

        Args:
            number: behind the #. value: what an expression gave.
        Raises: AlarmError: #0, which stays empty, or #3000, which is an alarm by itself.
        """
        control = self._control
        seen = self.probed
        self.changes += 1 if number >= 1000 else self.get(number) != value
        if number == 0 or number > _MOST:
            raise AlarmError(f"#{number}")
        if number == 3000:
            raise AlarmError("#3000")
        if number == 3006:
            control.said.event(EventKind.STOP, self.line, control.rows.count)
        elif 1 <= number <= 33:
            self.own.pop(number, None)
            if value is not None:
                self.own[number] = value
        elif 5221 <= number < 5221 + 20 * len(_ZEROS) and (number - 5221) % 20 < 3:
            zero, axis = divmod(number - 5221, 20)
            self.zeros.setdefault(_ZEROS[zero], [0.0, 0.0, 0.0])[axis] = (value or 0.0) * control.state.scale
        elif value is None:
            self._shared.pop(number, None)
        else:
            self._shared[number] = value
        if seen:
            self._from_probe.add(number)
        else:
            self._from_probe.discard(number)

    def _seen(self, number: int) -> float | None:
        """What the control shows of itself."""
        state = self._control.state
        offset = state.offset()
        axis = (number - 1) % 20
        if 5221 <= number < 5221 + 20 * len(_ZEROS) and axis < 3:
            zero = self.zeros.get(_ZEROS[(number - 5221) // 20], (0.0, 0.0, 0.0))
            return zero[axis] / state.scale
        if 5061 <= number <= 5063:
            self.probed = True
            return (self.skipped_mm[axis] - offset[axis]) / state.scale
        if 5001 <= number <= 5003 or 5041 <= number <= 5043:
            length = state.length_mm if axis == 2 else 0.0
            return (state.nose[axis] - length - offset[axis]) / state.scale
        if 5021 <= number <= 5023:
            return state.nose[axis] / state.scale
        if number in (4001, 4003, 4006, 4014, 4109, 4119, 4120):
            return self._modal(number)
        self._control.said.odd("variable", self.line, word=f"#{number}")
        return None

    def _modal(self, number: int) -> float | None:
        state = self._control.state
        if number == 4001:
            return float(state.motion) if 0 <= state.motion < CYCLE else None
        if number == 4003:
            return 90.0 if state.absolute else 91.0
        if number == 4006:
            words = (self._control.dialect.inch_word, self._control.dialect.metric_word)
            return float(words[state.scale == 1.0][1:])
        if number == 4014:
            return float(state.zero_word.split()[0][1:])
        if number == 4109:
            return state.feed() / state.scale
        return state.speed_rpm if number == 4119 else float(state.tool)
