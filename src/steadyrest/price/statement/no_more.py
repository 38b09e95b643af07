"""Work by the hour with an amount that it will not exceed: what is above it is the shop's, on a line of its own."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from steadyrest.price.statement.said import Goods, StatementSaid
from steadyrest.price.statement.statement import Statement, statement
from steadyrest.units import show_money


def no_more_than(said: StatementSaid, most: Decimal) -> Statement:
    """What is owed if it was agreed that it comes to no more than so much, tax left out.

    Args:
        said: entries, rates, rounding, tax.
        most: before tax, as it was agreed; > 0.
    Returns: the statement; where it would come to more, with a line that takes the rest off.
    """
    plain = statement(said)
    over = plain.total - plain.tax - most
    if over <= 0:
        return plain
    # What is taken off is work: it lessens the tax where work is taxed.
    off = said.taxes("labour") and said.taxed is not None
    borne = Goods(
        f"no more than {show_money(most, said.currency)} was agreed", Fraction(-over), Fraction(0), taxable=off
    )
    return statement(replace(said, goods=(*said.goods, borne)))
