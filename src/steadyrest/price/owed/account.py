"""A customer's account: what each invoice still asks for, and what is held for the customer, to the cent.

Folded from what was charged and what moved. The order in which it was written down does not matter: sums do, and the
day on which each happened.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal, get_args

Kind = Literal["received", "given back", "credit note", "written off", "discount", "set off", "deposit asked"]
KINDS: tuple[Kind, ...] = get_args(Kind)
# Each of these may go towards an invoice, and lessens what it asks for.
LESSENS: tuple[Kind, ...] = ("received", "credit note", "written off", "discount", "set off")
NOTHING = Decimal("0.00")


@dataclass(frozen=True, slots=True)
class Charge:
    """An invoice. number: its own; job: the job's number. total: to the cent."""

    number: int
    job: int
    issued: date
    due: date
    total: Decimal


@dataclass(frozen=True, slots=True)
class Move:
    """Money that came or went, or a word that lessens a debt.

    invoice: its number, where it goes towards one. job: of a deposit, kept for that job's invoices. Neither: held for
    the customer. due: by when a deposit is asked.
    """

    id: int
    kind: Kind
    day: date
    amount: Decimal
    invoice: int | None = None
    job: int | None = None
    due: date | None = None


@dataclass(frozen=True, slots=True)
class Stands:
    """How one invoice stands. by: what lessened it, by kind, as entered. deposit: kept for its job, counted here.

    over: more than it asked for, held for the customer. settled: the day on which nothing was open any more, or None.
    """

    charge: Charge
    by: Mapping[Kind, Decimal]
    deposit: Decimal
    open: Decimal
    over: Decimal
    settled: date | None

    @property
    def lost(self) -> Decimal:
        """What was written off."""
        return self.by.get("written off", NOTHING)


@dataclass(frozen=True, slots=True)
class Deposit:
    """The deposits of one job. held: received, not yet used by an invoice of the job. due: the last that was asked."""

    job: int
    asked: Decimal
    received: Decimal
    held: Decimal
    due: date | None


@dataclass(frozen=True, slots=True)
class Account:
    """invoices: by number. held: money of the customer's that no invoice uses, deposits of jobs not among it."""

    invoices: tuple[Stands, ...]
    deposits: tuple[Deposit, ...]
    held: Decimal

    @property
    def owed(self) -> Decimal:
        """What all invoices still ask for."""
        return sum((one.open for one in self.invoices), NOTHING)

    @property
    def all_held(self) -> Decimal:
        """All money of the customer's that no invoice uses, deposits among it."""
        return self.held + sum((one.held for one in self.deposits), NOTHING)


def account(charges: Iterable[Charge], moves: Iterable[Move]) -> Account:
    """How a customer's account stands, in one currency.

    Money towards an invoice counts there; what is too much is held. A deposit counts for its own job's invoices alone,
    the lowest number first. Money towards nothing is held until it is set off.

    Args:
        charges: the customer's invoices, in any order.
        moves: what moved, in any order, struck ones left out.
    Returns: the account.
    Raises: ValueError: a move towards an invoice that is not among the charges.
    """
    known = sorted(charges, key=lambda one: one.number)
    told = sorted(moves, key=lambda one: (one.day, one.id))
    numbers = {one.number for one in known}
    for one in told:
        if one.invoice is not None and one.invoice not in numbers:
            raise ValueError(f"account: move {one.id} goes towards invoice {one.invoice}, which is not there")
    pools, stands = _pools(told), list[Stands]()
    held = _loose(told)
    left = {job: pool.held for job, pool in pools.items()}
    towards: dict[int, list[Move]] = {one.number: [] for one in known}
    for one in told:
        if one.invoice is not None and one.kind in LESSENS:
            towards[one.invoice].append(one)
    kept = [one for one in told if _is_deposit(one)]
    for charge in known:
        direct = towards[charge.number]
        pool = left.get(charge.job, NOTHING)
        asks = max(charge.total - _total(direct), NOTHING)
        deposit = min(max(pool, NOTHING), asks)
        left[charge.job] = pool - deposit
        one = _stands(charge, direct, deposit, [one for one in kept if one.job == charge.job] if deposit else ())
        held += one.over
        stands.append(one)
    deposits = tuple(
        Deposit(job, pool.asked, pool.received, left.get(job, pool.held), pool.due)
        for job, pool in sorted(pools.items())
    )
    return Account(tuple(stands), deposits, held)


def _stands(charge: Charge, direct: Sequence[Move], deposit: Decimal, pool: Sequence[Move]) -> Stands:
    by: dict[Kind, Decimal] = {}
    for one in direct:
        by[one.kind] = by.get(one.kind, NOTHING) + one.amount
    rest = charge.total - _total(direct) - deposit
    settled = _settled(charge, direct, deposit, pool) if rest <= 0 else None
    return Stands(charge, by, deposit, max(rest, NOTHING), max(-rest, NOTHING), settled)


def _settled(charge: Charge, direct: Sequence[Move], deposit: Decimal, pool: Sequence[Move]) -> date:
    """The first day on which what had come covers the invoice; a deposit counts from the invoice's own day on."""
    came = [(max(one.day, charge.issued), one.amount) for one in direct]
    if deposit:
        came.append((max([charge.issued, *(one.day for one in pool)]), deposit))
    sum_so_far = NOTHING
    for day, amount in sorted(came):
        sum_so_far += amount
        if sum_so_far >= charge.total:
            return day
    return charge.issued


def _pools(told: Sequence[Move]) -> dict[int, Deposit]:
    """What came for each job and for no invoice; held: before any invoice used it."""
    found: dict[int, Deposit] = {}
    for one in told:
        if one.job is None or one.invoice is not None:
            continue
        last = found.get(one.job, Deposit(one.job, NOTHING, NOTHING, NOTHING, None))
        if one.kind == "deposit asked":
            found[one.job] = Deposit(one.job, last.asked + one.amount, last.received, last.held, one.due or last.due)
        elif _is_deposit(one):
            signed = one.amount if one.kind == "received" else -one.amount
            found[one.job] = Deposit(one.job, last.asked, last.received + signed, last.held + signed, last.due)
    return found


def _is_deposit(one: Move) -> bool:
    return one.job is not None and one.invoice is None and one.kind in ("received", "given back")


def _loose(told: Sequence[Move]) -> Decimal:
    """What was received on account, less what was given back of it, less what was set off."""
    plain = [one for one in told if one.invoice is None and one.job is None]
    came = _total([one for one in plain if one.kind == "received"])
    went = _total([one for one in plain if one.kind == "given back"])
    return came - went - _total([one for one in told if one.kind == "set off"])


def _total(moves: Iterable[Move]) -> Decimal:
    return sum((one.amount for one in moves), NOTHING)
