"""Labels for pieces, on sheets of labels: what it is in large letters, and a code that leads to its story."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from steadyrest.papers.typesetting import code, typeset
from steadyrest.tables.label_sheets import LabelSheet


@dataclass(frozen=True, slots=True)
class Label:
    """name: large. lines: below it, in few words. link: what the code says."""

    name: str
    lines: tuple[str, ...]
    link: str


def labels(found: Sequence[Label], sheet: LabelSheet, *, shop: str, skip: int, made: datetime) -> bytes:
    """The labels as PDF.

    Args:
        found: one after the other.
        sheet: where each stands.
        shop: its name, for the file.
        skip: how many of the first sheet are used up.
        made: aware moment.
    Returns: the PDF.
    """
    each = [(k, label) for k, label in enumerate(found, skip)]
    on_page = sheet.columns * sheet.rows
    data = {
        "shop": shop,
        "kind": "Labels",
        "wide_mm": sheet.wide_mm,
        "high_mm": sheet.high_mm,
        "pages": [
            [placed(k % on_page, label, sheet) for k, label in each if k // on_page == page]
            for page in range(pages(len(found), sheet, skip))
        ],
    }
    return typeset("labels.typ", data, sheet=sheet.paper, made=made)


def pages(count: int, sheet: LabelSheet, skip: int) -> int:
    """How many sheets."""
    return -(-(count + skip) // (sheet.columns * sheet.rows))


def placed(k: int, label: Label, sheet: LabelSheet) -> dict[str, object]:
    """A label in its place on the sheet."""
    row, column = divmod(k, sheet.columns)
    return {
        "x_mm": sheet.left_mm + column * sheet.step_x_mm,
        "y_mm": sheet.top_mm + row * sheet.step_y_mm,
        "name": label.name,
        "lines": list(label.lines),
        "code_svg": code(label.link),
    }
