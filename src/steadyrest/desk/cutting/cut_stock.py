"""Ask the stock: how bars are cut, what a carry blank should be, which remnants to keep."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from steadyrest.desk.request_file import asked
from steadyrest.papers.cut_list import CutList, cut_list
from steadyrest.papers.drawing.carry_picture import carry_svg
from steadyrest.papers.drawing.cut_picture import cut_svg, drawn_bars
from steadyrest.shop.figure import Reason, because
from steadyrest.stock.asked.carry import read_carry
from steadyrest.stock.asked.cut import read_cut
from steadyrest.stock.asked.haul import read_haul
from steadyrest.stock.asked.keep import read_keep
from steadyrest.stock.carried_lot import DueLot, MadeFor, Scrapped, scrapped, split
from steadyrest.stock.carry import CarryOption, CarryWanted, best_option, carry_options
from steadyrest.stock.cutting.in_order import Sawing, sawing
from steadyrest.stock.cutting.plan import CutPlan
from steadyrest.stock.cutting.wanted import CutWanted
from steadyrest.stock.keep import KeepWanted, Worth, worths
from steadyrest.stock.scrap import HaulWanted, HeapJudged, hauls
from steadyrest.tables.practice import rule
from steadyrest.trouble import BadInput
from steadyrest.units.lengths import LengthUnit


@dataclass(frozen=True, slots=True)
class CarryAnswer:
    """Every number of links, and the one chosen; None where none is allowed. unread: keys that said nothing."""

    wanted: CarryWanted
    options: tuple[CarryOption, ...]
    chosen: CarryOption | None
    unread: tuple[str, ...]
    lots: tuple[DueLot, ...] = ()

    @property
    def made_for(self) -> tuple[MadeFor, ...]:
        """Which blank gives whose parts; none where the file names no due times, or nothing is allowed."""
        return split(self.chosen.chains, self.lots) if self.chosen is not None else ()

    @property
    def scrapped(self) -> Scrapped:
        """What one scrapped link costs."""
        return scrapped(self.wanted)

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
    """A cutting list and how it is sawn. unread: keys that said nothing."""

    wanted: CutWanted
    sawing: Sawing
    unread: tuple[str, ...]

    @property
    def plan(self) -> CutPlan:
        """Which part comes from which piece."""
        return self.sawing.plan

    @property
    def cautions(self) -> tuple[Reason, ...]:
        """What to mind at the saw; first that a bar is too heavy for one pair of hands."""
        alone_kg = self.wanted.lift_kg or rule("lift_alone_kg")
        heaviest = max((one.moved_kg or 0.0 for bar in self.sawing.bars for one in bar.steps), default=0.0)
        lift = (because("cut.never_by_hand", mass_kg=heaviest, alone_kg=alone_kg),) if heaviest > alone_kg else ()
        at_once = any(bar.together != k for k, bar in enumerate(self.sawing.bars))
        stack = (because("cut.caution_stack"),) if at_once else ()
        return (*lift, *stack, because("cut.caution_saw"), because("cut.caution_bar"))


@dataclass(frozen=True, slots=True)
class HaulAnswer:
    """Each heap of scrap. unread: keys that said nothing."""

    wanted: HaulWanted
    heaps: tuple[HeapJudged, ...]
    unread: tuple[str, ...]

    @property
    def cautions(self) -> tuple[Reason, ...]:
        """What to mind with scrap in a heap."""
        return (because("scrap.caution_heap"),)


def cut(file: Path, *, left_of: Callable[[float], float]) -> CutAnswer:
    """How a list of bars is cut at least cost.

    Args:
        file: the request, TOML. left_of: how many of so many seconds are left; 0 or less: stop with the best so far.
    Returns: the plan, with its bound.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    (wanted, seconds), unread = asked(file, read_cut)
    return CutAnswer(wanted, sawing(wanted, lambda: left_of(seconds)), unread)


def draw_cut(answer: CutAnswer, file: Path, *, unit: LengthUnit) -> None:
    """Write the picture of a cutting list.

    Args:
        answer: the list. file: SVG. unit: the reader's.
    Raises: BadInput: the file cannot be written.
    """
    written(file, cut_svg(drawn_bars(answer.wanted, answer.sawing), unit=unit).encode())


def print_cut(answer: CutAnswer, request: Path, file: Path, *, unit: LengthUnit, made: datetime, timezone: str) -> None:
    """Write the cut list as a paper.

    Args:
        answer: the list. request: its file; its name stands on the paper. file: PDF. unit: the reader's.
        made: aware moment. timezone: the shop's.
    Raises: BadInput: the file cannot be written.
    """
    title = request.stem
    sheet = CutList(title, answer.wanted, answer.sawing, answer.cautions, unit, made, timezone)
    written(file, cut_list(sheet))


def written(file: Path, content: bytes) -> None:
    """A file that was asked for. Raises: BadInput: it cannot be written."""
    try:
        file.write_bytes(content)
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
    (wanted, lots), unread = asked(file, read_carry)
    options = carry_options(wanted)
    return CarryAnswer(wanted, options, best_option(options), unread, lots)


def draw_carry(answer: CarryAnswer, file: Path, *, unit: LengthUnit) -> None:
    """Write the picture of the chosen blank.

    Args:
        answer: the options. file: SVG. unit: the reader's.
    Raises: BadInput: none is allowed, or the file cannot be written.
    """
    if answer.chosen is None:
        raise BadInput(where="--picture", what="no blank is allowed: there is nothing to draw.", do="Leave it out.")
    written(file, carry_svg(answer.wanted, answer.chosen, unit=unit).encode())


def keep(file: Path) -> KeepAnswer:
    """Which remnants are worth keeping.

    Args:
        file: the request, TOML.
    Returns: a value a piece.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    wanted, unread = asked(file, read_keep)
    return KeepAnswer(wanted, worths(wanted), unread)


def haul(file: Path) -> HaulAnswer:
    """When scrap should be fetched, and which of it is worth keeping apart.

    Args:
        file: the request, TOML.
    Returns: a judgement a heap.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    wanted, unread = asked(file, read_haul)
    return HaulAnswer(wanted, hauls(wanted), unread)
