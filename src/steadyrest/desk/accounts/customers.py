"""Customers: who they are and what was agreed with them; every change is an entry, by whom and when."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from zoneinfo import ZoneInfo

from steadyrest.desk.floor import clock
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.price.statement.billing import MOST_DAYS, Billing, read_billing
from steadyrest.price.statement.said import Rounding
from steadyrest.store import customers, plans, touches
from steadyrest.store.customers import NOT_SAID, About, Customer, Terms
from steadyrest.store.opening import Session, Store
from steadyrest.trouble import BadInput
from steadyrest.units import parse_money

VERB = "customer"
LONGEST = 200
LONGEST_NOTE = 2000
MOST_LINES = 8
LARGEST_FILE = 20_000_000
HUNDRED = Decimal(100)
# What a kept certificate may be, by how it begins.
BEGINS = (b"%PDF-", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")
MAIL = re.compile(r"[^@\s<>]+@[^@\s<>]+")
UNITS_H = ("0", "0.05", "0.1", "0.25", "0.5", "1")


@dataclass(frozen=True, slots=True)
class Told:
    """What is told of a customer. kind: of customers.KINDS. words: as typed, by name. file: name and bytes, or None."""

    kind: str
    words: Mapping[str, str]
    by: str
    touch: str = ""
    file: tuple[str, bytes] | None = None


def find(session: Session, said: str) -> Customer:
    """The customer of this name, or of this number. Raises: BadInput: there is none."""
    plain = said.strip()
    found = customers.by_name(session, plain)
    if found is None and plain.isascii() and plain.isdecimal() and len(plain) < 10:
        found = customers.by_number(session, int(plain))
    if found is None or found.name == NOT_SAID:
        do = "Look at the list; a customer is made at the first job, or by what is written down of him."
        raise BadInput(where=f"customer {said[:40]!r}", what="there is no such customer.", do=do)
    return found


def make(store: Store, name: str) -> Customer:
    """The customer of this name, made if there is none yet. Raises: BadInput: no name."""
    said = " ".join(name.split())
    if not 1 <= len(said) <= LONGEST or said == NOT_SAID or said.isdecimal():
        raise BadInput(where="the customer's name", what="is none.", do=f"Write 1 to {LONGEST} signs, not a number.")
    with store.writing() as session:
        return customers.make(session, said)


def tell(store: Store, said: ShopSaid, who: str, told: Told, *, now: datetime) -> About:
    """Write down what is known of a customer.

    Args:
        store: an open data folder. said: the shop.
        who: the customer's name, or number.
        told: what.
        now: aware moment.
    Returns: what is known now.
    Raises: BadInput: no such customer or person, or words that cannot be meant.
    """
    clock.known_person(said.shop, told.by)
    check = CHECKS.get(told.kind)
    if check is None:
        what = f"{told.kind[:40]!r} is nothing to write down."
        raise BadInput(where="the form", what=what, do=f"Write down one of: {', '.join(CHECKS)}.")
    body = check(told.words, said.shop.currency)
    sha256 = keep_file(store, told.file) if told.file is not None else None
    with store.writing() as session:
        customer = find(session, who)
        if touches.answered(session, told.touch, verb=VERB) is None:
            if sha256 is not None and told.file is not None:
                name, data = told.file
                plans.note_file(session, sha256=sha256, size_bytes=len(data), name=name, kind="certificate", now=now)
            customers.write_down(
                session, customer.id, kind=told.kind, body=body, who=told.by, happened=now, told=now,
                file_sha256=sha256,
            )  # fmt: skip
            touches.keep(session, told.touch, verb=VERB, answer=str(customer.id), now=now)
        return customers.about(session, customer)


def keep_file(store: Store, file: tuple[str, bytes]) -> str:
    """Keep a certificate's file. Raises: BadInput: too large, or neither PDF, JPEG nor PNG."""
    name, data = file
    if len(data) > LARGEST_FILE or not data.startswith(BEGINS):
        what = "is too large." if len(data) > LARGEST_FILE else "is neither a PDF nor a photo."
        raise BadInput(where=name[:80] or "the file", what=what, do="Give a PDF, JPEG or PNG of at most 20 MB.")
    return store.files.keep(data)


# ---- what each kind needs ----------------------------------------------------------------------------------------


def line(words: Mapping[str, str], name: str, *, longest: int = LONGEST, needed: bool = False) -> str:
    """One line as typed, blanks and signs that cannot be printed apart."""
    text = " ".join("".join(c if c.isprintable() else " " for c in words.get(name, "")).split())
    if len(text) > longest or (needed and not text):
        what = "is too long." if text else "is not said."
        raise BadInput(where=name, what=what, do=f"Write 1 to {longest} signs.")
    return text


def address(words: Mapping[str, str], _currency: str) -> Mapping[str, str]:
    lines = [line({"line": one}, "line") for one in words.get("lines", "").replace("\r", "").split("\n")]
    kept = [one for one in lines if one]
    if len(kept) > MOST_LINES:
        raise BadInput(where="address", what=f"has {len(kept)} lines.", do=f"Write at most {MOST_LINES}.")
    return {"called": line(words, "called"), "lines": "\n".join(kept)}


def contact(words: Mapping[str, str], _currency: str) -> Mapping[str, str]:
    mail = line(words, "mail")
    if mail and not MAIL.fullmatch(mail):
        raise BadInput(where="mail", what=f"{mail[:60]!r} is no address.", do="Write it as name@place.")
    return {
        "name": line(words, "name", needed=True), "phone": line(words, "phone"), "mail": mail,
        "role": line(words, "role"), "gone": "yes" if words.get("gone") else "",
    }  # fmt: skip


def terms(words: Mapping[str, str], _currency: str) -> Mapping[str, str]:
    discount, deposit = share(words, "discount"), share(words, "deposit")
    days, discount_days = whole(words, "days", needed=True), whole(words, "discount_days")
    if discount and not 0 < discount_days <= days:
        raise BadInput(where="discount_days", what="do not lie within the days to pay.", do="Give 1 to those days.")
    return {
        "days": str(days), "discount": str(discount), "discount_days": str(discount_days if discount else 0),
        "deposit": str(deposit),
    }  # fmt: skip


def rounding(words: Mapping[str, str], currency: str) -> Mapping[str, str]:
    """The keys of [billing.rounding]; none: as the shop file says."""
    unit, least = words.get("unit_h", "").strip(), words.get("minimum_labour", "").strip()
    if not unit and not least:
        return {}
    found = {"unit_h": unit or "0", "mode": words.get("mode") or "up", "per": words.get("per") or "entry"}
    for name, allowed in (("unit_h", UNITS_H), ("mode", ("up", "nearest")), ("per", ("entry", "day"))):
        if found[name] not in allowed:
            raise BadInput(where=name, what=f"{found[name][:20]!r} is none.", do=f"Choose: {', '.join(allowed)}.")
    return {**found, "minimum_labour": str(cents(least, currency, "minimum_labour")) if least else ""}


def tax_words(words: Mapping[str, str], _currency: str) -> Mapping[str, str]:
    return {"words": line(words, "words")}


def certificate(words: Mapping[str, str], _currency: str) -> Mapping[str, str]:
    return {
        "number": line(words, "number", needed=True), "until": day_of(words.get("until", ""), "until").isoformat(),
        "gone": "yes" if words.get("gone") else "",
    }  # fmt: skip


def limit(words: Mapping[str, str], currency: str) -> Mapping[str, str]:
    text = words.get("amount", "").strip()
    return {"amount": str(cents(text, currency, "credit limit", may_be_nothing=True)) if text else ""}


def note(words: Mapping[str, str], _currency: str) -> Mapping[str, str]:
    return {"words": line(words, "words", longest=LONGEST_NOTE, needed=True)}


CHECKS: Mapping[str, Callable[[Mapping[str, str], str], Mapping[str, str]]] = {
    "address": address, "contact": contact, "terms": terms, "rounding": rounding, "tax words": tax_words,
    "certificate": certificate, "limit": limit, "note": note,
}  # fmt: skip


def share(words: Mapping[str, str], name: str) -> Decimal:
    """A share typed as per cent, 0 to 100, exactly; nothing typed is none."""
    text = words.get(name, "").strip().removesuffix("%").strip().replace(",", ".") or "0"
    try:
        found = Decimal(text)
    except InvalidOperation:
        found = Decimal(-1)
    exponent = found.as_tuple().exponent
    if not found.is_finite() or not 0 <= found <= HUNDRED or not isinstance(exponent, int) or exponent < -4:
        raise BadInput(where=name, what=f"{text[:20]!r} is no share.", do="Write per cent, such as 2 or 2.5.")
    return found / HUNDRED


def whole(words: Mapping[str, str], name: str, *, needed: bool = False) -> int:
    """A number of days."""
    text = words.get(name, "").strip() or ("" if needed else "0")
    if not (text.isascii() and text.isdecimal() and len(text) < 5 and int(text) <= MOST_DAYS):
        raise BadInput(where=name, what=f"{text[:20]!r} is no number of days.", do=f"Write 0 to {MOST_DAYS}.")
    return int(text)


def cents(text: str, currency: str, where: str, *, may_be_nothing: bool = False) -> Decimal:
    """An amount as typed, exact to the cent, more than nothing."""
    found = parse_money(text, currency, where)
    if found != found.quantize(Decimal("0.01")) or not (found > 0 or (may_be_nothing and found == 0)):
        raise BadInput(where=where, what=f"{text[:30]!r} is no amount in cents.", do="Write an amount such as 120.50.")
    if found >= Decimal(10**9):
        raise BadInput(where=where, what=f"{text[:30]!r} is too much.", do="Give an amount under 1000000000.")
    return found.quantize(Decimal("0.01"))


def day_of(text: str, where: str) -> date:
    """A day as typed."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput(where=where, what=f"{text[:20]!r} is no day.", do="Write it as 2026-12-31.") from None


# ---- what follows from it ----------------------------------------------------------------------------------------


def today(said: ShopSaid, now: datetime) -> date:
    """The day by the shop's calendar."""
    return now.astimezone(ZoneInfo(said.shop.timezone)).date()


def about_named(session: Session, name: str) -> About:
    """What is known of the customer of a job, who is there; of nobody nothing is known."""
    found = customers.by_name(session, name)
    assert found is not None
    return customers.about(session, found)


def billing_of(session: Session, said: ShopSaid, name: str, *, day: date) -> Billing:
    """How a customer is charged: as the shop file says, what was agreed with the customer in place of it.

    Args:
        session: a transaction. said: the shop.
        name: the customer's.
        day: on which it is charged; a certificate must still count then.
    Returns: the billing.
    Raises: BadInput: [billing] is wrong somewhere.
    """
    usual = read_billing(said.text, said.where).of(name)
    about = about_named(session, name)
    own = about.rounding
    if own:
        up, by_day = own["mode"] == "up", own["per"] == "day"
        least = Fraction(own.get("minimum_labour") or "0")
        usual = replace(usual, rounding=Rounding(Fraction(own["unit_h"]), up, by_day, least))
    until = max((one for one in (usual.spared_until, about.spared_until(day)) if one is not None), default=None)
    return replace(usual, spared_until=until)


def terms_of(about: About, billing: Billing) -> Terms:
    """What was agreed with a customer about paying; the shop's usual days where nothing was."""
    return about.terms or Terms(billing.days_to_pay)


def limit_of(about: About, billing: Billing) -> Decimal | None:
    """A customer's credit limit: his own, else the usual one, else none."""
    return about.limit if about.limit is not None else billing.credit_limit
