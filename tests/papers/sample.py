"""Papers of an invented job, from the invented shop."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from functools import cache
from importlib import resources
from zoneinfo import ZoneInfo

from steadyrest.papers.drawing.part_picture import part_svg
from steadyrest.papers.drawing.pegs import pegs_svg
from steadyrest.papers.job_sheet import JobSheet
from steadyrest.papers.measuring_sheet import MeasuringRow, MeasuringSheet
from steadyrest.papers.quote import QuoteBreak, QuoteSheet
from steadyrest.papers.said import in_own_words
from steadyrest.promise.answer import PlanRow, Promise
from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.money import Money
from steadyrest.shop.part import Doubt, Feature, Limits, Nominal, Part, Profile, Size, Stretch, UnitSaid
from steadyrest.shop.shop_file import read_shop
from steadyrest.shop.work import Blank, HoldPoint, Phase, Purchase, Route, Step

MADE = datetime(2026, 11, 27, 12, 20, tzinfo=ZoneInfo("Europe/Vienna"))
DUE = datetime(2026, 11, 28, 18, 0, tzinfo=ZoneInfo("Europe/Vienna"))
LINK = "http://192.0.2.7:8744/jobs/214"
WHY = (Reason("limit.next"),)


LIFTING = in_own_words("lifting gear: an authorised person has to check the lift before it runs again")


@cache
def shop():
    return read_shop((resources.files("steadyrest.demo") / "shop.toml").read_text(encoding="utf-8"), "shop.toml")


def shaft(number, start_mm, end_mm, diameter_mm, shown, limits_mm, **more):
    low, high = limits_mm
    nominal = Nominal(diameter_mm, shown, 0.97, "inch fraction", Limits(low, high, WHY), WHY)
    size = Size("diameter_mm", diameter_mm, diameter_mm - 0.1, 0.01, nominal)
    at = (0.0, 0.0, (start_mm + end_mm) / 2)
    return Feature(f"F{number}", "shaft", (size,), (0, 0, 1), at, (start_mm, end_mm), area_mm2=9e3, **more)


def part():
    features = (
        shaft(1, 0, 40, 31.75, "1-1/4 in", (31.725, 31.75)),
        shaft(2, 40, 95, 36.5125, "1-7/16 in", (36.5145, 36.5305), wear_mm=0.45, wear_along_mm=(48, 88)),
        shaft(3, 95, 140, 44.45, "1-3/4 in", (44.35, 44.55)),
        shaft(4, 140, 205, 38.1, "1-1/2 in", (38.084, 38.1)),
        shaft(5, 205, 260, 36.5125, "1-7/16 in", (36.5145, 36.5305)),
    )
    outside = tuple(
        Stretch(*feature.along_mm, feature.sizes[0].estimate, feature.sizes[0].estimate, feature.id)
        for feature in features
    )
    doubt = Doubt(in_own_words("the limits"), in_own_words("which bearing sits on F2? Read the number on its ring"))
    unit = UnitSaid("mm", "sure", in_own_words("said"))
    profile = Profile((0, 0, 0), (0, 0, 1), outside)
    size = (260.0, 44.45, 44.45)
    return Part("stage-lift-shaft", "scan", unit, size, 2.6e5, features, True, doubts=(doubt,), profile=profile)


def phase(name, minutes, *who):
    return Phase(name, Figure(60.0 * minutes, "s", WHY), 0.2, who, interruptible=False)


def step(name, machine, holding, phases, makes=(), **more):
    return Step(name, name, machine, in_own_words(holding), phases, makes, (), **more)


def steps():
    heavy = in_own_words("the bar weighs 21 kg: lift it with two people or the hoist")
    hot = in_own_words("let the part cool to room temperature before the last reading of F2")
    held = HoldPoint("F2", 36.515, 36.530, "micrometer 25-50", in_own_words("measure again cold, then ask Ambra"))
    tools = ("T1 turning, rough", "T2 turning, finish", "T3 facing", "T6 grooving 2.2 mm")
    return (
        step("saw", "saw", "in the saw's vise", (phase("set up", 6, "ines"), phase("cut", 9)), cautions=(heavy,)),
        step(
            "turn",
            "lathe",
            "chuck 25 mm and live centre",
            (phase("set up", 25, "ambra"), phase("first part", 47, "ambra")),
            ("F1", "F2", "F3", "F4", "F5"),
            cautions=(hot,),
            hold_points=(held,),
            tools=tools,
            unattended=True,
            unattended_why=(in_own_words("roughing only: it stops at the hold point and waits"),),
        ),
        step("mill", "mill", "vee blocks, clamped on F3", (phase("set up", 20, "ambra"), phase("slot", 14, "ambra"))),
        step("hand", None, "in the hand", (phase("break edges", 8, "jorun"),)),
        step("inspect", None, "on the bench", (phase("measure", 12, "jorun"),)),
    )


def plan():
    at, found = MADE + timedelta(minutes=40), []
    for one in steps():
        for number, part_of in enumerate(one.phases):
            until = at + timedelta(seconds=part_of.duration_s.value)
            who = part_of.who[0] if part_of.who else None
            found.append(PlanRow("new", one.id, number, part_of.name, who, one.machine, at, until, new=True))
            at = until + timedelta(minutes=3)
    return tuple(found)


def promise():
    return Promise(
        job="new",
        due=DUE,
        finish_p50=MADE + timedelta(hours=20),
        finish_p90=MADE + timedelta(hours=28),
        odds=Figure(0.93, "1", WHY),
        wanted_odds=0.9,
        can_promise=MADE + timedelta(hours=28),
        others=(),
        loads=(),
        plan=plan(),
        order=("new",),
        behind_all=None,
        arrival=MADE + timedelta(hours=4),
        neck=None,
        yes_by=None,
        after_hours=0.2,
        waits_broken_odds=0.0,
        seed=1,
        draws=1000,
        timezone="Europe/Vienna",
        why=WHY,
    )


def route():
    piece, seller = shop().pieces[0], shop().suppliers[0].id
    blank = Blank("round", (44.45,), 264.0, 3.21, piece.material, WHY)
    buy = Purchase(in_own_words("1 bar ⌀ 45 mm h9, 300 mm"), seller, Decimal("38.00"), 300.0, 3.7)
    return Route(steps(), blank, piece.id, 212.0, (buy,), (), WHY)


def job_sheet(**more):
    sheet = JobSheet(
        shop=shop(),
        number=214,
        what="shaft of the stage lift",
        customer="Lamplight Playhouse",
        due=DUE,
        made=MADE,
        quantity=1,
        material="C45",
        part=part(),
        route=route(),
        promise=promise(),
        part_svg=part_svg(part()),
        pegs_svg=pegs_svg(0.93),
        cautions=(LIFTING,),
        link=LINK,
    )
    return replace(sheet, **more)


def measuring_rows():
    outside, note = "micrometer 25-50", in_own_words("take the blade micrometer if it is back")
    return (
        MeasuringRow(
            "F2", "bearing seat, diameter", "⌀ 36.513 k6", 36.5145, 36.5305, 36.5168, 36.5282, outside, 0.0014
        ),
        MeasuringRow("F4", "keyway, width", "3/8 in N9", 9.489, 9.525, 9.4956, 9.5184, "slip gauges", 0.004),
        MeasuringRow("F3", "groove, diameter", "⌀ 44.2", 44.19, 44.2, None, None, "caliper 150", 0.015, note),
        MeasuringRow("F1", "end journal, diameter", "1-1/4 in h7", 31.725, 31.75, 31.7273, 31.7477, outside, 0.0014),
    )


def measuring_sheet(**more):
    sheet = MeasuringSheet(
        shop=shop(),
        number=214,
        what="shaft of the stage lift",
        made=MADE,
        quantity=1,
        rows=measuring_rows(),
        notes=(in_own_words("a hot part reads large: 20 K are 9 µm on F2"),),
        part_svg=part_svg(part()),
        link=LINK,
    )
    return replace(sheet, **more)


def euros(text):
    return Money(Decimal(text), "EUR")


def quote(**more):
    sheet = QuoteSheet(
        shop=shop(),
        number=214,
        what="shaft of the stage lift",
        customer="Lamplight Playhouse",
        made=MADE,
        valid_until=MADE + timedelta(days=14),
        quantity=2,
        material="C45",
        offer=euros("812.00"),
        tax="without value added tax",
        ready=DUE,
        part_svg=part_svg(part()),
        breaks=(
            QuoteBreak(1, euros("486"), euros("486")),
            QuoteBreak(5, euros("331.5"), euros("1657.5")),
            QuoteBreak(40, euros("312.25"), euros("12490")),
        ),
        rests_on=(
            in_own_words("the bearing on F2 is a 6207; we ask before we turn"),
            in_own_words("the old shaft is at hand until it is delivered"),
        ),
        cautions=(LIFTING,),
    )
    return replace(sheet, **more)
