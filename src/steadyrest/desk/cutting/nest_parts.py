"""Ask the stock: where parts go on a plate, or on which sheets."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from steadyrest.desk.cutting.nest_at_once import SIDE_BY_SIDE, at_once
from steadyrest.desk.request_file import asked
from steadyrest.papers.drawing.nest_picture import nest_svg, opened_svg
from steadyrest.shop.figure import Reason, because
from steadyrest.stock.asked.nest import NestAsked, read_nest
from steadyrest.stock.nesting.opened import OpenedPlan, on_opened
from steadyrest.stock.nesting.plan import make_ready
from steadyrest.stock.nesting.plan import nest as nest_plan
from steadyrest.stock.nesting.wanted import NestPlan
from steadyrest.trouble import BadInput

SHARE_OF_TIME = 0.9  # the rest is for judging and writing
LONG_S = 60.0


@dataclass(frozen=True, slots=True)
class NestAnswer:
    """Where parts go on a plate, or on the sheets that are opened. seed: of the luck. unread: keys that said
    nothing."""

    asked: NestAsked
    plan: NestPlan | OpenedPlan
    seed: int
    unread: tuple[str, ...]

    @property
    def cautions(self) -> tuple[Reason, ...]:
        """What to mind when it is cut and lifted off."""
        return (because("nest.caution_cut"),)


def nest(file: Path, *, seed: int, left_of: Callable[[float], float], told: Callable[[str, float], None]) -> NestAnswer:
    """Where parts go on a plate, or on which sheets.

    Args:
        file: the request, TOML. seed: of the luck. left_of: how many of so many seconds are left, first asked
            when everything is ready; 0 or less: stop with the best so far. told: what is being done, how much lacks.
    Returns: the nest.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    wanted, unread = asked(file, read_nest)
    seconds = wanted.seconds
    if seconds > LONG_S:
        # A first look: a long limit has room for the compiling, a short one would be eaten up by it.
        left_of(seconds)
    make_ready()

    def left_s() -> float:
        return left_of(SHARE_OF_TIME * seconds)

    plan: NestPlan | OpenedPlan
    if wanted.sheets:
        plan = on_opened(
            wanted.wanted, wanted.sheets, wanted.rest, left_s, seed=seed, told=told, searches=SIDE_BY_SIDE,
            at_once=at_once,
        )  # fmt: skip
    else:
        plan = nest_plan(wanted.wanted, left_s, seed=seed, told=told, searches=SIDE_BY_SIDE, at_once=at_once)
    return NestAnswer(wanted, plan, seed, unread)


def draw_nest(answer: NestAnswer, file: Path, *, unit: str) -> None:
    """Write the picture of a nest.

    Args:
        answer: the nest. file: SVG. unit: "mm" or "in", the reader's.
    Raises: BadInput: the file cannot be written.
    """
    plan, wanted = answer.plan, answer.asked.wanted
    if isinstance(plan, OpenedPlan):
        drawn = opened_svg(wanted, plan, unit=unit)
    else:
        drawn = nest_svg(wanted, plan, unit=unit)
    try:
        file.write_text(drawn, encoding="utf-8")
    except OSError as fault:
        why = fault.strerror or "no reason given"
        raise BadInput(where=str(file), what=f"cannot be written ({why}).", do="Name another place.") from None
