"""The measuring page from a piece's record: every size worded, with its forms."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from itertools import count

from steadyrest.desk.floor.measuring import PieceRecord, State, ToMeasure, as_read
from steadyrest.store.readings import ReadingKept
from steadyrest.units import show_odds
from steadyrest.web.pages.measure import Deciding, GaugeRow, MeasurePage, PieceRow, SizeRow, ToldRow
from steadyrest.web.pages.top import Top
from steadyrest.web.showing.words import Words, numeral, size_word
from steadyrest.wording.moments import moment

STATES: dict[State, str] = {
    "open": "Not measured yet", "right": "Right", "wrong": "Wrong", "undecided": "The reading does not decide",
    "used": "Used as it is", "rework": "To be reworked", "remake": "To be made anew", "ask": "The customer is asked",
}  # fmt: skip
CHOICES = (
    ("use", "use it as it is"), ("rework", "rework it"), ("remake", "make it anew"), ("ask", "ask the customer"),
)  # fmt: skip


def page(
    found: PieceRecord,
    others: tuple[PieceRecord, ...],
    *,
    guard: str,
    touch: str,
    trouble: str = "",
    at_fault: tuple[str, str] = ("", ""),
    typed: str = "",
) -> MeasurePage:
    """The measuring page of one piece.

    Args:
        found: the piece's record.
        others: every piece that was measured.
        guard: the app's form token. touch: a mark of this page; each form makes its own of it.
        trouble: why the last reading was not written down. at_fault: its feature and size. typed: what was typed.
    Returns: the page.
    """
    words, answer = Words(found.kept.answer), found.kept.answer
    marks = (f"{touch}-{n}" for n in count())
    kinds = {feature.id: feature.kind for feature in answer.part.features}
    rows = [
        _row(one, kinds.get(one.measure.feature, ""), words, marks,
             typed if (one.measure.feature, one.measure.size) == at_fault else "")
        for one in found.sizes
    ]  # fmt: skip
    own = tuple(row for row, one in zip(rows, found.sizes, strict=True) if one.measure.own_limits)
    job = found.kept.job
    return MeasurePage(
        top=Top(f"Measure job {job.number}, {job.what}", answer.shop.name),
        job=job.number,
        what=job.what,
        piece=found.piece,
        pieces=found.pieces,
        state=STATES[found.state],
        own=own,
        general=tuple(row for row in rows if row not in own),
        measured=tuple(PieceRow(one.piece, STATES[one.state]) for one in others if one.state != "open" or _told(one)),
        after=found.piece + 1 if found.piece < found.pieces else 0,
        people=tuple((person.id, person.name) for person in found.shop.people),
        unit="inches" if words.unit == "in" else "mm",
        has_picture=answer.joined is None,
        trouble=trouble,
        at_fault=_anchor(*at_fault) if trouble else "",
        guard=guard,
    )


def _told(one: PieceRecord) -> bool:
    return any(size.kept for size in one.sizes)


def _anchor(feature: str, size: str) -> str:
    """Where a size stands on its page."""
    return f"{feature}-{size}".replace(" ", "-")


def _row(one: ToMeasure, kind: str, words: Words, marks: Iterator[str], typed: str) -> SizeRow:
    plan, last = one.measure, one.last
    open_now = last is not None and last.answer != "right" and one.decided is None
    return SizeRow(
        anchor=_anchor(plan.feature, plan.size),
        feature=plan.feature,
        size=plan.size,
        numeral=numeral(plan.feature),
        what=f"{kind} {size_word(plan.size)}".strip(),
        shown=plan.shown,
        limits=words.limits(plan.low_mm, plan.high_mm),
        accept=words.limits(*plan.accept_mm) if plan.accept_mm else "",
        state=one.state,
        stands=STATES[one.state] + (f": {as_read(last.size.value, words.unit)}" if last else ""),
        odds=f"right with {show_odds(last.odds.value)}" if last and last.answer == "undecided" else "",
        nexts=words.why(last.nexts) if last and one.decided is None else (),
        why=words.why((*(last.why if last else ()), *(last.odds.why if last else ()), *plan.why, *plan.notes,
                       *((one.risks,) if one.risks else ()))),
        gauges=tuple(GaugeRow(gauge.id, f"{gauge.name}, u {gauge.u_mm * 1000:.3g} µm", gauge.id == plan.gauge)
                     for gauge in one.gauges),
        overdue=tuple(f"{gauge.name} (check was due {_day(gauge.due)})" for gauge in one.overdue),
        told=tuple(_told_row(kept, words) for kept in reversed(one.kept)),
        decided=f"{STATES[one.state]}: {one.decided.words or 'no word why'}, {words.name(one.decided.who)}, "
        f"{moment(one.decided.happened, words.zone)}" if one.decided else "",
        deciding=Deciding(next(marks), CHOICES) if open_now else None,
        typed=typed,
        touch=next(marks),
    )  # fmt: skip


def _day(due: datetime | None) -> str:
    return due.date().isoformat() if due is not None else ""


def _told_row(kept: ReadingKept, words: Words) -> ToldRow:
    one = kept.reading
    read = "; ".join(as_read(reading, words.unit) for reading in one.readings_mm)
    warm = f", part at {one.part_c:g} °C" if one.part_c is not None else ""
    again = f", instead of entry {int(kept.replaces)}" if kept.replaces is not None else ""
    says = f"{read} with {words.name(one.gauge)}{warm}: {STATES[one.answer].lower()}{again}"  # type: ignore[index]
    return ToldRow(int(kept.entry), says, f"{words.name(kept.who)}, {moment(kept.told, words.zone)}")
