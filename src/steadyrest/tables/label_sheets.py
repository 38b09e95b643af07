"""Sheets of labels to be stuck on: how many, how large, where on the paper."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from steadyrest.tables.rows import rows

Paper = Literal["a4", "us-letter"]


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A sheet. left_mm, top_mm: of the first label; step_x_mm, step_y_mm: from one to the next."""

    name: str
    paper: Paper
    columns: int
    rows: int
    wide_mm: float
    high_mm: float
    left_mm: float
    top_mm: float
    step_x_mm: float
    step_y_mm: float


@cache
def label_sheets() -> tuple[LabelSheet, ...]:
    """All sheets kept."""
    return tuple(
        LabelSheet(
            row.text("name"), cast("Paper", row.text("paper")), int(row.number("columns")), int(row.number("rows")),
            row.number("wide_mm"), row.number("high_mm"), row.number("left_mm"), row.number("top_mm"),
            row.number("step_x_mm"), row.number("step_y_mm"),
        )
        for row in rows("label_sheets")
    )  # fmt: skip
