"""Rows of a CSV file by the names of its head, each with its line; what is at fault by line and column, all at once.

Read: UTF-8, with commas or semicolons. Cells that were made inert by our own lists are read back as they were.
Source of the form: RFC 4180, from memory.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from steadyrest.desk.accounts.money_export import inert
from steadyrest.trouble import BadInput

LARGEST = 20_000_000
MOST_ROWS = 100_000
LONGEST_CELL = 5_000


@dataclass(frozen=True, slots=True)
class Fault:
    """What is at fault. line: of the file, from 1. column: its name; "" for the whole line."""

    line: int
    column: str
    what: str
    do: str

    def said(self) -> str:
        """In one line."""
        return f"line {self.line}{f', {self.column}' if self.column else ''}: {self.what} {self.do}"


@dataclass(frozen=True, slots=True)
class Row:
    """One row. line: where it begins in the file. cells: by column, blanks around them taken off."""

    line: int
    cells: Mapping[str, str]


def as_it_was(cell: str) -> str:
    """A cell before it was made inert for spreadsheets."""
    return cell[1:] if cell.startswith("'") and inert(cell[1:]) == cell else cell


def rows(data: bytes, *, where: str, columns: Sequence[str], needed: Sequence[str]) -> tuple[Row, ...]:
    """The rows under the head.

    Args:
        data: of the file.
        where: its name.
        columns: those that are known; needed: those that must stand in the head.
    Returns: the rows that say anything; a column that the head does not name is empty.
    Raises: BadInput: it is no such CSV: one line.
    """
    text = text_of(data, where)
    head_text = text.split("\n", 1)[0]
    mark = ";" if head_text.count(";") > head_text.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), strict=True, delimiter=mark)
    try:
        head = [name.strip().lower() for name in next(reader, [])]
        checked(head, where, columns, needed)
        found: list[Row] = []
        line = reader.line_num + 1
        for cells in reader:
            if any(cell.strip() for cell in cells):
                if len(cells) > len(head):
                    what = f"{len(cells)} values under a head of {len(head)}."
                    raise BadInput(where=f"{where}, line {line}", what=what, do="Quote a text that has a comma.")
                if max(map(len, cells)) > LONGEST_CELL:
                    raise BadInput(where=f"{where}, line {line}", what="a value is too long.", do="Shorten it.")
                said = dict(zip(head, (as_it_was(cell).strip() for cell in cells), strict=False))
                found.append(Row(line, {name: said.get(name, "") for name in columns}))
            if len(found) > MOST_ROWS:
                raise BadInput(where=where, what=f"it has more than {MOST_ROWS} rows.", do="Split it.")
            line = reader.line_num + 1
    except csv.Error as fault:
        at = f"{where}, line {reader.line_num}"
        raise BadInput(where=at, what=f"not CSV ({fault}).", do="Write plain comma-separated values.") from None
    if not found:
        raise BadInput(where=where, what="no row stands under its head.", do="Choose the file with the rows.")
    return tuple(found)


def text_of(data: bytes, where: str) -> str:
    """The file's text. Raises: BadInput: it is too large, or none."""
    if len(data) > LARGEST:
        raise BadInput(where=where, what="it is too large.", do="Split it; 20 MB at most.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        what = f"byte {fault.start + 1} is no UTF-8 text."
        raise BadInput(where=where, what=what, do="Save it as CSV in UTF-8.") from None
    if "\x00" in text:
        raise BadInput(where=where, what="it holds signs that no text has.", do="Save it as CSV in UTF-8.")
    return text


def checked(head: Sequence[str], where: str, columns: Sequence[str], needed: Sequence[str]) -> None:
    """Raises: BadInput: a column is missing, unknown, or stands there twice."""
    at, names = f"{where}, line 1", ", ".join(columns)
    if missing := [name for name in needed if name not in head]:
        raise BadInput(where=at, what=f"no column {missing[0]}.", do=f"The first line names: {names}.")
    if unknown := [name for name in head if name not in columns]:
        what = f"column {unknown[0][:40]!r} is none that we know."
        raise BadInput(where=at, what=what, do=f"Take it out, or call it one of: {names}.")
    if twice := [name for name in head if head.count(name) > 1]:
        raise BadInput(where=at, what=f"column {twice[0]} stands there twice.", do="Keep one.")


def written(columns: Sequence[str], found: Iterable[Sequence[str]]) -> str:
    """Rows as CSV text with a head, every cell inert to spreadsheets.

    Args:
        columns: the head.
        found: cells of each row, in that order.
    Returns: the text.
    """
    out = io.StringIO(newline="")
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(columns)
    table.writerows([inert(cell) for cell in one] for one in found)
    return out.getvalue()
