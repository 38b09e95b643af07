"""A file being read and planned, or a program being checked: how far, and the way to stop it."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class ReadingPage:
    """state: "waiting", "running", "failed", "stopped" or "done". tenths: how far, 0 to 10. trouble: what went wrong.

    units: where the file lacks its unit, what to choose from, as (unit, words); empty else.
    opens: address of what it became. again: of the form that it came from, in the words of `back`. stopped: what stands
    now that it was stopped. stop: the button's words. guard: the form's token.
    """

    top: Top
    task: int
    what: str
    state: str
    says: str
    tenths: int
    trouble: str
    units: tuple[tuple[str, str], ...]
    opens: str
    again: str
    back: str
    stopped: str
    stop: str
    guard: str
