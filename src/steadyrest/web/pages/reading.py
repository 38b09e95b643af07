"""A file being read and planned: how far, and the way to stop it."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class ReadingPage:
    """state: "waiting", "running", "failed", "stopped" or "done". tenths: how far, 0 to 10. trouble: what went wrong.

    job: number of the job that it became, 0 until then. guard: the form's token.
    """

    top: Top
    task: int
    what: str
    state: str
    says: str
    tenths: int
    trouble: str
    job: int
    guard: str
