"""Amounts of money."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal

from steadyrest.units.written import NUMBER, plain_text, refuse


def parse_money(text: str, currency: str = "", where: str = "amount", *, may_be_negative: bool = False) -> Decimal:
    """An amount of money as written.

    Args:
        text: `95`, `95.00`, `95,00`, `1,234.50`, `1.234,50`, `1 234.50`, with the currency before or behind if given.
        currency: the only currency that the text may name; "" allows none.
        where: the field or key, for the line a person sees.
        may_be_negative: True for a credit.
    Returns: the amount, not rounded.
    Raises: BadInput: not an amount, another currency, or `1,234`, which reads two ways.
    """
    how = f"Write an amount such as 1234.50{' ' + currency if currency else ''}."
    plain = plain_text(text, where, how)
    name = re.escape(currency.lower())
    bare = re.sub(rf"^{name}\s*|\s*{name}$", "", plain, count=1) if name else plain
    sign, digits = (-1, bare[1:].strip()) if bare.startswith("-") else (1, bare)
    if sign < 0 and not may_be_negative:
        refuse(where, text, "is negative.", how)
    amount = _ungrouped(digits)
    if amount is None and re.fullmatch(r"[0-9]{1,3},[0-9]{3}", digits):
        refuse(where, text, "reads two ways.", f"Write {digits.replace(',', '')} or {digits.replace(',', '.')}.")
    if amount is None:
        refuse(where, text, "is not an amount of money.", how)
    return sign * amount


def _ungrouped(digits: str) -> Decimal | None:
    """An amount with or without thousands apart; None where it reads two ways or not at all."""
    if re.fullmatch(NUMBER, digits) and not re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", digits):
        return Decimal(digits.replace(",", "."))
    for group, point in ((",", "."), (".", ","), (" ", "."), (" ", ",")):
        lead, behind = rf"[0-9]{{1,3}}(?:{re.escape(group)}[0-9]{{3}})", rf"{re.escape(point)}[0-9]+"
        if re.fullmatch(rf"{lead}+{behind}|{lead}{{{1 if group == ' ' else 2},}}", digits):
            return Decimal(digits.replace(group, "").replace(point, "."))
    return None


def show_money(amount: Decimal, currency: str = "") -> str:
    """An amount to the cent, half up, with its currency; thousands apart from ten thousand on: "12 400.00 EUR"."""
    cents = amount.quantize(Decimal("0.01"), ROUND_HALF_UP)
    digits = f"{cents:,.2f}".replace(",", "\u00a0") if abs(cents) >= 10000 else f"{cents:.2f}"
    return f"{digits} {currency}".strip()
