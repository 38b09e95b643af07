"""Ask the stock: how bars are cut, where parts go on a plate, what a carry blank should be, which remnants to keep."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from steadyrest.desk.nest_at_once import SIDE_BY_SIDE, at_once
from steadyrest.desk.request_file import asked
from steadyrest.papers.drawing.nest_picture import nest_svg
from steadyrest.shop.figure import Reason, because
from steadyrest.stock.asked.carry import read_carry
from steadyrest.stock.asked.cut import read_cut
from steadyrest.stock.asked.keep import read_keep
from steadyrest.stock.asked.nest import read_nest
from steadyrest.stock.carry import CarryOption, CarryWanted, best_option, carry_options
from steadyrest.stock.cutting.plan import CutPlan
from steadyrest.stock.cutting.plan import cut as cut_plan
from steadyrest.stock.cutting.wanted import CutWanted
from steadyrest.stock.keep import KeepWanted, Worth, worths
from steadyrest.stock.nesting.plan import make_ready
from steadyrest.stock.nesting.plan import nest as nest_plan
from steadyrest.stock.nesting.wanted import NestPlan, NestWanted
from steadyrest.tables.practice import rule
from steadyrest.trouble import BadInput

SHARE_OF_TIME = 0.9  # the rest is for judging and writing
LONG_S = 60.0


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
        heavy = self.chosen.blank_kg > rule("lift_alone_kg")
        lift = (because("carry.caution_lift", mass_kg=self.chosen.blank_kg),) if heavy else ()
        return (*lift, because("carry.caution_grip"))


@dataclass(frozen=True, slots=True)
class KeepAnswer:
    """What each piece is worth. unread: keys that said nothing."""

    wanted: KeepWanted
    worths: tuple[Worth, ...]
    unread: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CutAnswer:
    """A cutting list and how it is cut. unread: keys that said nothing."""

    wanted: CutWanted
    plan: CutPlan
    unread: tuple[str, ...]

    @property
    def cautions(self) -> tuple[Reason, ...]:
        """What to mind at the saw."""
        return (because("cut.caution_saw"), because("cut.caution_bar"))


@dataclass(frozen=True, slots=True)
class NestAnswer:
    """Where parts go on a plate. seed: of the luck. unread: keys that said nothing."""

    wanted: NestWanted
    plan: NestPlan
    seed: int
    unread: tuple[str, ...]

    @property
    def cautions(self) -> tuple[Reason, ...]:
        """What to mind when it is cut and lifted off."""
        return (because("nest.caution_cut"),)


def cut(file: Path, *, left_of: Callable[[float], float]) -> CutAnswer:
    """How a list of bars is cut at least cost.

    Args:
        file: the request, TOML. left_of: how many of so many seconds are left; 0 or less: stop with the best so far.
    Returns: the plan, with its bound.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    (wanted, seconds), unread = asked(file, read_cut)
    return CutAnswer(wanted, cut_plan(wanted, lambda: left_of(seconds)), unread)


def nest(file: Path, *, seed: int, left_of: Callable[[float], float], told: Callable[[str, float], None]) -> NestAnswer:
    """Where parts go on a plate.

    Args:
        file: the request, TOML. seed: of the luck. left_of: how many of so many seconds are left, first asked
            when everything is ready; 0 or less: stop with the best so far. told: what is being done, how much lacks.
    Returns: the nest.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    (wanted, seconds), unread = asked(file, read_nest)
    if seconds > LONG_S:
        # A first look: a long limit has room for the compiling, a short one would be eaten up by it.
        left_of(seconds)
    make_ready()
    plan = nest_plan(
        wanted,
        lambda: left_of(SHARE_OF_TIME * seconds),
        seed=seed,
        told=told,
        searches=SIDE_BY_SIDE,
        at_once=at_once,
    )
    return NestAnswer(wanted, plan, seed, unread)


def draw_nest(answer: NestAnswer, file: Path, *, unit: str) -> None:
    """Write the picture of a nest.

    Args:
        answer: the nest. file: SVG. unit: "mm" or "in", the reader's.
    Raises: BadInput: the file cannot be written.
    """
    try:
        file.write_text(nest_svg(answer.wanted, answer.plan, unit=unit), encoding="utf-8")
    except OSError as fault:
        why = fault.strerror or "no reason given"
        raise BadInput(where=str(file), what=f"cannot be written ({why}).", do="Name another place.") from None


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
