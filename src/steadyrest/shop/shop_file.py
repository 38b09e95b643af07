"""The shop file: shop.toml as text in, the Shop out.

What stands in it: [shop], [habits], [terms], [person.NAME], [machine.NAME] with [[machine.NAME.tool]], [material.NAME]
(prices only; the metals themselves stand in tables/), [[piece]], [supplier.NAME], [vendor.NAME], [gauge.NAME], [[job]]
with [[job.phase]] for work already promised, [shared.NAME] for what machines share, [carriage] for van and trailer,
[program."FILE.nc"] for the leaving check (leaving_file.py keeps its values), [billing] for what is charged
(price/statement/billing.py reads it). demo/shop.toml is a whole one.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from steadyrest.shop.floor import Habits, Material, Person, Shop, Terms
from steadyrest.shop.leaving_file import programs
from steadyrest.shop.shop_carriage import carriage
from steadyrest.shop.shop_fields import Fields
from steadyrest.shop.shop_machines import machines
from steadyrest.shop.shop_materials import table_materials
from steadyrest.shop.shop_people import people, promised
from steadyrest.shop.shop_shared import shared_limits
from steadyrest.shop.shop_stores import gauges, material_id, pieces, suppliers
from steadyrest.shop.shop_text import parsed
from steadyrest.shop.shop_vendors import vendors

TOP = (
    "shop", "habits", "terms", "person", "machine", "material", "piece", "supplier", "vendor", "gauge", "job",
    "program", "shared", "billing", "carriage",
)  # fmt: skip
SHOP_KEYS = ("name", "currency", "timezone", "unit", "holidays")
HABIT_KEYS = (
    "grip_mm", "facing_mm", "part_off_mm", "finish_allowance_mm", "keep_rest_mm", "deburr_s_per_m", "measure_s",
    "deliver_s", "handling_s", "lift_alone_kg", "bias", "bias_spread", "difficulty_spread", "prove_out",
    "finish_ra_um",
)  # fmt: skip
TERM_KEYS = (
    "minimum_charge", "margin", "rush_factor", "after_hours_factor", "wanted_odds", "validity_days", "deposit",
    "deposit_from",
)  # fmt: skip


def read_shop(text: str, where: str) -> Shop:
    """The shop that a shop file describes.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: the whole shop, checked: every id named is there, every machine has somebody who can run it.
    Raises: BadInput: the first thing wrong, with the line where it can be found, the key, and what is allowed.
    """
    file = parsed(text, where)
    file.only(TOP)
    shop = file.inner("shop")
    shop.only(SHOP_KEYS)
    programs(file)
    currency = shop.text("currency")
    if not re.fullmatch("[A-Z]{3}", currency):
        raise shop.wrong("currency", f"{currency!r} is not a currency code.", 'Write three capitals, such as "EUR".')
    floor = machines(file)
    zone, holidays = _zone(shop), shop.days("holidays")
    persons = tuple(_away_on(person, holidays, ZoneInfo(zone)) for person in people(file, floor))
    metals = _priced(file, table_materials())
    rack = pieces(file, metals)
    jobs = promised(file, persons, floor)
    _once(file, "piece", tuple(piece.id for piece in rack))
    _once(file, "job", tuple(job.id for job in jobs))
    return Shop(
        name=shop.text("name"),
        currency=currency,
        timezone=zone,
        unit=shop.text("unit", "mm", among=("mm", "in")),
        people=persons,
        machines=floor,
        materials=metals,
        pieces=rack,
        suppliers=suppliers(file, metals),
        gauges=gauges(file),
        habits=_habits(file.inner("habits")),
        terms=_terms(file.inner("terms")),
        promised=jobs,
        vendors=vendors(file, metals),
        shared=shared_limits(file, floor),
        holidays=tuple(day.isoformat() for day in holidays),
        carriage=carriage(file),
    )


def _away_on(person: Person, days: Sequence[date], zone: ZoneInfo) -> Person:
    """The person, away on these days from midnight to midnight of the shop's clock."""
    if not days:
        return person
    off = [
        (datetime.combine(day, time(), zone), datetime.combine(day + timedelta(days=1), time(), zone)) for day in days
    ]
    return replace(person, away=tuple(sorted((*person.away, *off))))


def _zone(shop: Fields) -> str:
    name = shop.text("timezone")
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise shop.wrong("timezone", f"{name!r} is not a time zone.", 'Write it as "Europe/Vienna".') from None
    return name


def _priced(file: Fields, materials: Sequence[Material]) -> tuple[Material, ...]:
    """The table's materials with the shop's own prices where it gives any."""
    prices = {}
    for name, fields in file.named("material"):
        fields.only(("price_per_kg",))
        named = Fields({"name": name}, "material", fields.where, fields.lines, fields.after)
        prices[material_id(named, "name", materials)] = fields.money("price_per_kg")
    return tuple(
        replace(material, price_per_kg=prices.get(material.id, material.price_per_kg)) for material in materials
    )


def _once(file: Fields, key: str, ids: Sequence[str]) -> None:
    for fields, name in zip(file.each(key), ids, strict=True):
        if ids.count(name) > 1:
            raise fields.wrong("id", f"{name!r} stands {ids.count(name)} times.", f"Give each {key} its own id.")


def _habits(fields: Fields) -> Habits:
    fields.only(HABIT_KEYS)
    return Habits(
        grip_mm=fields.number("grip_mm", above=True, high=1000),
        facing_mm=fields.number("facing_mm", high=100),
        part_off_mm=fields.number("part_off_mm", high=100),
        finish_allowance_mm=fields.number("finish_allowance_mm", above=True, high=10),
        keep_rest_mm=fields.number("keep_rest_mm", high=1e4),
        deburr_s_per_m=fields.number("deburr_s_per_m", high=1e5),
        measure_s=fields.number("measure_s", high=1e5),
        deliver_s=fields.number("deliver_s", high=1e6),
        handling_s=fields.number("handling_s", high=1e5),
        lift_alone_kg=fields.number("lift_alone_kg", above=True, high=100),
        bias=fields.number("bias", 1.0, above=True, high=10),
        bias_spread=fields.number("bias_spread", 0.1, high=2),
        difficulty_spread=fields.number("difficulty_spread", 0.15, high=2),
        prove_out=fields.number("prove_out", 1.6, low=1, high=20),
        finish_ra_um=fields.number("finish_ra_um", 1.6, above=True, high=100),
    )


def _terms(fields: Fields) -> Terms:
    fields.only(TERM_KEYS)
    return Terms(
        minimum_charge=fields.money("minimum_charge"),
        margin=fields.number("margin", high=10),
        rush_factor=fields.number("rush_factor", 1.0, low=1, high=10),
        after_hours_factor=fields.number("after_hours_factor", 1.0, low=1, high=10),
        wanted_odds=fields.number("wanted_odds", 0.9, low=0.5, high=0.999),
        validity_days=fields.whole("validity_days", 14, low=1, high=366),
        deposit=fields.number("deposit", 0.0, high=1),
        deposit_from=fields.money("deposit_from", "0"),
    )
