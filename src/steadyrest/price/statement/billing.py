"""How a shop charges: the table [billing] of the shop file. What it says of rounding is printed on what is charged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from steadyrest.price.statement.asked import NO_TAX, NOT_ROUNDED, date_of, exact, rounding_of, tax_of
from steadyrest.price.statement.said import Rounding, Tax, cents
from steadyrest.shop.shop_fields import Fields
from steadyrest.shop.shop_text import parsed

KEYS = (
    "goods_markup", "travel_unit", "travel_rate", "tax_words", "days_to_pay", "pay_words", "credit_limit", "rounding",
    "tax", "customer",
)  # fmt: skip
CUSTOMER_KEYS = ("rounding", "certificate_until", "goods_markup")
ROUNDING_KEYS = ("unit_h", "mode", "per", "minimum_labour")
TAX_KEYS = ("rate", "on", "by", "half")
USUAL_DAYS = 14
MOST_DAYS = 365


@dataclass(frozen=True, slots=True)
class Billing:
    """goods_markup: a share on what goods cost. travel_rate: for each `travel_unit`. tax_words: as printed.

    spared_until: the last day that a customer's certificate spares the tax, or None. days_to_pay: from the day of the
    invoice. pay_words: how to pay, as printed. credit_limit: of a customer for whom none was set; None: none.
    """

    rounding: Rounding = NOT_ROUNDED
    tax: Tax = NO_TAX
    goods_markup: Fraction = Fraction(0)
    travel_unit: str = "km"
    travel_rate: Fraction = Fraction(0)
    tax_words: str = ""
    spared_until: date | None = None
    days_to_pay: int = USUAL_DAYS
    pay_words: str = ""
    credit_limit: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Billings:
    """How the shop charges, and what is otherwise with some customers, by name."""

    usual: Billing
    customers: Mapping[str, Billing]

    def of(self, customer: str) -> Billing:
        """How a customer is charged."""
        return self.customers.get(" ".join(customer.split()), self.usual)


@lru_cache(maxsize=4)  # every record and every account asks for the one of the shop
def read_billing(text: str, where: str) -> Billings:
    """How a shop charges.

    Args:
        text: the shop file's text.
        where: its name, for messages.
    Returns: the values; without [billing] hours to the minute, no markup, no tax.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    file = parsed(text, where)
    if "billing" not in file.table:
        return Billings(Billing(), {})
    billing = file.inner("billing")
    billing.only(KEYS)
    usual = Billing(
        rounding=_rounding(billing, NOT_ROUNDED),
        tax=_tax(billing),
        goods_markup=exact(billing, "goods_markup", Fraction(0)),
        travel_unit=billing.text("travel_unit", "km"),
        travel_rate=exact(billing, "travel_rate", Fraction(0)),
        tax_words=billing.text("tax_words", ""),
        days_to_pay=_days(billing),
        pay_words=billing.text("pay_words", ""),
        credit_limit=_limit(billing),
    )
    return Billings(usual, {" ".join(name.split()): _customer(row, usual) for name, row in billing.named("customer")})


def _days(billing: Fields) -> int:
    days = exact(billing, "days_to_pay", Fraction(USUAL_DAYS))
    if days.denominator != 1 or days > MOST_DAYS:
        raise billing.wrong("days_to_pay", f"{float(days):g} is no number of days.", f"Give 0 to {MOST_DAYS}.")
    return int(days)


def _limit(billing: Fields) -> Decimal | None:
    return cents(exact(billing, "credit_limit")) if "credit_limit" in billing.table else None


def _customer(row: Fields, usual: Billing) -> Billing:
    row.only(CUSTOMER_KEYS)
    return replace(
        usual,
        rounding=_rounding(row, usual.rounding),
        goods_markup=exact(row, "goods_markup", usual.goods_markup),
        spared_until=date_of(row, "certificate_until") if "certificate_until" in row.table else None,
    )


def _rounding(fields: Fields, usual: Rounding) -> Rounding:
    if "rounding" not in fields.table:
        return usual
    inner = fields.inner("rounding")
    inner.only(ROUNDING_KEYS)
    return rounding_of(inner)


def _tax(fields: Fields) -> Tax:
    if "tax" not in fields.table:
        return NO_TAX
    inner = fields.inner("tax")
    inner.only(TAX_KEYS)
    return tax_of(inner)
