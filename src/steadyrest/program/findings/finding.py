"""A finding, and what is asked to find it."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.program.run import Event, EventKind, Run
from steadyrest.program.timing.machine_time import RunTime
from steadyrest.shop.figure import Reason
from steadyrest.shop.leaving import LeavingMachine, ProgramSaid


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that stands against leaving it alone.

    kind: as the command line's contract names it, or one of our own ("alone", "overload", ...).
    line: of the program, from 1; None where it belongs to no single line. what: what is found. do: what to do about it.
    cure: what mends it before leaving, without a change of the program; None where only a change does.
    """

    kind: str
    line: int | None
    what: Reason
    do: Reason
    cure: Reason | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """What is judged. said: what the shop file says of this program; None where it does not name it."""

    run: Run
    time: RunTime
    machine: LeavingMachine
    said: ProgramSaid | None

    def events(self, kind: EventKind) -> tuple[Event, ...]:
        """The run's events of one kind, in order."""
        return tuple(event for event in self.run.events if event.kind is kind)
