"""The door: a program's bytes become a run."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from steadyrest.program.reading.control import Control
from steadyrest.program.reading.dialect import Dialect, Limits
from steadyrest.program.reading.flow import execute
from steadyrest.program.reading.text import plain_text
from steadyrest.program.run import Run

Progress = Callable[[str, float], None]


def read(
    source: bytes | Iterable[bytes],
    dialect: Dialect,
    *,
    name: str = "program",
    limits: Limits | None = None,
    quickly: bool = True,
    progress: Progress = lambda _what, _share: None,
    stop: Callable[[], bool] = lambda: False,
) -> Run:
    """What a machine's control does with a program, from the first line to its end.

    Args:
        source: the file's bytes, or pieces of them in order.
        dialect: how this machine understands words.
        name: the file's, for what is said about it.
        limits: what a program may ask for before it is given up; None for the usual.
        quickly: take plain lines by the compiled reader; False shows the careful one alone, for a comparison.
        progress: told what is being done and how far it is, 0 to 1.
        stop: asked now and then; True ends the work.
    Returns: moves, events and what was odd. Odds are findings, not errors: an unknown word, an arc that does not close.
    Raises: BadInput: no NC program at all, or longer than the limit. InterruptedError: stop said so.
    Source: iso-6983-1, nist-rs274-ngc. Checked in tests/program/test_read.py against tests/oracles/slow_program.py.
    """
    limits = limits or Limits()
    text, lines = plain_text(source, name, limits.text_bytes)
    control = Control(dialect, limits)
    execute(control, text, lines, quickly=quickly, progress=progress, stop=stop)
    odds = sorted(control.said.odds, key=lambda odd: odd.line or 0)
    return Run(control.rows.moves(), tuple(control.said.events), tuple(odds), lines, control.state.unit, control.ended)
