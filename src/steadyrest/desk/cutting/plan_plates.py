"""The plates of the rack that a job's plan cuts up: out of the book once they were cut, what is left back into it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from steadyrest.desk.cutting.plate_out import PlateOut, cut_up
from steadyrest.desk.pieces import rack
from steadyrest.desk.plan import keeping
from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import SheetCut
from steadyrest.stock.sheet_outlines import bodies
from steadyrest.store import touches
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput

VERB = "plan plates"


@dataclass(frozen=True, slots=True)
class PlannedPlate:
    """A plate that a plan cuts up. seen: its turn now; 0 where only the shop file has it. lies: its place, "" where it
    is gone; then `said` tells what happened to it."""

    cut: SheetCut
    seen: int
    lies: str
    said: str


def planned_plates(store: Store, shop: Shop, number: int) -> tuple[PlannedPlate, ...]:
    """The plates of the rack that a job's plan cuts up.

    Args:
        store: an open data folder. shop: with the pieces of its file. number: of the job.
    Returns: each, with how it stands now; none where the plan takes none.
    Raises: BadInput: there is no such job.
    """
    found = list[PlannedPlate]()
    for cut in _cuts(keeping.kept_job(store, number).answer):
        assert cut.piece is not None
        story = rack.story(store, shop, cut.piece)
        piece = story.shelved.piece
        seen = piece.turn if story.shelved.book else 0
        said = rack.told_words(story.movements[-1][0], None, shop) if piece.state != "here" else ""
        found.append(PlannedPlate(cut, seen, piece.place if piece.state == "here" else "", said))
    return tuple(found)


def _cuts(answer: PlanAnswer) -> Sequence[SheetCut]:
    best = answer.best
    return [one for one in best.route.sheets if one.piece is not None] if best is not None else []


def book(
    store: Store, shop: Shop, number: int, label: str, *, seen: int, who: str, now: datetime, place: str = "",
    touch: str = "",
) -> str:  # fmt: skip
    """Write down that a plate was cut up as a job's plan says.

    Args:
        store: an open data folder. shop: who works there.
        number: of the job. label: of the plate. seen: its turn when it was looked at.
        who: cut it. now: aware moment. place: where what is left lies; "": where the plate was.
        touch: the form's mark, so that it counts once.
    Returns: the label of what is left; "" for nothing.
    Raises: BadInput: the plan cuts no such plate, or it is not as it was seen; nothing is written then.
    """
    answer = keeping.kept_job(store, number).answer
    cut = next((one for one in _cuts(answer) if one.piece == label), None)
    if cut is None:
        raise BadInput(where=f"piece {label[:40]}", what="is not cut up by this job's plan.", do="Look at the job.")
    flat = answer.part.flat or (answer.part.plate_side.flat if answer.part.plate_side else None)
    area = {body.number: body.shape.area for body in bodies(flat)} if flat is not None else {}
    each = tuple(area.get(laid.body, 0.0) for laid in cut.laid)
    out = PlateOut(
        label, seen, cut.outline_mm, cut.holes_mm, cut.rest_mm, (), cut.area_mm2, cut.rest_mm2,
        ((number, sum(each)),), each, f"job {number}",
    )  # fmt: skip
    with store.writing() as session:
        before = touches.answered(session, touch, verb=VERB)
        if before is not None:
            return before
        left = cut_up(session, shop, out, place=place, who=who, now=now)
        touches.keep(session, touch, verb=VERB, answer=left, now=now)
    return left
