"""What a run collects besides its moves: events, and what was odd about the text."""

from __future__ import annotations

from steadyrest.program.run import Event, EventKind, Odd


class Said:
    """Events in order, and odds, each once for its line."""

    __slots__ = ("_most", "_told", "events", "odds")

    def __init__(self, most: int) -> None:
        self._most = most
        self._told: set[tuple[object, ...]] = set()
        self.events: list[Event] = []
        self.odds: list[Odd] = []

    def event(self, kind: EventKind, line: int, before: int, value: float = 0.0) -> None:
        """Note what happened before move number `before`.

        Args:
            kind: what. line: which made it. before: index of the next move. value: by kind.
        """
        self.events.append(Event(kind, line, before, value))

    def odd(self, kind: str, line: int | None, **given: float | str) -> None:
        """Note something odd, once for a line; beyond the limit the list says that it was cut short.

        Args:
            kind: what sort. line: where. given: what its sentence needs.
        """
        key = (kind, line, *given.items())
        if key in self._told or len(self._told) > self._most:
            return
        self._told.add(key)
        if len(self._told) > self._most:
            self.odds.append(Odd("file", None, (("what", "too many findings"), ("count", float(self._most)))))
            return
        self.odds.append(Odd(kind, line, tuple(given.items())))
