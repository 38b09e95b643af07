"""What a nest answers, as the contract prints it and as words."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json, number, sentences
from steadyrest.desk.cut_stock import NestAnswer
from steadyrest.units import show_length
from steadyrest.wording.say import say


def nest_answer(answer: NestAnswer) -> Json:
    """The contract's section 2 document of `stock nest`."""
    plan = answer.plan
    left = plan.left
    return {
        "placed": [
            {
                "part": one.part.id,
                "x_mm": number(one.x_mm),
                "y_mm": number(one.y_mm),
                "turn_deg": number(one.turn_deg),
                "mirrored": one.mirrored,
            }
            for one in plan.placed
        ],
        "unplaced": [{"part": one.part.id, "count": one.count} for one in plan.unplaced],
        "closest_mm": number(plan.closest_mm),
        "used": number(plan.used),
        "left_mm2": number(left.area_mm2 if left else None),
        "left": left and {"axis": left.axis, "beyond_mm": number(left.beyond_mm), "upward": left.upward},
        "seed": answer.seed,
        "cautions": sentences(answer.cautions),
        "doubts": [*sentences(plan.doubts), *(f"{place}: this key was not read" for place in answer.unread)],
    }


def nest_lines(answer: NestAnswer) -> Iterator[str]:
    """The same in words: how much is placed, each part's place, what is left of the plate."""
    plan = answer.plan
    waiting = sum(one.count for one in plan.unplaced)
    all_of_them = "every part" if not waiting else f"{len(plan.placed)} parts, {waiting} not,"
    yield f"{all_of_them} placed; {100 * plan.used:.1f} of 100 mm2 of the plate used"
    for one in plan.placed:
        side = ", mirrored" if one.mirrored else ""
        yield f"  {one.part.id}: x {one.x_mm:.2f} y {one.y_mm:.2f} mm, turned {one.turn_deg:.2f} deg{side}"
    yield from (f"  not placed: {one.count} of {one.part.id}" for one in plan.unplaced)
    if plan.closest_mm is not None:
        yield f"  parts stand at least {show_length(plan.closest_mm, 'mm')} apart"
    if plan.left and plan.left.area_mm2 > 0:
        which = "above" if plan.left.upward else "below"
        yield (
            f"  left in one piece: {plan.left.area_mm2:.0f} mm2 {which} "
            f"{plan.left.axis} {show_length(plan.left.beyond_mm, 'mm')}"
        )
    yield from (f"  caution: {say(caution)}" for caution in answer.cautions)
    yield from (f"  {say(doubt)}" for doubt in plan.doubts)
    yield from (f"  {place}: this key was not read" for place in answer.unread)
