"""Where programs and numbered lines stand in a file, and which program is being run within which."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np

from steadyrest.program.run import IntArray

_PROGRAM = re.compile(rb"^[ \t]*[Oo:][ \t]*(\d{1,9})(?!\d)", re.M)
_END = rb"^[ \t]*(?:[Nn][ \t]*\d+[ \t]*)?[Ee][Nn][Dd][ \t]*0*%d(?!\d)"
_NUMBERED = rb"^[ \t]*(?:/[1-9]?[ \t]*)?[Nn][ \t]*0*%d(?!\d)"
# Bytes looked through before a program is given up: each different jump looks through its program once.
_MOST_LOOKED_AT = 5_000_000_000


class TooMuchError(Exception):
    """The program asks for more than the limits allow; args: what, and how many."""


@dataclass(slots=True)
class Place:
    """A line of the file: where its text begins, and its number from 1."""

    at: int
    line: int


class Index:
    """Where each program (O) and each numbered line (N) begins. Looked up only when something jumps."""

    __slots__ = ("_ends", "_looked_at", "_loops", "_numbered", "_programs", "_starts", "_text")

    def __init__(self, text: bytes) -> None:
        self._text = text
        self._ends: IntArray | None = None
        self._programs: dict[int, int] | None = None
        self._starts: list[int] = []
        self._numbered: dict[tuple[int, int], tuple[int, ...]] = {}
        self._loops: dict[tuple[int, int], Place | None] = {}
        self._looked_at = 0

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
        Raises: TooMuchError: different jumps without end.
        """
        self.program(-1)
        first = max((start for start in self._starts if start <= within), default=0)
        last = min((start for start in self._starts if start > within), default=len(self._text))
        # A main program's own O may be the file's second line: what stands before it is still the main program.
        first = 0 if self._starts and first == self._starts[0] else first
        if (inside := self._numbered.get((number, first))) is None:
            self._look(last - first)
            found = re.compile(_NUMBERED % number, re.M).finditer(self._text, first, last)
            inside = self._numbered[number, first] = tuple(one.start() for one in found)
        at = next((at for at in inside if at >= within), inside[0] if inside else None)
        return None if at is None else self.place(at)

    def past_end(self, number: int, at: int) -> Place | None:
        """The line behind the end of a loop.

        Args:
            number: of the loop. at: where its first line begins.
        Returns: the place; None where the loop has no end.
        Raises: TooMuchError: different loops without end.
        """
        if (number, at) not in self._loops:
            found = re.compile(_END % number, re.M).search(self._text, at + 1)
            self._look((found.start() if found else len(self._text)) - at)
            newline = self._text.find(b"\n", found.start()) if found else -1
            end = len(self._text) if newline < 0 else newline + 1
            self._loops[number, at] = self.place(end) if found else None
        return self._loops[number, at]

    def _look(self, far: int) -> None:
        self._looked_at += far
        if self._looked_at > _MOST_LOOKED_AT:
            raise TooMuchError("jumps", float(len(self._numbered) + len(self._loops)))


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
