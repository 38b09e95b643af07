"""The receipt of a customer's own parts, as a paper to sign when they come and when they go back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from steadyrest import units
from steadyrest.desk.accounts.customers import about_named
from steadyrest.desk.floor.who import name_of
from steadyrest.desk.incoming.their_parts import TheirPart, of_job
from steadyrest.papers.receipt import Receipt, TheirRow, receipt
from steadyrest.shop.floor import Shop
from steadyrest.store import jobs
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput
from steadyrest.wording.moments import day, moment


def receipt_paper(store: Store, shop: Shop, number: int, *, now: datetime, link: str = "") -> bytes:
    """The receipt as PDF.

    Args:
        store: an open data folder. shop: for its name, unit and people.
        number: the job's.
        now: aware moment.
        link: where the code on it leads; empty for none.
    Returns: the PDF.
    Raises: BadInput: no such job, or nothing came with it.
    """
    with store.reading() as session:
        job = jobs.job(session, number)
        parts = of_job(session, job) if job is not None else ()
        about = about_named(session, job.customer) if job is not None else None
    if job is None or about is None:
        raise BadInput(where=f"job {number}", what="there is no such job.", do="Look at the bench for those there are.")
    if not parts:
        do = "Write down on its page what came."
        raise BadInput(where=f"job {number}", what="nothing of the customer's was taken in with it.", do=do)
    rows = tuple(their_row(one, shop, store.files.read) for one in parts)
    customer = about.called or job.customer
    return receipt(Receipt(shop.name, number, job.what, customer, now, day(now, shop.timezone), rows, link))


def their_row(one: TheirPart, shop: Shop, read: Callable[[str], bytes]) -> TheirRow:
    """A part as the papers show it.

    Args:
        one: the part. shop: for its unit and people.
        read: a kept file by its hash.
    """
    unit = "lb" if shop.unit == "in" else "kg"
    return TheirRow(
        count=str(one.count),
        what=one.what,
        mass=units.show_mass(one.mass_kg, unit) if one.mass_kg else "not weighed",
        damage=one.damage or "none seen",
        came=f"{moment(one.when, shop.timezone)}, by {name_of(shop, one.who)}",
        back=moment(one.back, shop.timezone) if one.back is not None else "",
        photo=read(one.photo) if one.photo else b"",
    )
