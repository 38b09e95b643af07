"""Outside: one treatment by a vendor, with the way there, the vendor's calendar, smallest order and what it may delay.

How long it is away depends on the weekday it leaves; the plan takes all starts within a working week as equally likely,
because nobody knows yet when it will leave.
"""

from __future__ import annotations

import math
from decimal import Decimal

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.finish import Finish
from steadyrest.shop.floor import Vendor
from steadyrest.shop.work import Phase, Step
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import hand_phase
from steadyrest.tables.hardening import hardness_hrc
from steadyrest.tables.practice import rule

DAY_S = 86_400.0
MIN_S = 60.0
WORK_DAYS = 5
# A working day's start and end, as far as a start to a vendor goes: minutes of the day.
FROM_MIN, TO_MIN, STEP_MIN = 7 * 60, 17 * 60, 30


def answer(ask: Ask) -> Answer:
    """Has the treatment done by the cheapest vendor who can.

    Args:
        ask: the part and what is asked of it in `finish`.
    Returns: one step; refused with every vendor's limits. It makes no feature.
    """
    finish = ask.finish
    if finish is None:
        return none_made(ask, "outside", (because("outside.nothing_asked"),))
    found = chosen(ask, finish)
    if not isinstance(found, Vendor):
        return none_made(ask, "outside", found, because("outside.nearest", way=finish.way))
    undone = (refusal(ask, "outside", ask.features, (because("outside.makes_nothing"),)),) if ask.features else ()
    return Answer((_step(ask, finish, found, cost(ask, found)),), ask.state, undone)


def chosen(ask: Ask, finish: Finish) -> Vendor | tuple[Reason, ...]:
    """The cheapest vendor who can.

    Args:
        ask: the part, how many, the shop's vendors.
        finish: the treatment.
    Returns: the vendor, or every limit of every one that speaks against it.
    """
    reasons = list(_metal(ask, finish))
    hopeless = bool(reasons)
    able: list[Vendor] = []
    doing = [vendor for vendor in ask.shop.vendors if finish.way in vendor.does]
    for vendor in doing:
        refused = _refused(ask, finish, vendor)
        reasons.extend(refused)
        if not refused:
            able.append(vendor)
    if not doing:
        reasons.append(because("outside.nobody", way=finish.way))
    if hopeless or not able:
        return tuple(reasons)
    return min(able, key=lambda vendor: (cost(ask, vendor), vendor.id))


def _metal(ask: Ask, finish: Finish) -> tuple[Reason, ...]:
    """Why this metal does not become so hard."""
    if finish.way not in ("hardened", "case hardened"):
        return ()
    reach = hardness_hrc(ask.material.id, finish.way)
    if reach is None:
        return (because("outside.not_hardened", material=ask.material.id, way=finish.way),)
    if finish.hardness_hrc > reach[1]:
        why = because(
            "outside.too_hard", "hardening-practice", material=ask.material.id, wanted=finish.hardness_hrc,
            reached=reach[1],
        )  # fmt: skip
        return (why,)
    return ()


def _refused(ask: Ask, finish: Finish, vendor: Vendor) -> tuple[Reason, ...]:
    """Every limit of a vendor that speaks against it."""
    found: list[Reason] = []
    name, longest, mass = vendor.name, max(ask.part.size_mm), ask.state.blank.mass_kg
    if vendor.transit_s and not ask.shop.operators("deliver"):
        found.append(because("outside.nobody_drives", vendor=name))
    if vendor.metals and ask.material.id not in vendor.metals:
        found.append(because("outside.metal", vendor=name, material=ask.material.id))
    if longest > vendor.longest_mm:
        found.append(because("outside.long", vendor=name, has_mm=longest, allowed_mm=vendor.longest_mm))
    if mass > vendor.heaviest_kg:
        found.append(because("outside.heavy", vendor=name, has_kg=mass, allowed_kg=vendor.heaviest_kg))
    for what, wanted, (low, high) in (
        ("plating, µm", finish.thickness_um, vendor.thickness_um),
        ("hardness, HRC", finish.hardness_hrc, vendor.hardness_hrc),
        ("case, mm", finish.case_mm, vendor.case_mm),
    ):
        if wanted and not low <= wanted <= high:
            found.append(because("outside.range", vendor=name, what=what, wanted=wanted, low=low, high=high))
    return tuple(found)


def cost(ask: Ask, vendor: Vendor) -> Decimal:
    """What the lot costs there.

    Args:
        ask: the part, how many, how heavy.
        vendor: its prices.
    Returns: money to the cent, freight in it.
    """
    count = Decimal(ask.quantity)
    mass, area = Decimal(repr(ask.state.blank.mass_kg)), Decimal(repr(surface_dm2(ask)))
    goods = count * (vendor.per_piece + mass * vendor.per_kg + area * vendor.per_dm2)
    return (max(goods, vendor.minimum) + vendor.freight).quantize(Decimal("0.01"))


def surface_dm2(ask: Ask) -> float:
    """The part's surface, roughly: of its profile, else of its features' faces, at least of its box's largest sides.

    Args:
        ask: the part.
    Returns: dm2.
    """
    profile = ask.part.profile
    if profile is not None:
        rounds = sum(
            math.pi * (s.diameter_from_mm + s.diameter_to_mm) / 2.0 * s.length_mm
            for s in (*profile.outside, *profile.inside)
        )
        return (rounds + 2.0 * math.pi / 4.0 * profile.largest_mm**2) / 1e4
    x, y, z = sorted(ask.part.size_mm, reverse=True)
    known = sum(feature.area_mm2 for feature in ask.part.features)
    return max(known, 2.0 * x * y, 2.0 * (x * y + x * z + y * z) * 0.5) / 1e4


def away_s(vendor: Vendor) -> tuple[float, float]:
    """How long work is away at a vendor, over all starts in a working week.

    Args:
        vendor: its calendar.
    Returns: (median wall time from our door to its being ready, s; sd of its logarithm, delay included).
    """
    whole: list[float] = []
    weights: list[float] = []
    for day in range(WORK_DAYS):
        for minute in range(FROM_MIN, TO_MIN, STEP_MIN):
            for late, odds in ((0, 1.0 - vendor.delay_odds), (1, vendor.delay_odds)):
                if odds > 0:
                    whole.append(_away_from(vendor, day, minute, late))
                    weights.append(odds)
    order = sorted(range(len(whole)), key=lambda n: whole[n])
    total, run, median = sum(weights), 0.0, whole[order[-1]]
    for n in order:
        run += weights[n]
        if run >= total / 2.0:
            median = whole[n]
            break
    logs = [math.log(seconds) for seconds in whole]
    mean = sum(w * log for w, log in zip(weights, logs, strict=True)) / total
    scatter = sum(w * (log - mean) ** 2 for w, log in zip(weights, logs, strict=True)) / total
    return median, math.sqrt(scatter + rule("outside_spread") ** 2)


def _away_from(vendor: Vendor, day: int, minute: int, late: int) -> float:
    """Wall time if it leaves on this weekday and minute: until it is taken in, the working days there, until ready."""
    arrives = day * 1440.0 + minute + vendor.transit_s / MIN_S
    taken = next(d for d in range(day, day + 15) if d % 7 in vendor.days and d * 1440.0 + vendor.take_in_min >= arrives)
    done = taken
    for _ in range(vendor.lead_days + late):
        done += 1
        while done % 7 >= WORK_DAYS:
            done += 1
    ready = max(done * 1440.0 + vendor.ready_min, taken * 1440.0 + vendor.take_in_min)
    return (ready - day * 1440.0 - minute) * MIN_S


def _step(ask: Ask, finish: Finish, vendor: Vendor, total: Decimal) -> Step:
    who = ask.shop.operators("deliver")
    median, spread = away_s(vendor)
    away = Figure(
        max(median - vendor.transit_s, MIN_S), "s",
        (because("outside.away", vendor=vendor.name, days=float(vendor.lead_days), delay_odds=vendor.delay_odds),),
    )  # fmt: skip
    hands = ask.shop.operators("hand") or who or tuple(person.id for person in ask.shop.people)
    packing = hand_phase(
        "count and pack", ask.quantity * rule("outside_part_s") + ask.shop.habits.handling_s, who=hands,
        key="time.each", count=float(ask.quantity),
    )  # fmt: skip
    drive = Figure(vendor.transit_s, "s", (because("outside.drive", vendor=vendor.name),))
    there, back = (Phase(name, drive, rule("spread_hands"), who, False) for name in ("bring it there", "fetch it"))
    gone = Phase("away", away, spread, (), False, elsewhere=True)
    phases = (packing, there, gone, back) if vendor.transit_s else (packing, gone)
    money = because("outside.cost", vendor=vendor.name, total_money=float(total))
    cautions = [because("caution.outside_pack")]
    if finish.way in ("hardened", "case hardened"):
        cautions.append(because("caution.hardened_grows", grows_mm=rule("harden_grows") * max(ask.part.size_mm)))
    if finish.way == "plated" and ask.material.rm_mpa >= 1000.0:
        cautions.append(because("caution.hydrogen", material=ask.material.id))
    return Step(
        id=finish.way,
        station="outside",
        machine=None,
        holding=because("outside.asked", finish=finish.shown, vendor=vendor.name),
        phases=phases,
        makes=(),
        limits=(away, Figure(float(total), "money", (money,))),
        cautions=tuple(cautions),
        unattended=True,
        cash=total,
        split=(Figure(away.value / ask.quantity, "s", away.why),),
    )
