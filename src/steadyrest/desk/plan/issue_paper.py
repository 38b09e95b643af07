"""Issue a paper from a kept job: job sheet, measuring sheet, quote as PDF; and the pictures page and paper share."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.papers.differences import stopped
from steadyrest.papers.drawing.night_sheet import night_sheet_svg
from steadyrest.papers.drawing.part_picture import part_svg
from steadyrest.papers.drawing.pegs import pegs_svg
from steadyrest.papers.drawing.sheet_picture import sheets_svg
from steadyrest.papers.job_sheet import JobSheet, PartLine, job_sheet
from steadyrest.papers.measuring_sheet import MeasuringRow, MeasuringSheet, measuring_sheet
from steadyrest.papers.quote import QuoteBreak, QuoteSheet, quote
from steadyrest.shop.figure import Reason
from steadyrest.shop.money import Money
from steadyrest.trouble import BadInput
from steadyrest.wording.say import SIZE_WORDS, Reader, say

TAX = "Prices without tax."
NIGHT_MM = (180.0, 230.0)


def part_picture(answer: PlanAnswer, *, width_mm: float = 180.0, dark: bool = False) -> str:
    """The part with its wear, features and nominals, as SVG text."""
    return part_svg(answer.part, unit=answer.shop.unit, width_mm=width_mm, dark=dark)


def sheets_picture(answer: PlanAnswer, *, width_mm: float = 180.0, dark: bool = False) -> str:
    """The sheets that the chosen way cuts up, as SVG text; empty where it cuts none."""
    best = answer.best
    if best is None:
        return ""
    return sheets_svg(answer.part, best.route.sheets, unit=answer.shop.unit, width_mm=width_mm, dark=dark)


def pegs_picture(answer: PlanAnswer) -> str:
    """The promise as ten pegs, as SVG text; empty if nothing is promised."""
    best = answer.best
    return pegs_svg(best.promise.odds.value) if best and best.promise else ""


def night_picture(
    answer: PlanAnswer, *, width_mm: float = 95.0, height_mm: float | None = None, dark: bool = False
) -> str:
    """The night sheet, as SVG text; empty if nothing is planned.

    Args:
        answer: the plan.
        width_mm: of the drawing; 95 is a phone's width.
        height_mm: the most it may take; None: as long as it needs.
        dark: for a dark page.
    Returns: SVG text.
    """
    best = answer.best
    if best is None or best.promise is None:
        return ""
    shop = answer.shop
    return night_sheet_svg(
        best.promise.plan,
        shop.people,
        shop.machines,
        now=answer.now,
        due=answer.due,
        timezone=shop.timezone,
        width_mm=width_mm,
        height_mm=height_mm,
        dark=dark,
    )


def job_paper(kept: KeptJob, *, made: datetime, link: str = "") -> bytes:
    """The job sheet as PDF.

    Args:
        kept: the job with its plan.
        made: when it is printed.
        link: where the code on it leads; empty for none.
    Returns: the PDF.
    Raises: BadInput: nothing can be made, so there is no job sheet.
    """
    answer = kept.answer
    best = answer.best
    if best is None:
        raise no_paper(kept, "job sheet")
    sheet = JobSheet(
        shop=answer.shop,
        number=kept.job.number,
        what=kept.job.what,
        customer=kept.job.customer,
        due=answer.due,
        made=made,
        quantity=answer.quantity,
        material=answer.material.name,
        part=answer.part,
        route=best.route,
        promise=best.promise,
        part_svg=part_picture(answer) if answer.joined is None else "",
        pegs_svg=pegs_picture(answer),
        parts=part_lines(answer),
        cautions=answer.take.ifs,
        night_svg=night_picture(answer, width_mm=NIGHT_MM[0], height_mm=NIGHT_MM[1]),
        sheets_svg=sheets_picture(answer),
        link=link,
        stopped=stopped(kept.stop, answer.shop.timezone) if kept.stop is not None else "",
    )
    return job_sheet(sheet)


def part_lines(answer: PlanAnswer) -> tuple[PartLine, ...]:
    """The parts of a job of several, as they stand on its papers; none for one part."""
    joined = answer.joined
    if joined is None:
        return ()
    reader, found = Reader("in" if answer.shop.unit == "in" else "mm", answer.shop.currency), list[PartLine]()
    for one in joined.parts:
        piece = next((piece for piece in answer.shop.pieces if piece.id == one.route.piece), None)
        buys = "; ".join(say(buy.what, reader) for buy in one.route.buy)
        stock = f"{piece.id}, {piece.place}, heat {piece.heat_number or 'not known'}" if piece else f"buy {buys}"
        found.append(PartLine(one.id, f"{one.quantity} × {one.file}, {one.material.name}", stock))
    for one in joined.bought:
        comes = f"bought from {one.seller}, {one.lead_days} working days"
        found.append(PartLine(one.id, f"{one.quantity * joined.sets} × {one.what}", comes))
    return tuple(found)


def measuring_paper(kept: KeptJob, *, made: datetime, link: str = "") -> bytes:
    """The measuring sheet as PDF.

    Args:
        kept: the job with its plan.
        made: when it is printed.
        link: where the code on it leads; empty for none.
    Returns: the PDF.
    Raises: BadInput: there is nothing to measure.
    """
    answer = kept.answer
    rows = tuple(
        MeasuringRow(
            feature=measure.feature,
            what=SIZE_WORDS.get(measure.size, measure.size),
            nominal=measure.shown,
            low_mm=measure.low_mm,
            high_mm=measure.high_mm,
            accept_low_mm=measure.accept_mm[0] if measure.accept_mm else None,
            accept_high_mm=measure.accept_mm[1] if measure.accept_mm else None,
            gauge=measure.gauge_name or "no gauge on the list",
            u_mm=measure.u_mm,
            note=next((one for one in measure.notes if one.key == "measure.overdue"), None)
            or (measure.notes[0] if measure.notes else None),
        )
        for measure in answer.measures
    )
    if not rows:
        raise no_paper(kept, "measuring sheet")
    sheet = MeasuringSheet(
        shop=answer.shop,
        number=kept.job.number,
        what=kept.job.what,
        made=made,
        quantity=answer.quantity,
        rows=rows,
        part_svg=part_picture(answer) if answer.joined is None else "",
        link=link,
    )
    return measuring_sheet(sheet)


def hourly_quote(kept: KeptJob, *, made: datetime, link: str = "") -> bytes:
    """The quote by the hour as PDF: the rates, and the amount that it will not exceed.

    Args:
        kept, made, link: as in quote_paper.
    Returns: the PDF.
    Raises: BadInput: nothing can be made, or the plan is from before there was such an amount.
    """
    best = kept.answer.best
    if best is not None and best.price is not None and best.price.by_the_hour is None:
        what = "its plan says no amount that work by the hour will not exceed."
        raise BadInput(where=f"job {kept.job.number}", what=what, do="Plan it anew.")
    return quote_paper(replace(kept, job=replace(kept.job, charging="hours")), made=made, link=link)


def quote_paper(kept: KeptJob, *, made: datetime, link: str = "") -> bytes:
    """The quote as PDF, for the customer: nothing on it that is the shop's own business.

    Args:
        kept: the job with its plan.
        made: when it is printed; it stands for as many days as the shop's terms say.
        link: not used on a quote, which leaves the house.
    Returns: the PDF.
    Raises: BadInput: nothing can be made, so nothing is offered.
    """
    del link
    answer = kept.answer
    best = answer.best
    if best is None or best.price is None or best.promise is None:
        raise no_paper(kept, "quote")
    price, hourly = best.price, best.price.by_the_hour if kept.job.charging == "hours" else None
    rests_on: tuple[Reason, ...] = answer.take.ifs
    working = {who for step in best.route.steps for phase in step.phases for who in phase.who}
    sheet = QuoteSheet(
        shop=answer.shop,
        number=kept.job.number,
        what=kept.job.what,
        customer=kept.job.customer,
        made=made,
        valid_until=made + timedelta(days=answer.shop.terms.validity_days),
        quantity=answer.quantity,
        material=answer.material.name,
        offer=price.offer if hourly is None else hourly.not_to_exceed,
        tax=TAX,
        breaks=tuple(QuoteBreak(one.quantity, one.each, one.total) for one in price.breaks) if hourly is None else (),
        by_the_hour=()
        if hourly is None
        else tuple(
            (one.name, Money(one.charge_per_hour, answer.shop.currency))
            for one in answer.shop.people
            if one.id in working
        ),
        deposit=price.deposit,
        ready=best.promise.can_promise,
        rests_on=rests_on,
        part_svg=part_picture(answer) if answer.joined is None else "",
    )
    return quote(sheet)


def no_paper(kept: KeptJob, name: str) -> BadInput:
    return BadInput(
        where=f"job {kept.job.number}",
        what=f"there is no {name}: the answer is no.",
        do="Read its reasons on the page.",
    )


PAPERS: Mapping[str, Callable[..., bytes]] = {
    "job-sheet": job_paper,
    "measuring-sheet": measuring_paper,
    "quote": quote_paper,
}
# Besides those that every job gets: for whoever asks.
ASKED_FOR: Mapping[str, Callable[..., bytes]] = {"quote-by-the-hour": hourly_quote}
