"""Issue the measuring report of a job: every piece that was measured, and what is still open."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from steadyrest.desk.floor.measuring import PieceRecord, State, ToMeasure, as_read, records
from steadyrest.papers.measuring_report import MeasuringReport, ReportRow, measuring_report
from steadyrest.shop.floor import Shop
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput
from steadyrest.wording.moments import moment
from steadyrest.wording.say import SIZE_WORDS

WORDS: dict[State, str] = {
    "open": "not measured", "right": "right", "wrong": "wrong", "undecided": "undecided", "used": "used as it is",
    "rework": "to be reworked", "remake": "to be made anew", "ask": "customer asked",
}  # fmt: skip


def report(store: Store, number: int, shop: Shop, *, made: datetime, link: str = "") -> bytes:
    """The measuring report as PDF.

    Args:
        store: an open data folder.
        number: the job's.
        shop: its gauges and people.
        made: when it is printed.
        link: where the code on it leads; empty for none.
    Returns: the PDF.
    Raises: BadInput: no such job, or there is nothing to measure.
    """
    found = records(store, number, shop, now=made)
    rows = tuple(_row(one, size, shop) for one in found for size in one.sizes if size.kept or one.piece == 1)
    kept = found[0].kept
    if not rows:
        raise BadInput(
            where=f"job {number}", what="there is nothing to measure on it.", do="Read its reasons on the page."
        )
    return measuring_report(
        MeasuringReport(
            shop=shop, number=number, what=kept.job.what, customer=kept.job.customer, made=made,
            quantity=kept.answer.quantity, stands=lot_stands(found), rows=rows, link=link,
        )
    )  # fmt: skip


def lot_stands(found: Sequence[PieceRecord]) -> str:
    """The lot in words: how many pieces stand how, and how many nobody measured.

    Args:
        found: every piece that was measured, and the first.
    Returns: such as "3 right, 1 to be reworked, 56 not measured".
    """
    counts: dict[State, int] = {}
    for one in found:
        counts[one.state] = counts.get(one.state, 0) + 1
    unseen = found[0].pieces - len(found)
    if unseen:
        counts["open"] = counts.get("open", 0) + unseen
    return ", ".join(f"{counts[state]} {words}" for state, words in WORDS.items() if counts.get(state))


def _row(one: PieceRecord, size: ToMeasure, shop: Shop) -> ReportRow:
    plan = size.measure
    last = size.kept[-1] if size.kept else None
    names = {each.id: each.name for each in (*shop.people, *shop.gauges)}
    gauge = next((g for g in shop.gauges if last is not None and g.id == last.reading.gauge), None)
    return ReportRow(
        piece=one.piece,
        feature=plan.feature,
        what=SIZE_WORDS.get(plan.size, plan.size),
        nominal=plan.shown,
        low_mm=plan.low_mm,
        high_mm=plan.high_mm,
        reads="; ".join(as_read(mm, shop.unit) for mm in last.reading.readings_mm) if last else "",
        size_mm=last.reading.size_mm if last else None,
        u_mm=last.reading.u_mm if last else None,
        gauge=names.get(last.reading.gauge, last.reading.gauge) if last else "",
        due=gauge.due.date().isoformat() if gauge is not None and gauge.due is not None else "",
        stands=WORDS[size.state],
        told=f"{names.get(last.who, last.who)}, {moment(last.told, shop.timezone)}" if last else "",
    )
