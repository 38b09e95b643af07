"""The contract's keys of a plan: routes with their steps, price, promise, what to measure, as plain JSON values."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from steadyrest.cli.answers import Json, limit, number, read_answer, sentences
from steadyrest.cli.rules_words import rule_answer
from steadyrest.desk.books.rules import rules_of
from steadyrest.desk.plan.refused import refused
from steadyrest.shop.chart import Charted
from steadyrest.shop.money import Money
from steadyrest.shop.work import SheetCut, Step, Undone
from steadyrest.wording.say import say

if TYPE_CHECKING:
    from steadyrest.decide.reading_worth import Worth
    from steadyrest.desk.plan.plan_part import PlanAnswer, RoutePlanned
    from steadyrest.measure.plan import Measure
    from steadyrest.price.answer import Line, Price


def plan_answer(answer: PlanAnswer) -> Json:
    """All six answers, as `plan --json` prints them.

    Args:
        answer: from the desk.
    Returns: the contract's section 0 document.
    """
    best = answer.best
    promise = best.promise if best else None
    price = best.price if best else None
    take = answer.take
    return {
        "take": {
            "answer": take.answer,
            "why": sentences(take.told),
            "nearest_yes": say(take.nearest_yes) if take.nearest_yes else None,
            "ifs": sentences(take.ifs),
            "asks": sentences(take.asks),
            "refusal": " ".join(say(one) for one in refused(answer)) or None,
        },
        "routes": [route_answer(planned, answer) for planned in answer.routes],
        "chosen": answer.chosen,
        "price": {
            "walk_away": price.walk_away.shown() if price else None,
            "offer": price.offer.shown() if price else None,
            "breaks": [
                {"quantity": one.quantity, "each": one.each.shown(), "total": one.total.shown()} for one in price.breaks
            ]
            if price
            else [],
            "currency": answer.shop.currency,
            "why": sentences((*price.offer_why, *price.walk_away_why)) if price else [],
            **(price_details(price) if price else {}),
        },
        "promise": {
            "due": answer.due.isoformat(),
            "finish": iso(promise.can_promise or promise.finish_p90) if promise else None,
            "odds": number(promise.odds.value) if promise else 0.0,
            "pegs": promise.pegs if promise else 0,
            "state": promise.state if promise else "gone",
            "others": [
                {"job": one.job, "odds_before": number(one.odds_before), "odds_after": number(one.odds_after)}
                for one in promise.others
            ]
            if promise
            else [],
            "why": sentences((*promise.odds.why, *promise.why)) if promise else [],
        },
        "measure": [measure_answer(measure) for measure in answer.measures],
        "worth_reading": [worth_answer(one, answer.shop.currency) for one in answer.worth],
        "handling": [{"mass_kg": number(shown.value), "why": sentences(shown.why)} for shown in answer.handling],
        "seed": answer.seed,
        "now": answer.now.isoformat(),
        "quantity": answer.quantity,
        "charging": "hours" if answer.by_hours else "fixed",
        "finishes": [finish.shown for finish in answer.finishes],
        "material": answer.material.id,
        "shop": {"name": answer.shop.name, "example": answer.example_shop},
        "part": read_answer(answer.part, answer.material),
    }


def price_details(price: Price) -> dict[str, Json]:
    """What stands behind a price, line by line; money as decimal strings."""
    hourly, won = price.by_the_hour, price.winning

    def lines(of: Sequence[Line]) -> Json:
        return [{"what": say(line.what), "amount": line.amount.shown()} for line in of]

    return {
        "lines": lines(price.lines),
        "cash": lines(price.cash),
        "hours_at_cost": lines(price.at_cost),
        "not_to_exceed": None
        if hourly is None
        else {
            "amount": hourly.not_to_exceed.shown(), "odds": number(hourly.odds), "half": hourly.half.shown(),
            "borne": hourly.borne.shown(),
        },
        "taken_odds": None if won is None else number(won.odds),
        "decided_quotes": 0 if won is None else won.quotes,
        "lost": None if price.lost is None else number(price.lost.value),
        "cut_again": None if price.again is None else number(price.again.value),
        "spare_blanks": price.spare,
        "deposit": None if price.deposit is None else price.deposit.shown(),
        "valid_days": price.valid_days,
    }  # fmt: skip


def worth_answer(worth: Worth, currency: str) -> Json:
    """What one reading or question spares; `with` is null for a question."""
    return {
        "feature": worth.feature,
        "size": worth.size,
        "with": worth.gauge or None,
        "ask": say(worth.ask),
        "spares": Money(Decimal(repr(worth.money.value)), currency).shown(),
        "spares_s": number(worth.time.value),
        "wrong_odds": number(worth.wrong_before),
        "wrong_odds_then": number(worth.wrong_after),
        "why": sentences(worth.why),
    }


def iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()


def route_answer(planned: RoutePlanned, answer: PlanAnswer) -> Json:
    """One route: its steps, what it takes, what it costs, when it finishes, what it cannot do."""
    route, price, promise = planned.route, planned.price, planned.promise
    blank = route.blank
    money = {
        name: Money(Decimal(repr(figure.value)), answer.shop.currency).shown() if figure else None
        for name, figure in (
            ("p10", price.cost_p10 if price else None),
            ("p50", price.cost_p50 if price else None),
            ("p90", price.cost_p90 if price else None),
        )
    }
    return {
        "steps": [step_answer(step) for step in route.steps],
        "blank": None
        if blank is None
        else {
            "shape": blank.shape,
            "size_mm": [number(size) for size in blank.size_mm],
            "length_mm": number(blank.length_mm),
            "mass_kg": number(blank.mass_kg),
            "material": blank.material,
            "why": sentences(blank.why),
        },
        "piece": route.piece,
        "rest_mm": number(route.rest_mm),
        "sheets": [sheet_answer(one) for one in route.sheets],
        "buy": [
            {
                "what": say(one.what),
                "supplier": one.supplier,
                "cost": Money(one.cost, answer.shop.currency).shown(),
                "length_mm": number(one.length_mm),
                "mass_kg": number(one.mass_kg),
            }
            for one in route.buy
        ],
        "cost": {**money, "currency": answer.shop.currency},
        "finish": {
            "p50": iso(promise.finish_p50) if promise else None,
            "p90": iso(promise.finish_p90) if promise else None,
        },
        "cannot": [undone_answer(one) for one in route.cannot],
        "refused": [undone_answer(one) for one in route.refused],
        "why": sentences(route.why),
        "chart": [charted_answer(one) for one in route.chart],
    }


def sheet_answer(sheet: SheetCut) -> Json:
    """One sheet and what lies on it, in the order of cutting; `turn_deg` about the drawing's origin, then shifted."""
    return {
        "name": sheet.name,
        "piece": sheet.piece,
        "count": sheet.count,
        "thickness_mm": number(sheet.thickness_mm),
        "heat_number": sheet.heat_number or None,
        "outline_mm": [[number(x), number(y)] for x, y in sheet.outline_mm],
        "holes_mm": [[[number(x), number(y)] for x, y in hole] for hole in sheet.holes_mm],
        "placed": [
            {
                "body": laid.body + 1,
                "x_mm": number(laid.x_mm),
                "y_mm": number(laid.y_mm),
                "turn_deg": number(laid.turn_deg),
                "bridges": laid.tabs,
                "tips": laid.tips,
            }
            for laid in sheet.laid
        ],
        "gap_mm": number(sheet.gap_mm),
        "margin_mm": number(sheet.margin_mm),
        "used": number(sheet.used),
        "rest": [[number(x), number(y)] for x, y in sheet.rest_mm] or None,
        "rest_mm2": number(sheet.rest_mm2),
    }


def charted_answer(one: Charted) -> Json:
    """One size of the tolerance chart: its limits, the chance that they are held, what moves it, what would help."""
    return {
        "feature": one.feature,
        "size": one.size,
        "limits_mm": [number(one.low_mm), number(one.high_mm)],
        "steps": list(one.steps),
        "odds": number(one.odds.value),
        "worst_mm": number(one.worst_mm),
        "root_sum_square_mm": number(one.rss_mm),
        "terms": [
            {"source": term.source, "step": term.step, "reach_mm": number(abs(term.factor) * term.reach_mm)}
            for term in one.terms
        ],
        "why": sentences(one.odds.why),
        "advice": sentences(one.advice),
    }


def step_answer(step: Step) -> Json:
    return {
        "id": step.id,
        "station": step.station,
        "machine": step.machine,
        "holding": say(step.holding),
        "phases": [
            {
                "name": phase.name,
                "duration_s": number(phase.duration_s.value),
                "spread": number(phase.spread),
                "who": list(phase.who),
                "interruptible": phase.interruptible,
                "max_wait_s": number(phase.max_wait_s),
                "why": sentences(phase.duration_s.why),
            }
            for phase in step.phases
        ],
        "person_s": number(step.person_s),
        "machine_s": number(step.machine_s),
        "unattended": step.unattended,
        "unattended_why": sentences(step.unattended_why),
        "split": [limit(one) for one in step.split],
        "makes": list(step.makes),
        "tools": list(step.tools),
        "limits": [limit(one) for one in step.limits],
        "cautions": sentences(step.cautions),
        "notes": sentences(step.notes),
        "rules": [rule_answer(one) for one in rules_of(step)],
        "tool_s": [{"number": number_, "cut_s": number(each_s)} for number_, each_s in step.tool_s],
        "needs_stock": step.needs_stock,
        "after": list(step.after),
        "lifted": None
        if step.lifted is None
        else {"mass_kg": number(step.lifted.value), "why": sentences(step.lifted.why)},
        "cash": str(step.cash),
        "hold_points": [
            {
                "feature": point.feature,
                "limits_mm": [number(point.low_mm), number(point.high_mm)],
                "with": point.gauge,
                "if_not": say(point.if_not),
            }
            for point in step.hold_points
        ],
    }


def undone_answer(one: Undone) -> Json:
    return {
        "station": one.station,
        "machine": one.machine,
        "features": list(one.features),
        "reasons": sentences(one.reasons),
        "nearest_yes": say(one.nearest) if one.nearest else None,
    }


def measure_answer(measure: Measure) -> Json:
    return {
        "feature": measure.feature,
        "size": measure.size,
        "shown": measure.shown,
        "limits_mm": [number(measure.low_mm), number(measure.high_mm)],
        "with": measure.gauge,
        "gauge": measure.gauge_name,
        "u_mm": number(measure.u_mm),
        "accept_mm": [number(bound) for bound in measure.accept_mm] if measure.accept_mm else None,
        "why": sentences(measure.why),
        "notes": sentences(measure.notes),
    }
