"""Worth reading: what a reading by hand, or a question, spares on this plan, in money and hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from steadyrest.decide.reading_worth import Again, Worth, worth_of_readings
from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.shared import as_scanned
from steadyrest.price.answer import Price
from steadyrest.promise.answer import Promise
from steadyrest.shop.figure import because
from steadyrest.shop.part import NextReading, Part


def worth_reading(part: Part, price: Price | None, promise: Promise | None, *, now: datetime) -> tuple[Worth, ...]:
    """Readings and questions by what they spare on the chosen route.

    Args:
        part: named.
        price: of that route, or None.
        promise: of that route, or None.
        now: aware.
    Returns: the most worth first; none without a price or a finish, and none for a model, whose sizes are its own.
    """
    if price is None or promise is None or promise.finish_p50 is None or part.kind != "scan":
        return ()
    again = Again(price.cost_p50.value, (promise.finish_p50 - now).total_seconds())
    return worth_of_readings(part, judge(as_scanned(part)), again)


def with_worth(part: Part, worth: Sequence[Worth]) -> Part:
    """The part with the next reading that spares most on the plan.

    Args:
        part: named, its next reading chosen by what it tells of the sizes.
        worth: as `worth_reading` gave them.
    Returns: the part; as it is where no reading spares anything.
    """
    best = next((one for one in worth if one.gauge), None)
    if best is None:
        return part
    had = part.next_reading
    place = tuple(r for r in had.why if r.key != "worth.spares") if had and had.feature == best.feature else ()
    question = () if worth[0].gauge else (
        because(
            "worth.ask_first", feature=worth[0].feature, spared_money=worth[0].money.value,
            spared_s=worth[0].time.value,
        ),
    )  # fmt: skip
    return replace(
        part, next_reading=NextReading(best.feature, best.gauge, (*best.why, *question, *place), size=best.size)
    )
