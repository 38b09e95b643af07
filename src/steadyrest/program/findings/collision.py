"""What a tool or its holder runs into beside the work: table, vise, clamps, chuck, as the shop file places them."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from steadyrest.program.findings.finding import Case, Finding
from steadyrest.program.removal.beside import Struck, Thing, struck
from steadyrest.program.removal.blank import BoxBlank, RoundBlank
from steadyrest.program.removal.tool_shape import ToolShape
from steadyrest.shop import leaving
from steadyrest.shop.figure import because


def collisions(
    case: Case, tools: Mapping[int, ToolShape], stop: Callable[[], bool] = lambda: False
) -> tuple[Finding, ...]:
    """Everything that stands in the way of a tool.

    Args:
        case: what is judged.
        tools: shapes by number.
        stop: asked now and then.
    Returns: one finding for each tool, or its holder, and each thing; at the line that strikes it first.
    Raises: InterruptedError: stop said so.
    """
    machine = case.machine
    things = [Thing(one.name, _shape(one.shape), machine=True) for one in machine.fixed]
    things += [Thing(one.name, _shape(one.shape)) for one in (case.said.fixed if case.said else ())]
    worst: dict[tuple[int, int, bool], Struck] = {}
    first: dict[tuple[int, int, bool], int] = {}
    moves = case.run.moves
    for one in struck(moves, things, tools, machine=machine.kind, stop=stop):
        key = (int(moves.tool[one.move]), one.thing, one.holder)
        first.setdefault(key, int(moves.line[one.move]))
        if key not in worst or one.depth_mm > worst[key].depth_mm:
            worst[key] = one
    return tuple(
        Finding(
            "collision",
            first[key],
            because(
                "collision.holder" if one.holder else "collision.tool",
                tool=f"T{key[0]}", thing=things[one.thing].name, depth_mm=one.depth_mm,
            ),
            because("collision.do", thing=things[one.thing].name),
        )
        for key, one in worst.items()
    )  # fmt: skip


def _shape(shape: leaving.Blank) -> BoxBlank | RoundBlank:
    if isinstance(shape, leaving.BoxBlank):
        return BoxBlank(shape.min_mm, shape.max_mm)
    return RoundBlank(shape.diameter_mm, shape.z_mm, shape.inside_mm)
