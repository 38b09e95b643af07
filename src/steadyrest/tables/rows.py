"""Rows of the printed tables, as they stand in data/*.csv, and where each was read."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

STANDINGS = ("seen", "seen in a reprint", "computed", "from memory", "common practice, no source")


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure was read. where: how this copy was come by, in words."""

    key: str
    title: str
    edition: str
    where: str


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table. cells: text by column. at: file and line, for our own mistakes."""

    cells: Mapping[str, str]
    at: str

    def text(self, column: str) -> str:
        return self.cells[column]

    def number(self, column: str) -> float:
        """The cell as a number.

        Args:
            column: its heading.
        Returns: the number as printed.
        Raises: ValueError: the cell is no number.
        """
        try:
            return float(self.cells[column])
        except ValueError:
            raise ValueError(f"{self.at}: {column} is {self.cells[column]!r}, not a number") from None

    def number_or_none(self, column: str) -> float | None:
        """The cell as a number, or None where the print leaves it empty."""
        return self.number(column) if self.cells[column] else None

    def flag(self, column: str) -> bool:
        """The cell as yes or no.

        Args:
            column: its heading.
        Returns: True for "yes".
        Raises: ValueError: neither yes nor no.
        """
        if self.cells[column] not in ("yes", "no"):
            raise ValueError(f"{self.at}: {column} is {self.cells[column]!r}, not yes or no")
        return self.cells[column] == "yes"

    def names(self, column: str) -> tuple[str, ...]:
        """The cell's parts between semicolons."""
        return tuple(part for part in self.cells[column].split(";") if part)


@cache
def rows(name: str) -> tuple[Row, ...]:
    """All rows of one table.

    Args:
        name: the file's name without its ending, such as "iso286_grades".
    Returns: its rows in the order of the print.
    """
    text = (resources.files("steadyrest.tables") / "data" / f"{name}.csv").read_text(encoding="utf-8")
    reader = csv.DictReader(text.splitlines())
    return tuple(Row(cells, f"{name}.csv line {line}") for line, cells in enumerate(reader, start=2))


@cache
def table_names() -> tuple[str, ...]:
    """Names of all tables."""
    folder = resources.files("steadyrest.tables") / "data"
    return tuple(sorted(file.name[:-4] for file in folder.iterdir() if file.name.endswith(".csv")))


@cache
def sources() -> Mapping[str, Source]:
    """Every source by its key."""
    text = (resources.files("steadyrest.tables") / "sources.toml").read_text(encoding="utf-8")
    return {
        key: Source(key, entry["title"], entry["edition"], entry["where"]) for key, entry in tomllib.loads(text).items()
    }
