"""The measuring report: what was measured on each piece, with what, what it came to, and what was decided of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.papers import said
from steadyrest.papers.typesetting import Sheet, code, typeset
from steadyrest.shop.floor import Shop
from steadyrest.units.lengths import limit_digits
from steadyrest.wording import moments

MOST_ROWS = 4000


@dataclass(frozen=True, slots=True)
class ReportRow:
    """One size of one piece. reads: as read; size_mm, u_mm: at 20 degrees; None: not measured.

    gauge: its name. due: until when its check stands, or "". stands: what the reading came to, and what was decided of
    it. told: by whom and when.
    """

    piece: int
    feature: str
    what: str
    nominal: str
    low_mm: float
    high_mm: float
    reads: str
    size_mm: float | None
    u_mm: float | None
    gauge: str
    due: str
    stands: str
    told: str


@dataclass(frozen=True, slots=True)
class MeasuringReport:
    """What stands on a measuring report. stands: of the whole lot, in words. Other fields as in JobSheet."""

    shop: Shop
    number: int
    what: str
    customer: str
    made: datetime
    quantity: int
    stands: str
    rows: tuple[ReportRow, ...]
    link: str = ""
    sheet: Sheet = "a4"


def measuring_report(report: MeasuringReport) -> bytes:
    """The measuring report as PDF.

    Args:
        report: what stands on it.
    Returns: the PDF.
    Raises: ValueError: no rows, or more than a report may have.
    """
    if not 1 <= len(report.rows) <= MOST_ROWS:
        raise ValueError(f"measuring_report: {len(report.rows)} rows (1 to {MOST_ROWS})")
    return typeset("measuring_report.typ", data(report), sheet=report.sheet, made=report.made)


def data(report: MeasuringReport) -> dict[str, object]:
    """The report as plain words."""
    zone, unit = report.shop.timezone, said.reader(report.shop).unit
    return {
        "shop": report.shop.name,
        "number": report.number,
        "what": report.what,
        "customer": report.customer,
        "made": f"{moments.day(report.made, zone)}, {moments.moment(report.made, zone)[-5:]}",
        "quantity": report.quantity,
        "unit": "inches" if unit == "in" else "mm",
        "stands": report.stands,
        "code_svg": code(report.link) if report.link else "",
        "rows": [_row(row, report) for row in report.rows],
    }


def _row(row: ReportRow, report: MeasuringReport) -> dict[str, object]:
    unit = said.reader(report.shop).unit
    low, high = limit_digits(row.low_mm, row.high_mm, unit)
    at = ""
    if row.size_mm is not None and row.u_mm is not None:
        per = 25.4 if unit == "in" else 1.0
        at = f"{row.size_mm / per:.{5 if unit == 'in' else 4}f}"
    return {
        "piece": row.piece,
        "feature": said.numeral(row.feature),
        "what": row.what,
        "nominal": row.nominal,
        "low": low,
        "high": high,
        "reads": row.reads,
        "at_20": at,
        "u": "" if row.u_mm is None else f"{row.u_mm * 1000:.2g} µm",
        "gauge": row.gauge,
        "due": row.due,
        "stands": row.stands,
        "told": row.told,
    }
