"""Make a statement: hours, machines, travel and goods of a request, to the cent."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from steadyrest.desk.request_file import asked
from steadyrest.price.statement.asked import read_statement
from steadyrest.price.statement.said import StatementSaid
from steadyrest.price.statement.statement import Statement, statement


@dataclass(frozen=True, slots=True)
class Stated:
    """A statement, and what it was made from."""

    said: StatementSaid
    statement: Statement


def state(file: Path) -> Stated:
    """What is owed by a request file.

    Args:
        file: TOML.
    Returns: the statement.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    said = asked(file, read_statement)
    return Stated(said, statement(said))
