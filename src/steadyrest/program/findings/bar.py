"""The repeats pull more bar than there is."""

from __future__ import annotations

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.run import EventKind
from steadyrest.shop.figure import because

SLACK_MM = 1e-6


def bar(case: Case) -> tuple[Finding, ...]:
    """Whether the bar words executed, times what each pulls, come out of the bar without its rest.

    It belongs to no line: how long the bar is and how often the program runs decide, not where it pulls.

    Args:
        case: what is judged.
    Returns: one finding, or none; none where nobody said how long the bar is.
    """
    there = case.said.bar if case.said else None
    feed = case.machine.bar_feed
    pulls = len(case.events(EventKind.BAR))
    if there is None or feed is None or not pulls:
        return ()
    usable_mm = there.length_mm - feed.rest_mm
    if pulls * there.per_part_mm <= usable_mm + SLACK_MM:
        return ()
    fits = int((usable_mm + SLACK_MM) // there.per_part_mm) if usable_mm > 0 else 0
    do = because("bar.do", parts=str(max(fits, 0)))
    return (
        Finding(
            "bar",
            None,
            because("bar.what", pulls=str(pulls), needed_mm=pulls * there.per_part_mm, usable_mm=max(usable_mm, 0.0)),
            do,
            because("bar.cure", needed_mm=pulls * there.per_part_mm + feed.rest_mm),
        ),
    )
