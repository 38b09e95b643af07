"""Every size of a part as CSV, for a spreadsheet."""

from __future__ import annotations

import csv
import io

from steadyrest.part.datums import places
from steadyrest.shop.part import Feature, Part, Size

HEAD = (
    "feature", "kind", "size", "nominal", "shown", "state", "odds", "limits low", "limits high", "estimate", "measured",
    "uncertainty", "wear mm", "seen", "on", "from mm", "to mm", "source",
    "from A mm", "from B mm", "from C mm",
)  # fmt: skip


def sizes_csv(part: Part) -> bytes:
    """The sizes as CSV in UTF-8 with a mark that spreadsheets look for; a row a size, in mm and degrees, and where the
    feature is from the part's datums.

    Args:
        part: read, its sizes named or not.
    Returns: the file. A cell that a spreadsheet would take for a formula is kept as text.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEAD)
    for feature in part.features:
        found = {place.datum: number(place.mm) for place in places(part.datums, feature)}
        from_datums = [found.get(name, "") for name in ("A", "B", "C")]
        for size in feature.sizes:
            writer.writerow([guarded(cell) for cell in (*row(feature, size), *from_datums)])
    return out.getvalue().encode("utf-8-sig")


def row(feature: Feature, size: Size) -> list[str]:
    nominal = size.nominal
    limits = nominal.limits if nominal is not None else None
    along = feature.along_mm
    return [
        feature.id,
        feature.kind,
        size.name,
        number(nominal.value) if nominal else "",
        nominal.shown if nominal else "",
        nominal.state if nominal else "",
        number(nominal.odds) if nominal else "",
        number(limits.low_mm) if limits else "",
        number(limits.high_mm) if limits else "",
        number(size.estimate),
        number(size.measured),
        number(size.uncertainty),
        number(feature.wear_mm) if feature.wear_mm is not None else "",
        number(feature.seen),
        feature.on or "",
        number(along[0]) if along else "",
        number(along[1]) if along else "",
        nominal.source if nominal else "",
    ]


def number(value: float) -> str:
    return f"{value:.6g}"


def guarded(cell: str) -> str:
    """A cell that cannot become a formula; a negative number stays a number."""
    risky = cell[:1] in "=+-@\t\r" and cell != ""
    return f"'{cell}" if risky and not is_number(cell) else cell


def is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True
