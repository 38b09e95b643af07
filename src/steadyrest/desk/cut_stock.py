"""Ask the stock: what a carry blank should be, and which remnants are worth keeping."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from steadyrest.desk.request_file import asked
from steadyrest.shop.figure import Reason, because
from steadyrest.stock.asked.carry import read_carry
from steadyrest.stock.asked.keep import read_keep
from steadyrest.stock.carry import CarryOption, CarryWanted, best_option, carry_options
from steadyrest.stock.keep import KeepWanted, Worth, worths

LIFT_ALONE_KG = 15.0  # above this a caution stands beside it; common practice, no source


@dataclass(frozen=True, slots=True)
class CarryAnswer:
    """Every number of links, and the one chosen; None where none is allowed. unread: keys that said nothing."""

    wanted: CarryWanted
    options: tuple[CarryOption, ...]
    chosen: CarryOption | None
    unread: tuple[str, ...]

    @property
    def cautions(self) -> tuple[Reason, ...]:
        """What to mind with the chosen blank."""
        if self.chosen is None:
            return ()
        heavy = self.chosen.blank_kg > LIFT_ALONE_KG
        lift = (because("carry.caution_lift", mass_kg=self.chosen.blank_kg),) if heavy else ()
        return (*lift, because("carry.caution_grip"))


@dataclass(frozen=True, slots=True)
class KeepAnswer:
    """What each piece is worth. unread: keys that said nothing."""

    wanted: KeepWanted
    worths: tuple[Worth, ...]
    unread: tuple[str, ...]


def carry(file: Path) -> CarryAnswer:
    """What a carry blank should be.

    Args:
        file: the request, TOML.
    Returns: all options, the cheapest allowed.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    wanted, unread = asked(file, read_carry)
    options = carry_options(wanted)
    return CarryAnswer(wanted, options, best_option(options), unread)


def keep(file: Path) -> KeepAnswer:
    """Which remnants are worth keeping.

    Args:
        file: the request, TOML.
    Returns: a value a piece.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    wanted, unread = asked(file, read_keep)
    return KeepAnswer(wanted, worths(wanted), unread)
