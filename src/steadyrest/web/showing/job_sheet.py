"""One job's page from its kept plan: every figure worded, with its why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from steadyrest.desk import issue_paper
from steadyrest.desk.keeping import KeptJob
from steadyrest.desk.plan_part import PlanAnswer, RoutePlanned
from steadyrest.promise.answer import Effect, Load, PlanRow
from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.money import Money
from steadyrest.shop.part import Feature, Size
from steadyrest.shop.work import HoldPoint, Phase, Step, Undone
from steadyrest.units import show_length, show_money, show_odds, show_time
from steadyrest.web.pages import job as fields
from steadyrest.web.pages.top import Top, Worded
from steadyrest.wording.moments import moment
from steadyrest.wording.say import SIZE_WORDS, Reader, say
from steadyrest.wording.say import figure as worded_figure

ANSWERS = {"yes": "Take it.", "no": "Do not take it.", "yes if": "Take it, if:"}
PAPERS = (("Job sheet", "job-sheet"), ("Measuring sheet", "measuring-sheet"), ("Quote", "quote"))


class Words:
    """Wording for one reader: units, currency, time zone, and the names of people and machines.

    answer: the plan that is shown.
    """

    def __init__(self, answer: PlanAnswer) -> None:
        shop = answer.shop
        self.reader = Reader("in" if shop.unit == "in" else "mm", shop.currency)
        self.zone = shop.timezone
        self.names = {one.id: one.name for one in (*shop.people, *shop.machines)}

    def why(self, reasons: Iterable[Reason]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(say(reason, self.reader) for reason in reasons))

    def figure(self, shown: Figure) -> Worded:
        return Worded(worded_figure(shown, self.reader), self.why(shown.why))

    def money(self, amount: Money) -> str:
        return show_money(amount.rounded().amount, amount.currency)

    def name(self, one: str | None) -> str:
        return self.names.get(one or "", one or "")

    def length(self, mm: float) -> str:
        return show_length(mm, self.reader.unit)


def page(kept: KeptJob, *, token: str) -> fields.JobPage:
    """A job's page.

    Args:
        kept: the job with the plan it goes by.
        token: for its forms.
    Returns: the page.
    """
    answer, best = kept.answer, kept.answer.best
    words = Words(answer)
    promise = best.promise if best else None
    price = best.price if best else None
    nothing = Worded("nothing planned")
    return fields.JobPage(
        top=Top(f"Job {kept.job.number}", answer.shop.name),
        number=kept.job.number,
        what=kept.job.what,
        asked=asked(kept, words),
        answer=ANSWERS[answer.take.answer],
        answer_why=words.why(answer.take.ifs or answer.take.why),
        nearest_yes=say(answer.take.nearest_yes, words.reader)
        if answer.take.nearest_yes and answer.take.answer == "no"
        else "",
        cautions=(),
        picture=issue_paper.part_picture(answer),
        sizes=tuple(size_rows(answer, words)),
        doubts=tuple(
            fields.DoubtRow(say(doubt.what, words.reader), say(doubt.ask, words.reader)) for doubt in answer.part.doubts
        ),
        next_reading=next_reading(answer, words),
        readings=tuple(
            f"{entry.body['feature']}, {SIZE_WORDS.get(str(entry.body['size']), entry.body['size'])}: "
            f"{words.length(float(entry.body['reading_mm'] or 0))} ({moment(entry.happened, words.zone)})"
            for entry in kept.readings
        ),
        pegs=issue_paper.pegs_picture(answer),
        finish=Worded(
            moment(promise.finish_p50, words.zone) if promise.finish_p50 else "not within the calendar",
            words.why(promise.why),
        )
        if promise
        else nothing,
        odds=Worded(
            f"{show_odds(promise.odds.value)} by {moment(answer.due, words.zone)}: the promise "
            + {"holds": "holds", "thin": "is thin", "gone": "is gone"}[promise.state],
            words.why(promise.odds.why),
        )
        if promise
        else nothing,
        offer=Worded(words.money(price.offer), words.why(price.offer_why)) if price else nothing,
        walk_away=Worded(words.money(price.walk_away), words.why(price.walk_away_why)) if price else nothing,
        cost=Worded(
            f"{price.cost_p10.value:.0f} to {price.cost_p90.value:.0f} {price.currency}, "
            f"half the time below {price.cost_p50.value:.0f}",
            words.why(price.cost_p50.why),
        )
        if price
        else nothing,
        breaks=tuple(
            fields.BreakRow(one.quantity, words.money(one.each), words.money(one.total)) for one in price.breaks
        )
        if price and len(price.breaks) > 1
        else (),
        piece=piece(answer, words),
        steps=tuple(step_row(step, words) for step in best.route.steps) if best else (),
        others_routes=tuple(other_routes(answer, words)),
        refused=tuple(refused_row(one, words) for one in refusals(answer)),
        night=issue_paper.night_picture(answer),
        night_rows=tuple(night_row(row, words) for row in promise.plan) if promise else (),
        others=tuple(other_row(one, words) for one in promise.others) if promise else (),
        load=tuple(load_row(one, words) for one in promise.loads) if promise else (),
        measures=tuple(
            fields.MeasureRow(
                feature=f"{measure.feature} {SIZE_WORDS.get(measure.size, measure.size)}",
                size=measure.shown,
                limits=f"{words.length(measure.low_mm)} to {words.length(measure.high_mm)}",
                gauge=measure.gauge_name or "no gauge on the list",
                accept=f"{words.length(measure.accept_mm[0])} to {words.length(measure.accept_mm[1])}"
                if measure.accept_mm
                else "this gauge cannot prove it",
                says=words.why((*measure.why, *measure.notes)),
            )
            for measure in answer.measures
        ),
        papers=tuple(
            (says, f"/jobs/{kept.job.number}/{name}.pdf")
            for says, name in PAPERS
            if best is not None or (name == "measuring-sheet" and answer.measures)
        ),
        seed=answer.seed,
        guard=token,
    )


def asked(kept: KeptJob, words: Words) -> str:
    """What was asked for, in one line."""
    answer = kept.answer
    who = "" if kept.job.customer == "not said" else f" for {kept.job.customer}"
    example = " The shop is the invented example." if answer.example_shop else ""
    return (
        f"{answer.quantity} in {answer.material.name}{who}, due {moment(answer.due, words.zone)}; "
        f"planned {moment(answer.now, words.zone)}.{example}"
    )


def size_rows(answer: PlanAnswer, words: Words) -> Iterator[fields.SizeRow]:
    """The sizes that a drawing would have shown."""
    for feature in answer.part.features:
        for size in feature.sizes:
            if size.nominal is not None:
                yield size_row(feature, size, words)


def size_row(feature: Feature, size: Size, words: Words) -> fields.SizeRow:
    nominal = size.nominal
    assert nominal is not None
    limits = nominal.limits
    angle = size.name == "angle_deg"
    principal = size is feature.sizes[0]
    odds = "" if nominal.source == "as measured" else f" ({show_odds(nominal.odds)})"
    rivals = tuple(f"else {shown}, {show_odds(chance)}" for shown, chance in nominal.rivals if chance >= 0.05)
    return fields.SizeRow(
        feature=feature.kind,
        numeral=feature.id.lstrip("F"),
        name=SIZE_WORDS.get(size.name, size.name),
        nominal=Worded(nominal.shown, words.why(nominal.why) + rivals),
        trust=f"{nominal.state}{odds}",
        limits=Worded(f"{words.length(limits.low_mm)} to {words.length(limits.high_mm)}", words.why(limits.why))
        if limits
        else Worded(""),
        measured=f"{size.measured:.2f}°" if angle else words.length(size.measured),
        wear=words.length(feature.wear_mm) if principal and feature.wear_mm else "",
    )


def next_reading(answer: PlanAnswer, words: Words) -> fields.ReadingField | None:
    """The next reading to take, as a form."""
    reading = answer.part.next_reading
    if reading is None:
        return None
    feature = answer.part.feature(reading.feature)
    size = feature.sizes[0]
    return fields.ReadingField(
        feature=feature.id,
        size=size.name,
        says=f"No. {feature.id.lstrip('F')}, the {feature.kind}'s {SIZE_WORDS.get(size.name, size.name)}",
        with_what=reading.gauge,
        why=words.why(reading.why),
    )


def piece(answer: PlanAnswer, words: Words) -> Worded:
    """Which piece, from where, or what to buy."""
    best = answer.best
    if best is None or best.route.blank is None:
        return Worded("nothing on this floor")
    route = best.route
    if route.piece is not None:
        found = next(one for one in answer.shop.pieces if one.id == route.piece)
        says = f"{found.id}, {found.material}, at {found.place}, heat {found.heat_number}"
    else:
        says = "; ".join(say(one.what, words.reader) for one in route.buy) or "to be bought"
    weights = tuple(line for shown in answer.handling for line in (words.figure(shown).says, *words.why(shown.why)))
    assert route.blank is not None
    return Worded(says, words.why((*route.blank.why, *route.why)) + weights)


def step_row(step: Step, words: Words) -> fields.StepRow:
    return fields.StepRow(
        name=step.station,
        machine=words.name(step.machine),
        holding=say(step.holding, words.reader),
        person=show_time(step.person_s),
        machine_time=show_time(step.machine_s),
        alone=Worded("May run with nobody there." if step.unattended else "", words.why(step.unattended_why)),
        phases=tuple(phase_row(phase, words) for phase in step.phases),
        tools=step.tools,
        limits=tuple(words.figure(limit) for limit in step.limits),
        cautions=words.why(step.cautions),
        hold_points=tuple(hold_point(point, words) for point in step.hold_points),
    )


def phase_row(phase: Phase, words: Words) -> fields.PhaseRow:
    who = " or ".join(words.name(one) for one in phase.who) or "nobody"
    return fields.PhaseRow(phase.name, words.figure(phase.duration_s), who)


def hold_point(point: HoldPoint, words: Words) -> str:
    return (
        f"no. {point.feature.lstrip('F')} between {words.length(point.low_mm)} and {words.length(point.high_mm)} "
        f"with {point.gauge}; if not: {say(point.if_not, words.reader)}"
    )


def other_routes(answer: PlanAnswer, words: Words) -> Iterator[fields.RouteRow]:
    """The routes that were not chosen."""
    for index, other in enumerate(answer.routes):
        if index != answer.chosen and other.price is not None and other.promise is not None:
            yield fields.RouteRow(
                name=route_name(other, answer),
                cost=f"{other.price.cost_p50.value:.0f} {other.price.currency}",
                finish=moment(other.promise.finish_p50, words.zone) if other.promise.finish_p50 else "not in the calendar",
                why=words.why(other.route.why),
            )


def route_name(planned: RoutePlanned, answer: PlanAnswer) -> str:
    if planned.route.piece is not None:
        found = next(one for one in answer.shop.pieces if one.id == planned.route.piece)
        return f"from {found.id} at {found.place}"
    return "from bought bar"


def refusals(answer: PlanAnswer) -> tuple[Undone, ...]:
    """What was refused, each once."""
    routes = [answer.best.route] if answer.best else [one.route for one in answer.routes]
    return tuple(dict.fromkeys(one for route in routes for one in route.cannot))


def refused_row(one: Undone, words: Words) -> fields.RefusedRow:
    return fields.RefusedRow(
        who=words.name(one.machine) or one.station,
        reasons=words.why(one.reasons),
        nearest=say(one.nearest, words.reader) if one.nearest else "",
    )


def night_row(row: PlanRow, words: Words) -> fields.NightRow:
    return fields.NightRow(
        start=moment(row.start, words.zone),
        end=moment(row.end, words.zone),
        who=words.name(row.person) or "nobody",
        machine=words.name(row.machine),
        job=row.job,
        what=row.name,
    )


def other_row(one: Effect, words: Words) -> fields.OtherRow:
    return fields.OtherRow(
        name=f"{one.job}: {one.what}",
        before=f"{one.before} ({show_odds(one.odds_before)})",
        after=f"{one.after} ({show_odds(one.odds_after)})",
        says="; ".join(words.why(one.why)),
    )


def load_row(one: Load, words: Words) -> fields.LoadRow:
    return fields.LoadRow(words.name(one.id), words.figure(one.asked).says, show_time(one.there_s))
