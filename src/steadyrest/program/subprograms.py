"""Where programs and numbered lines stand in a file, and which program is being run within which."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np

from steadyrest.program.run import IntArray

_PROGRAM = re.compile(rb"^[ \t]*[Oo:][ \t]*(\d{1,9})(?!\d)", re.M)
_NUMBERED = re.compile(rb"^[ \t]*(?:/[1-9]?[ \t]*)?[Nn][ \t]*(\d{1,15})(?!\d)", re.M)


@dataclass(slots=True)
class Place:
    """A line of the file: where its text begins, and its number from 1."""

    at: int
    line: int


class Index:
    """Where each program (O) and each numbered line (N) begins. Looked up only when something jumps."""

    __slots__ = ("_ends", "_numbered", "_programs", "_starts", "_text")

    def __init__(self, text: bytes) -> None:
        self._text = text
        self._ends: IntArray | None = None
        self._programs: dict[int, int] | None = None
        self._starts: list[int] = []
        self._numbered: dict[int, list[int]] | None = None

    def place(self, at: int) -> Place:
        """A line by where its text begins.

        Args:
            at: position in the text.
        Returns: the place.
        """
        if self._ends is None:
            self._ends = np.flatnonzero(np.frombuffer(self._text, np.uint8) == ord("\n"))
        return Place(at, int(np.searchsorted(self._ends, at)) + 1)

    def program(self, number: int) -> Place | None:
        """Where a program begins.

        Args:
            number: behind its O.
        Returns: the first line that begins it; None where the file has none.
        """
        if self._programs is None:
            self._programs = {}
            for found in _PROGRAM.finditer(self._text):
                self._starts.append(found.start())
                self._programs.setdefault(int(found[1]), found.start())
        at = self._programs.get(number)
        return None if at is None else self.place(at)

    def numbered(self, number: int, within: int) -> Place | None:
        """Where a jump goes.

        Args:
            number: behind N. within: a place in the text; its program is looked through onwards, then from its start.
        Returns: the line; None where the program has none.
        """
        if self._numbered is None:
            self._numbered = {}
            for found in _NUMBERED.finditer(self._text):
                self._numbered.setdefault(int(found[1]), []).append(found.start())
        self.program(-1)
        first = max((start for start in self._starts if start <= within), default=0)
        last = min((start for start in self._starts if start > within), default=len(self._text))
        # A main program's own O may be the file's second line: what stands before it is still the main program.
        first = 0 if self._starts and first == self._starts[0] else first
        inside = [at for at in self._numbered.get(number, ()) if first <= at < last]
        at = next((at for at in inside if at >= within), inside[0] if inside else None)
        return None if at is None else self.place(at)


@dataclass(slots=True)
class Frame:
    """A program that is being run. back: where its caller goes on. start: its first line. left: runs still to come.

    own: its local variables #1 to #33. loops: open WHILE and DO by number. begun: its O line was passed.
    """

    start: Place
    back: Place
    left: int = 0
    own: dict[int, float] = field(default_factory=dict)
    loops: dict[int, Place] = field(default_factory=dict)
    begun: bool = False
