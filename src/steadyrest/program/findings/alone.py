"""The prohibition list, and the machine's own yes: what is never left alone, whatever else is good."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.night.prohibited import Circumstance, prohibited
from steadyrest.shop.figure import because


def alone(case: Case, circumstance: Circumstance) -> tuple[Finding, ...]:
    """What forbids leaving this run, whatever the program is like.

    Args:
        case: what is judged.
        circumstance: what is known of the run besides its program.
    Returns: findings that belong to no line.
    """
    found: list[Finding] = []
    if not case.machine.may_run_alone:
        found.append(
            Finding(
                "alone", None, because("alone_here.not_allowed", machine=case.machine.name), because("alone_here.stay")
            )
        )
    found += [Finding("alone", None, ban, because("alone_here.stay")) for ban in prohibited(circumstance)]
    return tuple(found)


def worst_first(found: Sequence[Finding]) -> tuple[Finding, ...]:
    """Findings by line; those of no line first.

    Args:
        found: in any order.
    Returns: the same, in order.
    """
    return tuple(sorted(found, key=lambda one: (one.line is not None, one.line or 0, one.kind)))
