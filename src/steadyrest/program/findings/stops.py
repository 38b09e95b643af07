"""A stop that waits till someone comes: M0 always, M1 where its switch is on."""

from __future__ import annotations

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.run import EventKind
from steadyrest.shop.figure import because


def stops(case: Case) -> tuple[Finding, ...]:
    """Every line that stops and waits.

    Args:
        case: what is judged.
    Returns: one finding a line; M1 has a cure, its switch.
    """
    found: dict[int, Finding] = {}
    for event in case.events(EventKind.STOP):
        optional = bool(event.value)
        if event.line in found or (optional and not case.machine.optional_stop_switch):
            continue
        if optional:
            cure = because("stop.switch_off")
            found[event.line] = Finding("stop", event.line, because("stop.optional"), cure, cure)
        else:
            found[event.line] = Finding("stop", event.line, because("stop.always"), because("stop.take_out"))
    return tuple(found.values())
