"""The measuring sheet: each size with its limits, the accept bounds, the gauge, and empty boxes for the readings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.papers import said
from steadyrest.papers.typesetting import Sheet, code, picture, typeset
from steadyrest.shop.figure import Reason
from steadyrest.shop.floor import Shop
from steadyrest.units.lengths import limit_digits
from steadyrest.wording import moments

MOST_BOXES = 3
# Below a millionth of the last printed digit two bounds are the same number.


@dataclass(frozen=True, slots=True)
class MeasuringRow:
    """One size to measure.

    feature: its numeral on the picture. what: in words, such as "bearing seat, diameter". nominal: as people write it.
    low_mm, high_mm: the limits. accept_low_mm, accept_high_mm: a reading between them proves the size right; None if
        this gauge can prove nothing within these limits.
    gauge: the instrument's name. u_mm: its standard uncertainty.
    """

    feature: str
    what: str
    nominal: str
    low_mm: float
    high_mm: float
    accept_low_mm: float | None
    accept_high_mm: float | None
    gauge: str
    u_mm: float
    note: Reason | None = None


@dataclass(frozen=True, slots=True)
class MeasuringSheet:
    """What stands on a measuring sheet. Other fields as in JobSheet. boxes: readings to write down for each size."""

    shop: Shop
    number: int
    what: str
    made: datetime
    quantity: int
    rows: tuple[MeasuringRow, ...]
    notes: tuple[Reason, ...] = ()
    part_svg: str = ""
    boxes: int = 2
    link: str = ""
    sheet: Sheet = "a4"


def measuring_sheet(sheet: MeasuringSheet) -> bytes:
    """The measuring sheet as PDF.

    Args:
        sheet: what stands on it.
    Returns: the PDF.
    Raises: ValueError: no rows, or not 1 to 3 boxes.
    """
    if not sheet.rows or not 1 <= sheet.boxes <= MOST_BOXES:
        raise ValueError(f"measuring_sheet: {len(sheet.rows)} rows, {sheet.boxes} boxes (1 to {MOST_BOXES})")
    return typeset("measuring_sheet.typ", data(sheet), sheet=sheet.sheet, made=sheet.made)


def data(sheet: MeasuringSheet) -> dict[str, object]:
    """The sheet as plain words."""
    who, zone = said.reader(sheet.shop), sheet.shop.timezone
    return {
        "shop": sheet.shop.name,
        "number": sheet.number,
        "what": sheet.what,
        "made": f"{moments.day(sheet.made, zone)}, {moments.moment(sheet.made, zone)[-5:]}",
        "quantity": sheet.quantity,
        "boxes": sheet.boxes,
        "unit": "inches" if who.unit == "in" else "mm",
        "part_svg": picture(sheet.part_svg),
        "code_svg": code(sheet.link) if sheet.link else "",
        "notes": said.sentences(sheet.notes, who),
        "rows": [row_words(row, sheet) for row in sheet.rows],
    }


def row_words(row: MeasuringRow, sheet: MeasuringSheet) -> dict[str, object]:
    """One size as plain words; sizes without their unit, which stands in the head of the sheet."""
    who = said.reader(sheet.shop)
    low, high = limit_digits(row.low_mm, row.high_mm, who.unit)
    accept = ("", "")
    if row.accept_low_mm is not None and row.accept_high_mm is not None and row.accept_low_mm <= row.accept_high_mm:
        accept = limit_digits(row.accept_low_mm, row.accept_high_mm, who.unit)
    return {
        "feature": said.numeral(row.feature),
        "what": row.what,
        "nominal": row.nominal,
        "low": low,
        "high": high,
        "accept_low": accept[0],
        "accept_high": accept[1],
        "gauge": row.gauge,
        "u": f"{row.u_mm * 1000:.3g} µm",
        "note": said.sentence(row.note, who) if row.note else "",
    }
