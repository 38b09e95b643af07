"""Is it right: what to measure, with what, and which reading decides."""

from __future__ import annotations

from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.measure.plan import Measure
from steadyrest.web.pages.job import IsItRight, MeasureRow
from steadyrest.web.showing.words import Words, numeral, size_word

GENERAL = ("limits.general", "measure.general")


def is_it_right(answer: PlanAnswer, words: Words, *, job: int, measured: str = "") -> IsItRight:
    """What to measure.

    Args:
        answer: the plan.
        words: for its reader.
        job: its number. measured: how the lot stands by what was measured, or "".
    Returns: the sixth answer: sizes with limits of their own apart from those by the general tolerance.
    """
    kinds = {feature.id: feature.kind for feature in answer.part.features}
    rows = [(has_own(one), measure_row(one, kinds.get(one.feature, ""), words)) for one in answer.measures]
    return IsItRight(
        job=job,
        measured=measured,
        own=tuple(row for own, row in rows if own),
        general=tuple(row for own, row in rows if not own),
    )


def has_own(one: Measure) -> bool:
    """Whether its limits say more than the general tolerance does."""
    return one.own_limits and not any(reason.key in GENERAL for reason in one.why)


def measure_row(one: Measure, kind: str, words: Words) -> MeasureRow:
    return MeasureRow(
        what=f"{numeral(one.feature)}, {kind} {size_word(one.size)}",
        size=one.shown,
        limits=words.limits(one.low_mm, one.high_mm),
        gauge=one.gauge_name or "no gauge on the list",
        accept=words.limits(*one.accept_mm) if one.accept_mm else "this gauge cannot prove it",
        why=words.why((*one.why, *one.notes)),
    )
