"""Where programs and numbered lines stand in a file, and which program is being run within which."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from steadyrest.program.run import IntArray

_TAPE = re.compile(rb"^[ \t]*%", re.M)
_BLOCK_WORD = re.compile(rb"[GgMm][ \t]*\d")
_COMMENTS = re.compile(rb"\([^)\n]*\)?|;.*")
_PROGRAM = re.compile(rb"^[ \t]*[Oo:][ \t]*(\d{1,9})(?!\d)", re.M)
_END = rb"^[ \t]*(?:[Nn][ \t]*\d+[ \t]*)?[Ee][Nn][Dd][ \t]*0*%d(?!\d)"
_NUMBERED = rb"^[ \t]*(?:/[1-9]?[ \t]*)?[Nn][ \t]*%s(?!\d)"
# Bytes looked through before a program is given up: each different jump looks through its program once.
_MOST_LOOKED_AT = 5_000_000_000


_SHORT = 8_000_000
_LONGEST_LEADER = 100_000


class TooMuchError(Exception):
    """The program asks for more than the limits allow; args: what, and how many."""


@dataclass(slots=True)
class Place:
    """A line of the file: where its text begins, and its number from 1."""

    at: int
    line: int


class Index:
    """Where each program (O) and each numbered line (N) begins. Looked up only when something jumps."""

    __slots__ = ("_ends", "_looked_at", "_loops", "_noted", "_numbered", "_programs", "_starts", "_text")

    def __init__(self, text: bytes) -> None:
        self._text = text
        self._ends: IntArray | None = None
        self._programs: dict[int, int] | None = None
        self._starts: list[int] = []
        self._numbered: dict[tuple[int, int], tuple[int, ...]] = {}
        self._loops: dict[tuple[int, int], Place | None] = {}
        self._noted: dict[int, dict[int, list[int]]] = {}
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

    def first(self) -> Place:
        """Where the program begins: at its first percent sign, where only a leader stands before it."""
        tape = _TAPE.search(self._text, 0, _LONGEST_LEADER)
        if tape is None or _BLOCK_WORD.search(_COMMENTS.sub(b"", self._text[: tape.start()])):
            return Place(0, 1)
        return self.place(tape.start())

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
        place = bisect_right(self._starts, within)
        first = self._starts[place - 1] if place else 0
        last = self._starts[place] if place < len(self._starts) else len(self._text)
        # A main program's own O may be the file's second line: what stands before it is still the main program.
        first = 0 if self._starts and first == self._starts[0] else first
        inside = self._lines(number, first, last)
        at = next((at for at in inside if at >= within), inside[0] if inside else None)
        return None if at is None else self.place(at)

    def _lines(self, number: int, first: int, last: int) -> Sequence[int]:
        """Where the lines of a number begin in a stretch of text: all of a short stretch are noted at once."""
        if last - first <= _SHORT:
            if first not in self._noted:
                noted: dict[int, list[int]] = {}
                for one in re.compile(_NUMBERED % rb"(\d{1,15})", re.M).finditer(self._text, first, last):
                    noted.setdefault(int(one[1]), []).append(one.start())
                self._look(last - first)
                self._noted[first] = noted
            return self._noted[first].get(number, ())
        if (number, first) not in self._numbered:
            self._look(last - first)
            found = re.compile(_NUMBERED % (b"0*%d" % number), re.M).finditer(self._text, first, last)
            self._numbered[number, first] = tuple(one.start() for one in found)
        return self._numbered[number, first]

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
            raise TooMuchError("lines", float(len(self._numbered) + len(self._loops)))


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
