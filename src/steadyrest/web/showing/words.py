"""Wording for one reader: units, currency, time zone, and the names of people and machines."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.money import Money
from steadyrest.shop.part import Feature, Size
from steadyrest.shop.work import Undone
from steadyrest.units import LengthUnit, show_length, show_limits, show_money
from steadyrest.web.at_screen import money_shown
from steadyrest.web.pages.job import RefusedRow
from steadyrest.web.pages.top import Worded
from steadyrest.wording.moments import moment
from steadyrest.wording.say import SIZE_WORDS, Reader, say
from steadyrest.wording.say import figure as figure_in_words

# In the place of a sentence with an amount of money, where a hand reads.
HIDDEN = "what it costs, the owner sees"
OLD = "kept by an older version that said this differently; plan it anew to read it"


class Words:
    """Says things for the reader of one plan.

    answer: the plan that is shown.
    """

    def __init__(self, answer: PlanAnswer) -> None:
        shop = answer.shop
        self.unit: LengthUnit = "in" if shop.unit == "in" else "mm"
        self.reader = Reader(self.unit, shop.currency)
        self.zone = shop.timezone
        self.money_shown = money_shown()
        self.names = {one.id: one.name for one in (*shop.people, *shop.machines, *shop.gauges)}

    def say(self, reason: Reason) -> str:
        """The reason's sentence. A plan kept by an older version may carry one that is worded no more: said so."""
        try:
            said = say(reason, self.reader)
        except KeyError:
            return f"{OLD} ({reason.key})"
        # Every amount is said with its currency, so that a sentence without it has none.
        return said if self.money_shown or self.reader.currency not in said else HIDDEN

    def why(self, reasons: Iterable[Reason]) -> tuple[str, ...]:
        """Each reason once, in order; those with an amount of money for an owner alone."""
        return tuple(said for said in dict.fromkeys(self.say(reason) for reason in reasons) if said != HIDDEN)

    def figure(self, shown: Figure) -> Worded:
        return Worded(figure_in_words(shown, self.reader), self.why(shown.why))

    def money(self, amount: Money) -> str:
        return show_money(amount.rounded().amount, amount.currency) if self.money_shown else HIDDEN

    def name(self, one: str | None) -> str:
        return self.names.get(one or "", one or "")

    def length(self, mm: float) -> str:
        return show_length(mm, self.unit)

    def limits(self, low_mm: float, high_mm: float) -> str:
        return show_limits(low_mm, high_mm, self.unit)

    def moment(self, at: datetime | None) -> str:
        return moment(at, self.zone) if at is not None else "not within the calendar"

    def refused(self, one: Undone) -> RefusedRow:
        """Who cannot do what, and what would make it a yes."""
        return RefusedRow(
            who=self.name(one.machine) or one.station,
            reasons=self.why(one.reasons),
            nearest=self.say(one.nearest) if one.nearest else "",
        )


def numeral(feature: str) -> str:
    """A feature's number in the picture: "F3" is 3."""
    return feature.lstrip("F") or feature


def size_word(name: str) -> str:
    """A size's key as a person calls it."""
    return SIZE_WORDS.get(name, name)


def of_what(feature: Feature, size: Size) -> str:
    """Which size of which feature: "no. 3, the shaft's diameter"."""
    return f"no. {numeral(feature.id)}, the {feature.kind}'s {size_word(size.name)}"
