"""May the customer owe so much: what is owed and taken already, with the new job, against the credit that was set."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from steadyrest.decide.take import Take
from steadyrest.shop.figure import Reason, because

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Credit:
    """A customer's money as the decision takes it, in the shop's currency.

    owed: open on invoices, less what is held for the customer. late: of it, past its due day; late_days: by how many at
    most. taken: agreed for jobs taken and not invoiced, less their deposits. limit: None: none was set. deposit: the
    share to be paid first.
    """

    customer: str
    owed: Decimal
    late: Decimal
    late_days: int
    taken: Decimal
    limit: Decimal | None
    deposit: Decimal


def with_credit(take: Take, credit: Credit, offer: Decimal) -> Take:
    """The answer with what the customer's credit has to say.

    Over the limit a yes becomes a yes if: the sum over it is paid first. An agreed deposit is a condition too, where it
    is the larger sum. A no stays a no, and says it beside.

    Args:
        take: as decided without it.
        credit: the customer's.
        offer: what the job would be asked for.
    Returns: the answer.
    """
    would = credit.owed + credit.taken + offer
    over = would - credit.limit if credit.limit is not None else Decimal(0)
    deposit = (offer * credit.deposit).quantize(CENT)
    ifs: tuple[Reason, ...] = ()
    why: tuple[Reason, ...] = ()
    if credit.limit is not None and over > 0:
        why = (_why(credit, offer, would, credit.limit),)
        ifs = (because("credit.pays_first", customer=credit.customer, over_money=float(over)),)
    elif credit.late > 0:
        why = (because("credit.late", customer=credit.customer, late_money=float(credit.late),
                       days=f"{credit.late_days}"),)  # fmt: skip
    if deposit > max(over, Decimal(0)):
        share = f"{float(100 * credit.deposit):g}"
        ifs = (because("credit.deposit", customer=credit.customer, deposit_money=float(deposit), share=share),)
    if not ifs:
        return replace(take, why=(*take.why, *why))
    if take.answer == "no":
        return replace(take, why=(*take.why, *why), ifs=(*take.ifs, *ifs))
    nearest = take.nearest_yes or ifs[0]
    return replace(take, answer="yes if", why=(*why, *take.why), ifs=(*take.ifs, *ifs), nearest_yes=nearest)


def _why(credit: Credit, offer: Decimal, would: Decimal, limit: Decimal) -> Reason:
    return because(
        "credit.over", customer=credit.customer, owed_money=float(credit.owed), late_money=float(credit.late),
        taken_money=float(credit.taken), offer_money=float(offer), would_money=float(would), limit_money=float(limit),
    )  # fmt: skip
