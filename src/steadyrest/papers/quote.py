"""The quote: what is offered, for how much, by when, how long it stands, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest.papers import said
from steadyrest.papers.typesetting import Sheet, picture, typeset
from steadyrest.shop.figure import Reason
from steadyrest.shop.floor import Shop
from steadyrest.shop.money import Money
from steadyrest.units import show_money
from steadyrest.wording import moments


@dataclass(frozen=True, slots=True)
class QuoteBreak:
    """The price of another quantity: each, and for all."""

    quantity: int
    each: Money
    whole: Money


@dataclass(frozen=True, slots=True)
class QuoteSheet:
    """What stands on a quote. Nothing here that is the shop's own business (cost, walk-away price).

    offer: for the whole quantity. tax: such as "without value added tax". ready: when it is promised, None if not.
    rests_on: what the offer takes for granted (a size to be confirmed, a material). Other fields as in JobSheet.
    by_the_hour: rates of the people who may work on it, where the offer is the amount not to exceed.
    deposit: paid before the work begins; None: none is asked.
    """

    shop: Shop
    number: int
    what: str
    customer: str
    made: datetime
    valid_until: datetime
    quantity: int
    material: str
    offer: Money
    tax: str
    breaks: tuple[QuoteBreak, ...] = ()
    ready: datetime | None = None
    rests_on: tuple[Reason, ...] = ()
    cautions: tuple[Reason, ...] = ()
    part_svg: str = ""
    by_the_hour: tuple[tuple[str, Money], ...] = ()
    deposit: Money | None = None
    sheet: Sheet = "a4"


def quote(sheet: QuoteSheet) -> bytes:
    """The quote as PDF.

    Args:
        sheet: what stands on it.
    Returns: the PDF.
    """
    return typeset("quote.typ", data(sheet), sheet=sheet.sheet, made=sheet.made)


def data(sheet: QuoteSheet) -> dict[str, object]:
    """The quote as plain words."""
    who, zone = said.reader(sheet.shop), sheet.shop.timezone
    each = sheet.offer.times(1 / sheet.quantity)
    return {
        "shop": sheet.shop.name,
        "number": sheet.number,
        "what": sheet.what,
        "customer": sheet.customer,
        "made": moments.day(sheet.made, zone),
        "valid_until": moments.day(sheet.valid_until, zone),
        "quantity": sheet.quantity,
        "material": sheet.material,
        "offer": amount(sheet.offer),
        "each": amount(each) if sheet.quantity > 1 and not sheet.by_the_hour else "",
        "rates": [[name, amount(rate)] for name, rate in sheet.by_the_hour],
        "deposit": amount(sheet.deposit) if sheet.deposit else "",
        "tax": sheet.tax,
        "breaks": [[str(b.quantity), amount(b.each), amount(b.whole)] for b in sheet.breaks],
        "ready": moments.moment(sheet.ready, zone) if sheet.ready else "",
        "rests_on": said.sentences(sheet.rests_on, who),
        "cautions": said.sentences(sheet.cautions, who),
        "part_svg": picture(sheet.part_svg),
    }


def amount(money: Money) -> str:
    """Money as people read it."""
    return show_money(money.rounded().amount, money.currency)
