"""Roughed first, finished after the heat: one visit to a machine made two, where a part is stress relieved between."""

from __future__ import annotations

from dataclasses import replace

from steadyrest.shop.figure import Figure, because
from steadyrest.shop.work import Phase, Step
from steadyrest.tables.practice import rule

ONCE = "set up"
LOADING = "load"


def rough_and_finish(step: Step) -> tuple[Step, Step]:
    """A step as a roughing and a finishing visit, each with its own setting up.

    Args:
        step: on a machine, with its split into cutting, getting there, hands and first part.
    Returns: the roughing, which makes nothing yet, and the finishing.
    """
    share = rule("rough_share")
    note = because("outside.rough_first", leave_mm=rule("rough_leave_mm"))
    rough = replace(
        step, id=f"rough {step.id}", phases=_scaled(step, share), makes=(), hold_points=(), notes=(*step.notes, note),
        split=_split(step, share), tool_s=_worn(step, share),
    )  # fmt: skip
    left = 1.0 - share
    return rough, replace(step, phases=_scaled(step, left), split=_split(step, left), tool_s=_worn(step, left))


def _worn(step: Step, share: float) -> tuple[tuple[int, float], ...]:
    return tuple((number, each_s * share) for number, each_s in step.tool_s)


def _scaled(step: Step, share: float) -> tuple[Phase, ...]:
    """The phases with this share of what the machine does; setting up and loading stay whole."""
    cut_s, travel_s, hands_s = (figure.value for figure in step.split[:3])
    run_s = cut_s + travel_s
    found: list[Phase] = []
    for phase in step.phases:
        if phase.name == ONCE or phase.name.startswith(LOADING):
            found.append(phase)
            continue
        whole = share if not phase.who else (share * run_s + hands_s) / max(run_s + hands_s, 1e-9)
        why = because("roughing.share", share=share)
        found.append(replace(phase, duration_s=Figure(phase.duration_s.value * whole, "s", (why,))))
    return tuple(found)


def _split(step: Step, share: float) -> tuple[Figure, ...]:
    """Cutting, getting there and the first part's more by this share; hands as they are."""
    return tuple(
        figure if n == 2 else replace(figure, value=figure.value * share) for n, figure in enumerate(step.split)
    )
