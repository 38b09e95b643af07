"""Column types that STRICT tables accept: money as decimal text, moments as UTC text, truths as checked integers."""

# ruff: noqa: ARG002  SQLAlchemy hands the dialect over; what is kept is the same on each

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import Integer, Text
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator


class MoneyText(TypeDecorator[Decimal]):
    """A decimal amount, kept digit by digit."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> str | None:
        if value is None:
            return None
        if not value.is_finite():
            raise ValueError(f"money must be a number, not {value}")
        return str(value)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> Decimal | None:
        return None if value is None else Decimal(value)


class Moment(TypeDecorator[datetime]):
    """An aware moment, kept in UTC with microseconds, so that text sorts as time does."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"a moment without offset cannot be kept: {value.isoformat()}")
        return value.astimezone(UTC).isoformat(timespec="microseconds")

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        return None if value is None else datetime.fromisoformat(value)


class Flag(TypeDecorator[bool]):
    """A truth, kept as 0 or 1; each table checks it."""

    impl = Integer
    cache_ok = True

    def process_bind_param(self, value: bool | None, dialect: Dialect) -> int | None:
        return None if value is None else int(value)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> bool | None:
        return None if value is None else bool(value)
