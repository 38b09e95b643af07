"""Money: a decimal amount in one currency, rounded once, split to the cent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal


@dataclass(frozen=True, slots=True)
class Money:
    amount: Decimal
    currency: str

    def __add__(self, other: Money) -> Money:
        self._same(other)
        return Money(self.amount + other.amount, self.currency)

    def __sub__(self, other: Money) -> Money:
        self._same(other)
        return Money(self.amount - other.amount, self.currency)

    def times(self, factor: float | int | Decimal) -> Money:
        return Money(self.amount * (factor if isinstance(factor, Decimal) else Decimal(repr(factor))), self.currency)

    def rounded(self) -> Money:
        """To the cent, half up."""
        return Money(self.amount.quantize(Decimal("0.01"), ROUND_HALF_UP), self.currency)

    def shown(self) -> str:
        """As the contract prints it: a decimal string with two places."""
        return str(self.rounded().amount)

    def split(self, shares: Sequence[float]) -> tuple[Money, ...]:
        """This amount in parts by share, each to the cent, adding up to the whole to the cent.

        Args:
            shares: not negative, not all zero.
        Returns: one Money for each share; the cents left over go to the largest remainders, earlier ones first.
        Raises: ValueError: shares negative or all zero.
        """
        total = sum(Decimal(repr(share)) for share in shares)
        if total <= 0 or any(share < 0 for share in shares):
            raise ValueError(f"split: shares {list(shares)!r} must not be negative and not all zero")
        cents = int(self.rounded().amount * 100)
        exact = [Decimal(cents) * Decimal(repr(share)) / total for share in shares]
        whole = [int(part.to_integral_value(ROUND_FLOOR)) for part in exact]
        left = cents - sum(whole)
        order = sorted(range(len(whole)), key=lambda i: (-(exact[i] - whole[i]), i))
        for i in order[:left]:
            whole[i] += 1
        return tuple(Money(Decimal(part) / 100, self.currency) for part in whole)

    def _same(self, other: Money) -> None:
        if self.currency != other.currency:
            raise ValueError(f"Money: {self.currency} and {other.currency} do not add up")
