"""The parts of a job of several, worded."""

from __future__ import annotations

from steadyrest.desk.plan.joined_answer import JoinedAnswer, PlannedPart
from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.shop.work import Step
from steadyrest.units import show_money, show_time
from steadyrest.web.pages.joined import BoughtRow, MadeRow, Parts, TogetherRow
from steadyrest.web.showing.words import Words

ENDS = ("deliver", "site")


def parts(answer: PlanAnswer, joined: JoinedAnswer, words: Words) -> Parts:
    """The parts of the job.

    Args:
        answer: the plan of the whole.
        joined: its parts.
        words: for its reader.
    Returns: each part with its steps, what is bought in, how they go together.
    """
    fittings = {one.id for one in joined.fittings}
    steps = answer.best.route.steps if answer.best else ()
    return Parts(
        made=tuple(_made(one, words, answer) for one in joined.parts),
        bought=tuple(
            BoughtRow(
                one.id,
                f"{one.quantity * joined.sets} × {one.what}",
                f"{show_money(one.price, answer.shop.currency)} each" if words.money_shown else "",
                f"{one.lead_days} working days from {one.seller}",
            )
            for one in joined.bought
        ),
        together=tuple(_step(step, words) for step in steps if step.id in fittings),
        last=tuple(_step(step, words) for step in steps if step.station in ENDS),
        shared=words.why((*(one.why for one in joined.shared), *joined.notes)),
    )


def in_words(joined: JoinedAnswer) -> str:
    """The job in one line: how many parts, made and bought."""
    bought = f", {len(joined.bought)} bought in" if joined.bought else ""
    many = "" if joined.sets == 1 else f"{joined.sets} of the job: "
    return f"{many}{len(joined.parts)} parts made here{bought}"


def _made(one: PlannedPart, words: Words, answer: PlanAnswer) -> MadeRow:
    route = one.route
    piece = next((piece for piece in answer.shop.pieces if piece.id == route.piece), None)
    stock = f"{piece.id}, {piece.place}" if piece else "; ".join(words.say(buy.what) for buy in route.buy)
    return MadeRow(
        id=one.id,
        what=f"{one.quantity} × {one.file} in {one.material.name}",
        from_what=stock if route.steps else "",
        steps=tuple(
            f"{step.station}{f', {words.name(step.machine)}' if step.machine else ''}: hands {show_time(step.person_s)}"
            for step in route.steps
            if step.station not in ENDS
        ),
        no=words.why(reason for no in route.cannot for reason in no.reasons) if not route.steps else (),
    )


def _step(step: Step, words: Words) -> TogetherRow:
    return TogetherRow(step.id, words.say(step.holding), f"hands {show_time(step.person_s)}", words.why(step.cautions))
