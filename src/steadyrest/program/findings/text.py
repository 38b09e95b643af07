"""What the reader stumbled over: words it does not know, missing units and feeds, arcs that do not close, calls."""

from __future__ import annotations

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.run import EventKind, Odd
from steadyrest.shop.figure import Reason, because

# The reader went on with what it could know; it says so, and the answer does not hang on it. An offset that the shop
# file does not list may well stand in the control.
DOUBTED = ("compensation", "kinematics", "motion", "offset", "probed")


def text(case: Case) -> tuple[Finding, ...]:
    """The reader's odds as findings, each once a line and kind.

    Args:
        case: what is judged.
    Returns: findings in order of line.
    """
    found: dict[tuple[str, int | None], Finding] = {}
    for odd in case.run.odds:
        if odd.kind in DOUBTED:
            continue
        what = said(odd)
        found.setdefault(
            (odd.kind, odd.line), Finding(odd.kind, odd.line, what, Reason(f"program_do.{odd.kind}", odd.given))
        )
    return tuple(found.values())


def doubted(case: Case) -> tuple[Reason, ...]:
    """What the reader could not know and went on without.

    Args:
        case: what is judged.
    Returns: one doubt a kind, with the first line of each.
    """
    first: dict[str, Odd] = {}
    for odd in case.run.odds:
        if odd.kind in DOUBTED:
            first.setdefault(odd.kind, odd)
    return tuple(Reason(f"leave_doubt.{kind}", (("line", str(odd.line)), *odd.given)) for kind, odd in first.items())


def said(odd: Odd) -> Reason:
    """The reason for an odd: its kind, and what sort of it."""
    given = dict(odd.given)
    sort = str(given.get("why") or given.get("what") or "").replace(" ", "_")
    ending = f"_{sort}" if sort and odd.kind != "file" else ""
    return Reason(f"program.odd_{odd.kind}{ending}", odd.given)


def unread_calls(case: Case) -> tuple[Reason, ...]:
    """What the check could not look into: programs that the control holds.

    Args:
        case: what is judged.
    Returns: one doubt, or none.
    """
    numbers = sorted({int(event.value) for event in case.events(EventKind.CALL)} - set(case.machine.hold_point_calls))
    return (because("leave.library", calls=", ".join(str(n) for n in numbers)),) if numbers else ()
