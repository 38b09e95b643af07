"""A job of several parts, as a document and in words: the six answers of the whole, then each part by itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from steadyrest.cli import words
from steadyrest.cli.plan_answers import measure_answer, plan_answer, route_answer, undone_answer
from steadyrest.shop.money import Money
from steadyrest.units import show_money, show_time
from steadyrest.wording.say import Reader, say

if TYPE_CHECKING:
    from steadyrest.desk.plan.joined_answer import JoinedAnswer, PlannedPart
    from steadyrest.desk.plan.plan_part import PlanAnswer

Document = dict[str, object]


def job_answer(answer: PlanAnswer) -> Document:
    """The answer of `plan` for the whole job, with each part and what they share.

    Args:
        answer: from the desk, of a parts list.
    Returns: the contract's section 0 document, with `parts`, `bought`, `assembly`, `shared`.
    """
    from steadyrest.desk.plan.plan_part import RoutePlanned

    joined, document = answer.joined, plan_answer(answer)
    assert joined is not None
    assert isinstance(document, dict)
    return {
        **document,
        "name": answer.what,
        "parts": [
            {
                "id": one.id,
                "file": one.file,
                "material": one.material.id,
                "quantity": one.quantity,
                "made_here": True,
                "route": route_answer(RoutePlanned(one.route, None, None), answer) if one.route.steps else None,
                "cannot": [undone_answer(no) for no in one.route.cannot],
                "measure": [measure_answer(measure) for measure in one.measures],
            }
            for one in joined.parts
        ],
        "bought": [
            {
                "id": one.id,
                "what": one.what,
                "quantity": one.quantity * joined.sets,
                "made_here": False,
                "price": Money(one.price, answer.shop.currency).shown(),
                "lead_days": one.lead_days,
                "from": one.seller,
            }
            for one in joined.bought
        ],
        "assembly": [
            {"id": one.id, "of": list(one.of), "joint": one.joint, "joints": one.joints, "trial": one.trial,
             "after": list(one.after)}
            for one in joined.fittings
        ],
        "shared": [
            {"machine": one.machine, "parts": list(one.parts), "saved_s": one.saved_s, "why": say(one.why)}
            for one in joined.shared
        ],
        "notes": [say(note) for note in joined.notes],
        "saved_s": joined.saved.value,
    }  # fmt: skip


def job_words(answer: PlanAnswer) -> str:
    """The same for a person at a terminal.

    Args:
        answer: from the desk, of a parts list.
    Returns: lines.
    """
    return "\n".join(_lines(answer))


def _lines(answer: PlanAnswer) -> Iterator[str]:
    joined, shop = answer.joined, answer.shop
    assert joined is not None
    reader = Reader("in" if shop.unit == "in" else "mm", shop.currency)
    questions = (
        ("1. What is it?", _what(answer, joined, reader)),
        ("2. From what, and how?", _how(answer, joined, reader)),
        ("3. By when?", words.promise_lines(answer, reader)),
        ("4. For how much?", _money(answer, reader)),
        ("5. Should I take it?", words.take_lines(answer, reader)),
        ("6. Is it right?", words.measure_lines(answer, reader)),
    )
    for question, lines in questions:
        yield question
        yield from lines
        yield ""
    if answer.example_shop:
        yield "The shop is the invented example; name your own with --shop."


def _what(answer: PlanAnswer, joined: JoinedAnswer, reader: Reader) -> Iterator[str]:
    yield f"  {answer.what}: {say(answer.part.unit.why, reader)}"
    for one in joined.parts:
        yield f"  {one.id}: {one.quantity} of {one.file} in {one.material.name}"
    for one in joined.bought:
        price = show_money(one.price, answer.shop.currency)
        count = one.quantity * joined.sets
        yield f"  {one.id}: {count} of {one.what}, bought from {one.seller}, {price} each, {one.lead_days} working days"


def _how(answer: PlanAnswer, joined: JoinedAnswer, reader: Reader) -> Iterator[str]:
    names = {one.id: one.name for one in (*answer.shop.people, *answer.shop.machines)}
    for one in joined.parts:
        yield from _part(one, names, reader)
    if answer.best is not None:
        yield "  Put together:"
        fittings = {one.id for one in joined.fittings}
        for step in answer.best.route.steps:
            if step.id not in fittings and step.station not in ("deliver", "site"):
                continue
            yield f"    {step.id}: {say(step.holding, reader)}, hands {show_time(step.person_s)}"
            yield from (f"      Caution: {say(caution, reader)}" for caution in step.cautions)
            yield from (f"      {say(note, reader)}" for note in step.notes)
    yield from words.indented((*(one.why for one in joined.shared), *joined.notes), reader)


def _part(one: PlannedPart, names: dict[str, str], reader: Reader) -> Iterator[str]:
    if not one.route.steps:
        yield f"  {one.id}: this floor cannot make it"
    else:
        stock = f"piece {one.route.piece}" if one.route.piece else "stock to be bought"
        yield f"  {one.id}, from {stock}:"
    for count, step in enumerate((step for step in one.route.steps if step.station != "deliver"), 1):
        on = f" on the {names[step.machine]}" if step.machine else ""
        yield f"    {count}. {step.station}{on}: hands {show_time(step.person_s)}"
        yield from dict.fromkeys(f"       Caution: {say(caution, reader)}" for caution in step.cautions)
    yield from words.refused_lines(one.route.cannot, names, len(one.part.features), reader)


def _money(answer: PlanAnswer, reader: Reader) -> Iterator[str]:
    yield from words.price_lines(answer, reader)
    price = answer.best.price if answer.best else None
    for one in price.breaks if price else ():
        each, total = (show_money(money.rounded().amount, money.currency) for money in (one.each, one.total))
        yield f"  {one.quantity} of the job: {each} each, {total} together"
