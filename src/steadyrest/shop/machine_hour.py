"""What an hour of a machine costs, from the shop's own figures: what it loses, the money in it, room, upkeep, power."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

J_PER_KWH = 3.6e6
HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class MachineHour:
    """bought: what it cost, or would cost again; rest: what it is worth at the end of life_years.

    interest: a year, as a share, on half of what is in it. upkeep, room: money a year. hours: it runs a year.
    power_w: drawn on average while it runs; per_kwh: what power costs.
    """

    bought: Decimal
    rest: Decimal
    life_years: float
    interest: float
    upkeep: Decimal
    room: Decimal
    hours: float
    power_w: float
    per_kwh: Decimal

    def __post_init__(self) -> None:
        if self.life_years <= 0 or self.hours <= 0 or self.rest > self.bought:
            raise ValueError(f"MachineHour: life {self.life_years!r}, hours {self.hours!r} or rest {self.rest!r}")

    @property
    def wear(self) -> float:
        """What it loses of its worth in an hour."""
        return float(self.bought - self.rest) / self.life_years / self.hours

    @property
    def money_in_it(self) -> float:
        """Interest in an hour, on the mean of what it cost and what is left."""
        return float(self.bought + self.rest) / 2 * self.interest / self.hours

    @property
    def kept(self) -> float:
        """Upkeep and room in an hour."""
        return float(self.upkeep + self.room) / self.hours

    @property
    def power(self) -> float:
        """Power in an hour."""
        return self.power_w * HOUR_S / J_PER_KWH * float(self.per_kwh)

    @property
    def per_hour(self) -> Decimal:
        """All of it, to the cent."""
        total = self.wear + self.money_in_it + self.kept + self.power
        return Decimal(repr(total)).quantize(Decimal("0.01"))
