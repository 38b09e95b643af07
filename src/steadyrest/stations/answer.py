"""What a station is asked, and what it answers.

A station changes a state: asked whether it can make these features from this state on this machine, it answers with
steps, the state after them, and a refusal with reasons for every feature it did not make. No feature is lost: each one
asked for is in a step's `makes` or in a refusal's `features`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from steadyrest.shop.figure import Reason
from steadyrest.shop.finish import Finish
from steadyrest.shop.floor import Machine, Material, Shop
from steadyrest.shop.part import Feature, Part
from steadyrest.shop.work import Blank, SheetCut, Step, Undone


@dataclass(frozen=True, slots=True)
class State:
    """What lies in front of the station.

    blank: the blank as it is cut or to be cut. condition: of its surface, as in Piece.
    bar_mm: length of a bar that blanks come from; bar_kg its mass; per_bar: blanks out of each (0: all of the lot).
    done: ids of the features already made.
    sawn: the blank is cut off. turned: sides already turned.
    fed: the bar goes through the lathe's spindle whole, and each part is parted off it.
    planned: the steps before, for stations whose work depends on them: programs to write, boxes to pack.
    sheets: of a part cut from plate, what lies on which sheet.
    """

    blank: Blank
    condition: str
    bar_mm: float
    bar_kg: float
    per_bar: int = 0
    sawn: bool = False
    turned: int = 0
    done: frozenset[str] = frozenset()
    planned: tuple[Step, ...] = ()
    sheets: tuple[SheetCut, ...] = ()
    fed: bool = False


@dataclass(frozen=True, slots=True)
class Ask:
    """From this state, can you make these features, so many times, on this machine (None: no machine is needed)?

    finish: the treatment that is asked of a station outside. turn_only: a lathe leaves its driven tools alone.
    """

    part: Part
    features: tuple[str, ...]
    state: State
    material: Material
    quantity: int
    shop: Shop
    machine: Machine | None
    finish: Finish | None = None
    turn_only: bool = False

    def asked(self) -> tuple[Feature, ...]:
        """The features asked for, in the part's order."""
        wanted = set(self.features)
        return tuple(feature for feature in self.part.features if feature.id in wanted)


@dataclass(frozen=True, slots=True)
class Answer:
    """Steps, the state after them, and what was refused."""

    steps: tuple[Step, ...]
    state: State
    undone: tuple[Undone, ...]

    @property
    def made(self) -> tuple[str, ...]:
        return tuple(name for step in self.steps for name in step.makes)


Station = Callable[[Ask], Answer]


def refusal(
    ask: Ask, station: str, features: Iterable[str], reasons: Iterable[Reason], nearest: Reason | None = None
) -> Undone:
    """A refusal of these features by this ask's machine.

    Args:
        ask: what was asked.
        station: the way of working that refuses.
        features: ids of what is refused.
        reasons: every limit that says so, the widest miss first.
        nearest: the cheapest change that would make it a yes.
    Returns: the refusal.
    """
    return Undone(station, ask.machine.id if ask.machine else None, tuple(features), tuple(reasons), nearest)


def none_made(ask: Ask, station: str, reasons: Iterable[Reason], nearest: Reason | None = None) -> Answer:
    """The answer that makes nothing: the state as it was, every feature refused for these reasons."""
    return Answer((), ask.state, (refusal(ask, station, ask.features, reasons, nearest),))
