"""The job sheet: what, by when, from which piece, and the steps in their order with machine, holding, tools, times,
hold points and cautions. It hangs at the machine and goes with the part."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from steadyrest import units
from steadyrest.papers import said
from steadyrest.papers.typesetting import Sheet, code, picture, typeset
from steadyrest.promise.answer import PlanRow, Promise
from steadyrest.shop.chart import Charted
from steadyrest.shop.figure import Reason
from steadyrest.shop.floor import Shop
from steadyrest.shop.part import Part
from steadyrest.shop.work import HoldPoint, Route, Step
from steadyrest.wording import moments
from steadyrest.wording.charted import charted
from steadyrest.wording.say import figure, say


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part of a job of several: its name, what and how many, and where it comes from, in words."""

    id: str
    what: str
    comes_from: str


@dataclass(frozen=True, slots=True)
class JobSheet:
    """What stands on a job sheet.

    number, what, customer, due: of the job. quantity, material: what is made. made: when this was printed.
    part_svg, pegs_svg, night_svg, sheets_svg: pictures from papers/drawing, "" for none. promise: None before one is
        given.
    cautions: that hold for the whole job; those of a step stand at the step.
    link: where the code on the sheet leads, "" for no code. parts: of a job of several, each in words.
    stopped: why nobody may go on by this plan, "" where they may.
    """

    shop: Shop
    number: int
    what: str
    customer: str
    due: datetime
    made: datetime
    quantity: int
    material: str
    part: Part
    route: Route
    promise: Promise | None = None
    part_svg: str = ""
    pegs_svg: str = ""
    night_svg: str = ""
    sheets_svg: str = ""
    cautions: tuple[Reason, ...] = ()
    link: str = ""
    sheet: Sheet = "a4"
    parts: tuple[PartLine, ...] = ()
    stopped: str = ""


def job_sheet(sheet: JobSheet) -> bytes:
    """The job sheet as PDF.

    Args:
        sheet: what stands on it.
    Returns: the PDF.
    Raises: ValueError: a route without steps has no job sheet.
    """
    if not sheet.route.steps:
        raise ValueError(f"job_sheet: job {sheet.number} has a route without steps")
    return typeset("job_sheet.typ", data(sheet), sheet=sheet.sheet, made=sheet.made)


def data(sheet: JobSheet) -> dict[str, object]:
    """The sheet as plain words."""
    who, zone = said.reader(sheet.shop), sheet.shop.timezone
    promise = sheet.promise
    return {
        "shop": sheet.shop.name,
        "number": sheet.number,
        "what": sheet.what,
        "customer": sheet.customer,
        "due": moments.moment(sheet.due, zone),
        "made": f"{moments.day(sheet.made, zone)}, {moments.moment(sheet.made, zone)[-5:]}",
        "quantity": sheet.quantity,
        "material": "" if sheet.parts else sheet.material,
        "odds": units.show_odds(promise.odds.value) if promise else "",
        "state": promise.state if promise else "",
        "part_svg": picture(sheet.part_svg),
        "pegs_svg": picture(sheet.pegs_svg),
        "night_svg": picture(sheet.night_svg),
        "sheets_svg": picture(sheet.sheets_svg),
        "cutting": cutting(sheet),
        "code_svg": code(sheet.link) if sheet.link else "",
        "stopped": sheet.stopped,
        "cautions": said.sentences(sheet.cautions, who),
        "doubts": said.sentences((doubt.ask for doubt in sheet.part.doubts), who),
        "stock": stock(sheet),
        "buy": [
            {"what": said.sentence(buy.what, who), "supplier": supplier(sheet.shop, buy.supplier)}
            for buy in sheet.route.buy
            if not sheet.parts or any(one.id == buy.supplier for one in sheet.shop.suppliers)  # else among the parts
        ],
        "arrival": moments.moment(promise.arrival, zone) if promise and promise.arrival else "",
        "steps": [step_words(step, sheet) for step in sheet.route.steps],
        "parts": [[part.id, part.what, part.comes_from] for part in sheet.parts],
        "chart": [chart_words(one, sheet) for one in sheet.route.chart if one.advice],
    }


def chart_words(one: Charted, sheet: JobSheet) -> dict[str, object]:
    """A size that is not likely enough held, and what would help."""
    who = said.reader(sheet.shop)
    return {
        "feature": said.numeral(one.feature),
        "says": charted(one, who),
        "advice": said.sentences(one.advice, who),
    }


def cutting(sheet: JobSheet) -> list[list[str]]:
    """Label and value for who stands at the cutter: what it is set to, and what comes back to the rack."""
    who = said.reader(sheet.shop)
    step = next((step for step in sheet.route.steps if step.station == "plate"), None)
    if step is None:
        return []
    rows = [[figure(limit, who), said.sentence(limit.why[0], who)] for limit in step.limits]
    return [*rows, ["in the torch", ", ".join(step.tools)]]


def stock(sheet: JobSheet) -> list[list[str]]:
    """Label and value: the piece with its place and heat number, and the blank cut from it."""
    route, unit = sheet.route, said.length_unit(sheet.shop)
    rows: list[list[str]] = []
    piece = next((piece for piece in sheet.shop.pieces if piece.id == route.piece), None)
    if piece is not None:
        rows += [
            ["Piece", f"{piece.id}: {said.piece_words(piece, unit)}"],
            ["Place", piece.place],
            ["Heat number", piece.heat_number or "none: mark it “no certificate”"],
        ]
    if route.blank is not None:
        mass = units.show_mass(route.blank.mass_kg, "lb" if unit == "in" else "kg")
        rows.append(["Blank", f"{sheet.quantity} × {said.blank_words(route.blank, unit)}, {mass} each"])
    if route.rest_mm is not None:
        rest = said.cut_length(route.rest_mm, unit)
        rows.append(["Rest", f"{rest}; the heat number goes with it"])
    return rows


def supplier(shop: Shop, name: str) -> str:
    """A supplier's name by id."""
    return next((supplier.name for supplier in shop.suppliers if supplier.id == name), name)


def step_words(step: Step, sheet: JobSheet) -> dict[str, object]:
    """One step as plain words."""
    who, zone = said.reader(sheet.shop), sheet.shop.timezone
    rows = tuple(row for row in (sheet.promise.plan if sheet.promise else ()) if row.new and row.step == step.id)
    return {
        "station": step.id if sheet.parts else step.station,
        "machine": sheet.shop.machine(step.machine).name if step.machine else "",
        "when": moments.stretch(min(r.start for r in rows), max(r.end for r in rows), zone) if rows else "",
        "who": ", ".join(people(rows, sheet.shop)),
        "makes": [said.numeral(feature) for feature in step.makes],
        "holding": say(step.holding, who),
        "tools": list(step.tools),
        "phases": [
            {
                "name": phase.name,
                "time": units.show_time(phase.duration_s.value),
                "alone": not phase.who,
            }
            for phase in step.phases
        ],
        "hold_points": [hold_words(hold, sheet) for hold in step.hold_points],
        "cautions": said.sentences(step.cautions, who),
        "notes": said.sentences((*step.notes, *(step.lifted.why[:1] if step.lifted else ())), who),
        "unattended": step.unattended and step.machine is not None,
        "unattended_why": said.sentences(step.unattended_why, who) if step.unattended else [],
    }


def people(rows: tuple[PlanRow, ...], shop: Shop) -> list[str]:
    """Names of the people planned, in the order they come."""
    ids = dict.fromkeys(row.person for row in sorted(rows, key=lambda row: row.start) if row.person)
    return [shop.person(name).name for name in ids]


def hold_words(hold: HoldPoint, sheet: JobSheet) -> dict[str, str]:
    """A hold point as plain words."""
    who = said.reader(sheet.shop)
    gauge = next((gauge.name for gauge in sheet.shop.gauges if gauge.id == hold.gauge), hold.gauge)
    return {
        "feature": said.numeral(hold.feature),
        "limits": units.show_limits(hold.low_mm, hold.high_mm, said.length_unit(sheet.shop)),
        "gauge": gauge,
        "if_not": say(hold.if_not, who),
    }
