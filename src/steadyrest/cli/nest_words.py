"""What a nest answers, as the contract prints it and as words."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json, number, sentences
from steadyrest.desk.cutting.nest_parts import NestAnswer
from steadyrest.stock.cutting.plan import to_the_cent
from steadyrest.stock.nesting.opened import OpenedPlan, OpenedSheet
from steadyrest.stock.nesting.wanted import Left, NestPlan, Placed, Ring
from steadyrest.units import show_length
from steadyrest.wording.say import say


def nest_answer(answer: NestAnswer) -> Json:
    """The contract's section 2 document of `stock nest`; with sheets, each part says on which it lies."""
    plan = answer.plan
    document = _sheets(plan, answer) if isinstance(plan, OpenedPlan) else _one_plate(plan)
    document.update(_beside(answer))
    return document


def _beside(answer: NestAnswer) -> dict[str, Json]:
    told = (f"{place}: this key was not read" for place in answer.unread)
    return {
        "seed": answer.seed,
        "cautions": sentences(answer.cautions),
        "doubts": [*sentences(answer.plan.doubts), *told],
    }


def _one_plate(plan: NestPlan) -> dict[str, Json]:
    left = plan.left
    return {
        "placed": [_placed(one) for one in plan.placed],
        "unplaced": [{"part": one.part.id, "count": one.count} for one in plan.unplaced],
        "closest_mm": number(plan.closest_mm),
        "used": number(plan.used),
        "left_mm2": number(left.area_mm2 if left else None),
        "left": left and _left(left),
    }


def _sheets(plan: OpenedPlan, answer: NestAnswer) -> dict[str, Json]:
    return {
        "placed": [
            {**_placed(each), "sheet": one.of.id, "number": one.number} for one in plan.sheets for each in one.placed
        ],
        "unplaced": [{"part": one.part.id, "count": one.count} for one in plan.unplaced],
        "closest_mm": number(plan.closest_mm),
        "sheets": [
            {
                "sheet": one.of.id,
                "number": one.number,
                "cost": to_the_cent(one.of.cost),
                "used": number(one.used),
                "due": _due(one, answer),
                "left_mm2": number(one.left.area_mm2),
                "left": _left(one.left),
                "left_kept": one.kept,
                "left_worth": to_the_cent(one.worth),
                "heat_number": one.of.heat_number,
            }
            for one in plan.sheets
        ],
        "cost": to_the_cent(plan.cost),
        "bound": to_the_cent(plan.least, down=True),
        "gap": to_the_cent(plan.cost - plan.least),
        "left_worth": to_the_cent(plan.worth),
        "currency": answer.asked.currency,
    }


def _placed(one: Placed) -> dict[str, Json]:
    return {
        "part": one.part.id,
        "x_mm": number(one.x_mm),
        "y_mm": number(one.y_mm),
        "turn_deg": number(one.turn_deg),
        "mirrored": one.mirrored,
    }


def _left(left: Left) -> Json:
    return {
        "axis": left.axis,
        "beyond_mm": number(left.beyond_mm),
        "upward": left.upward,
        "outline_mm": _ring(left.outline_mm),
        "holes_mm": [_ring(ring) for ring in left.holes_mm],
    }


def _ring(ring: Ring) -> Json:
    return [[number(x), number(y)] for x, y in ring]


def _due(one: OpenedSheet, answer: NestAnswer) -> str | None:
    """When the first of what lies on a sheet is due, as written."""
    first = min(one.placed, key=lambda each: each.part.due)
    return answer.asked.due.get(first.part.id)


def nest_lines(answer: NestAnswer) -> Iterator[str]:
    """The same in words: how much is placed, each part's place, what is left."""
    plan = answer.plan
    if isinstance(plan, OpenedPlan):
        yield from _sheet_lines(plan, answer)
    else:
        yield f"{_how_many(len(plan.placed), plan)} placed; {100 * plan.used:.1f} of 100 mm2 of the plate used"
        yield from (_place_line(one) for one in plan.placed)
    yield from (f"  not placed: {one.count} of {one.part.id}" for one in plan.unplaced)
    if plan.closest_mm is not None:
        yield f"  parts stand at least {show_length(plan.closest_mm, 'mm')} apart"
    if isinstance(plan, NestPlan) and plan.left and plan.left.area_mm2 > 0:
        yield f"  left in one piece: {_left_words(plan.left)}"
    yield from (f"  caution: {say(caution)}" for caution in answer.cautions)
    yield from (f"  {say(doubt)}" for doubt in plan.doubts)
    yield from (f"  {place}: this key was not read" for place in answer.unread)


def _how_many(placed: int, plan: NestPlan | OpenedPlan) -> str:
    waiting = sum(one.count for one in plan.unplaced)
    return "every part" if not waiting else f"{placed} parts, {waiting} not,"


def _place_line(one: Placed) -> str:
    side = ", mirrored" if one.mirrored else ""
    return f"  {one.part.id}: x {one.x_mm:.2f} y {one.y_mm:.2f} mm, turned {one.turn_deg:.2f} deg{side}"


def _left_words(left: Left) -> str:
    which = "above" if left.upward else "below"
    return f"{left.area_mm2:.0f} mm2 {which} {left.axis} {show_length(left.beyond_mm, 'mm')}"


def _sheet_lines(plan: OpenedPlan, answer: NestAnswer) -> Iterator[str]:
    many, gap = len(plan.sheets), plan.cost - plan.least
    sure = "no choice that could hold them costs less" if gap <= 0 else f"at most {to_the_cent(gap)} too much"
    total = f"{to_the_cent(plan.cost)} {answer.asked.currency}".rstrip()
    placed = sum(len(one.placed) for one in plan.sheets)
    yield f"{_how_many(placed, plan)} placed on {many} sheet{'s' if many != 1 else ''}; {total}; {sure}"
    for k, one in enumerate(plan.sheets, 1):
        which = f"{one.of.id}, number {one.number}" if one.of.count > 1 else one.of.id
        due = _due(one, answer)
        first = f", the first due {due}" if due else ""
        yield f"{k}. sheet {which}: {len(one.placed)} parts, {100 * one.used:.1f} of 100 mm2 of it used{first}"
        yield from (_place_line(each) for each in one.placed)
        if one.left.area_mm2 > 0:
            heat = f", heat number {one.of.heat_number}" if one.of.heat_number else ""
            worth = f", worth {to_the_cent(one.worth)}" if one.worth else ""
            fate = f"back to the rack{worth}{heat}" if one.kept else "too small to keep"
            yield f"  left in one piece: {_left_words(one.left)}; {fate}"
