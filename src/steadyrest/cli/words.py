"""Answers in words, for a person at a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from steadyrest.desk.books.rules import rules_of
from steadyrest.part.ask_next.before_leaving import before_leaving
from steadyrest.part.datums import places
from steadyrest.shop.figure import Reason
from steadyrest.shop.floor import Material
from steadyrest.shop.part import Feature, Part
from steadyrest.shop.work import Route, Step, Undone
from steadyrest.units import show_length, show_limits, show_mass, show_money, show_odds, show_time
from steadyrest.wording.charted import charted
from steadyrest.wording.moments import moment
from steadyrest.wording.say import SIZE_WORDS, Reader, figure, say

if TYPE_CHECKING:
    from steadyrest.demo.story import Told
    from steadyrest.desk.plan.plan_part import PlanAnswer

CHARTED = 4
SPLIT = ("cutting", "getting there", "hands", "first part")
ANSWERS = {"yes": "Take it.", "no": "Do not take it.", "yes if": "Take it, if:"}


def part_words(part: Part, material: Material | None, reader: Reader | None = None) -> str:
    """What a part is.

    Args:
        part: as read.
        material: for the mass, or None.
        reader: whose units.
    Returns: lines.
    """
    reader = reader or Reader()
    return "\n".join(part_lines(part, material, reader))


def part_lines(part: Part, material: Material | None, reader: Reader) -> Iterator[str]:
    sizes = " x ".join(show_length(length, reader.unit) for length in part.size_mm)
    turned = "a turned part" if part.axisymmetric else "not a turned part"
    yield f"{part.name}: a {part.kind}, {sizes}, {turned}"
    yield f"  unit: {part.unit.name or 'not said'} ({part.unit.state}): {say(part.unit.why, reader)}"
    if material is not None and part.volume_mm3 is not None and part.unit.state != "ask":
        yield f"  weighs {show_mass(part.volume_mm3 * 1e-9 * material.density_kg_m3, 'kg')} in {material.name}"
    for body in part.bodies:
        yield f"  body {body.number}: {' x '.join(show_length(length, reader.unit) for length in body.size_mm)}"
    for feature in part.features:
        yield f"  {feature_words(feature, reader)}{place_words(part, feature, reader)}"
    for datum in part.datums:
        what = f"face {datum.feature}" if datum.feature else "the axis" if datum.kind == "axis" else "a face"
        yield f"  places from {datum.name}: {what}: {'; '.join(say(reason, reader) for reason in datum.why)}"
    for pattern in part.patterns:
        across = f" on {show_length(pattern.diameter_mm, reader.unit)}" if pattern.diameter_mm else ""
        yield f"  {pattern.kind}: {pattern.count}{across} ({', '.join(pattern.features)})"
    for kind in dict.fromkeys(r.kind for r in part.relations):
        held = [r for r in part.relations if r.kind == kind and r.imposed]
        if held:
            moved = show_length(max(r.misfit_mm for r in held), reader.unit)
            yield f"  fitted together as {kind}: {len(held)} time(s); no surface moved by more than {moved}"
    if part.stock_size:
        yield f"  the outside is a stock size: {part.stock_size}"
    for doubt in part.doubts:
        yield f"  doubt: {say(doubt.what, reader)}. {say(doubt.ask, reader)}"
    if part.next_reading:
        why = "; ".join(say(reason, reader) for reason in part.next_reading.why)
        yield f"  next reading: {part.next_reading.feature} with {part.next_reading.gauge}: {why}"
    questions = before_leaving(part)
    if questions:
        yield "  before the visitor leaves:"
    for rank, question in enumerate(questions, start=1):
        yield f"    {rank}. {say(question.ask, reader)}"
        yield from (f"       caution: {say(caution, reader)}" for caution in question.cautions)


def feature_words(feature: Feature, reader: Reader) -> str:
    """One feature in a line: its sizes as the drawing would show them, how sure, wear."""
    said: list[str] = []
    for size in feature.sizes:
        named = size.name.rsplit("_", 1)[0]
        if size.nominal is not None:
            said.append(f"{named} {size.nominal.shown} ({size.nominal.state})")
        else:
            shown = f"{size.estimate:.2f}°" if size.name.endswith("deg") else show_length(size.estimate, reader.unit)
            said.append(f"{named} {shown}")
    worn = f", worn {show_length(feature.wear_mm, reader.unit)} deep" if feature.wear_mm else ""
    return f"{feature.id:>4} {feature.kind}: {', '.join(said)}{worn}"


def place_words(part: Part, feature: Feature, reader: Reader) -> str:
    """Where a feature is from the part's datums; nothing for what turns about the axis."""
    found = places(part.datums, feature)
    if any(datum.kind == "axis" for datum in part.datums) and not any(p.datum == "A" and p.mm for p in found):
        return ""
    said = ", ".join(f"{show_length(place.mm, reader.unit)} from {place.datum}" for place in found)
    return f"; {said}" if said else ""


def plan_words(answer: PlanAnswer) -> str:
    """All six answers.

    Args:
        answer: from the desk.
    Returns: lines.
    """
    return "\n".join(plan_lines(answer))


def plan_lines(answer: PlanAnswer) -> Iterator[str]:
    shop = answer.shop
    reader = Reader("in" if shop.unit == "in" else "mm", shop.currency)
    questions = (
        ("1. What is it?", part_lines(answer.part, answer.material, reader)),
        ("2. From what, and how?", route_lines(answer, reader)),
        ("3. By when?", promise_lines(answer, reader)),
        ("4. For how much?", price_lines(answer, reader)),
        ("5. Should I take it?", take_lines(answer, reader)),
        ("6. Is it right?", measure_lines(answer, reader)),
    )
    for question, lines in questions:
        yield question
        yield from lines
        yield ""
    if answer.example_shop:
        yield "The shop is the invented example; name your own with --shop."


def promise_lines(answer: PlanAnswer, reader: Reader) -> Iterator[str]:
    promise, zone = (answer.best.promise if answer.best else None), answer.shop.timezone
    if promise is None:
        yield "  nothing is planned"
        return
    pegs = "|" * promise.pegs + "." * (10 - promise.pegs)
    yield f"  {pegs}  {show_odds(promise.odds.value)} by {moment(answer.due, zone)}: {promise.state}"
    half = moment(promise.finish_p50, zone) if promise.finish_p50 else "no day within the calendar"
    yield f"  half the time by {half}"
    if promise.can_promise:
        yield f"  to promise at {show_odds(promise.wanted_odds)}: {moment(promise.can_promise, zone)}"
    yield from indented(promise.why, reader)
    for other in promise.others:
        yield f"  {other.job} ({other.what}): {other.before} before, {other.after} after"


def price_lines(answer: PlanAnswer, reader: Reader) -> Iterator[str]:
    price = answer.best.price if answer.best else None
    if price is None:
        yield "  nothing is priced"
        return
    offer, walk_away = (show_money(one.rounded().amount, one.currency) for one in (price.offer, price.walk_away))
    low, middle, high = (one.value for one in (price.cost_p10, price.cost_p50, price.cost_p90))
    yield f"  offer {offer}; walk away below {walk_away}"
    yield f"  it costs {low:.0f} to {high:.0f} {price.currency}, half the time below {middle:.0f}"
    yield from indented((*price.offer_why, *price.walk_away_why), reader)
    hourly, won = price.by_the_hour, price.winning
    if hourly is not None:
        limit = show_money(hourly.not_to_exceed.amount, price.currency)
        yield f"  by the hour: not above {limit}"
        yield from indented(hourly.why, reader)
    if won is not None:
        yield f"  the offer is taken {show_odds(won.odds)}"
        yield from indented(won.why, reader)
    if price.lost is not None and price.again is not None:
        yield f"  parts lost {100 * price.lost.value:.1f} in 100, cut once more {100 * price.again.value:.1f} in 100"
        yield from indented(price.spare_why, reader)
    if price.deposit is not None:
        yield f"  before the work begins: {show_money(price.deposit.amount, price.currency)}"


def take_lines(answer: PlanAnswer, reader: Reader) -> Iterator[str]:
    yield f"  {ANSWERS[answer.take.answer]}"
    yield from indented(answer.take.told, reader)
    if answer.take.nearest_yes is not None and answer.take.answer == "no":
        yield f"  The nearest yes: {say(answer.take.nearest_yes, reader)}"


def measure_lines(answer: PlanAnswer, reader: Reader) -> Iterator[str]:
    alike: dict[str, list[str]] = {}
    for measure in answer.measures:
        accept = "this gauge cannot prove it"
        if measure.accept_mm:
            accept = "good from " + show_limits(*measure.accept_mm, unit=reader.unit)
        what = SIZE_WORDS.get(measure.size, measure.size)
        gauge = measure.gauge_name or "no gauge on the list"
        alike.setdefault(f"{what} {measure.shown}: {gauge}, {accept}", []).append(measure.feature)
    for line, features in alike.items():
        yield f"  {', '.join(features)} {line}"


def route_lines(answer: PlanAnswer, reader: Reader) -> Iterator[str]:
    names = {one.id: one.name for one in (*answer.shop.people, *answer.shop.machines, *answer.shop.gauges)}
    best = answer.best
    if best is not None:
        yield from indented(best.route.why, reader)
        for count, step in enumerate(best.route.steps, 1):
            on = f" on the {names[step.machine]}" if step.machine else ""
            alone = ", may run with nobody there" if step.unattended and step.machine else ""
            runs = f", machine {show_time(step.machine_s)}" if step.machine else ""
            yield f"  {count}. {step.station}{on}: hands {show_time(step.person_s)}{runs}{alone}"
            yield f"     {say(step.holding, reader)}"
            yield from split_lines(step)
            for limit in step.limits[:2]:
                yield f"     {figure(limit, reader)}: {say(limit.why[0], reader)}"
            yield from dict.fromkeys(f"     {say(note, reader)}" for note in step.notes)
            for point in step.hold_points:
                limits = show_limits(point.low_mm, point.high_mm, unit=reader.unit)
                yield f"     Stop and measure {point.feature}: {limits} with {names.get(point.gauge, point.gauge)}"
            if step.machine and step.unattended_why:
                yield f"     somebody stays: {'; '.join(say(why, reader) for why in step.unattended_why)}"
            yield from dict.fromkeys(f"     Caution: {say(caution, reader)}" for caution in step.cautions)
        used = dict.fromkeys(one for step in best.route.steps for one in rules_of(step))
        if used:
            yield "  Rules of thumb that decided something above (`shop rules` says more):"
            yield from (f"     {one.note}: {one.value} ({one.standing})" for one in used)
        yield from chart_lines(best.route, reader)
    for route in (best.route,) if best else tuple(one.route for one in answer.routes):
        floor = [one for one in route.refused if one.station != "stock"]
        pieces = len(route.refused) - len(floor)
        if pieces:
            yield f"  {pieces} other pieces on the rack will not do (--json says why of each)"
        yield from refused_lines((*route.cannot, *floor), names, len(answer.part.features), reader)


def refused_lines(refused: Iterable[Undone], names: Mapping[str, str], features: int, reader: Reader) -> Iterator[str]:
    """Who says no to what, and why; the same no to several features once, with all of them."""
    alike: dict[tuple[str, str], list[str]] = {}
    for one in refused:
        who = names.get(one.machine or "", one.machine or one.station)
        why = "; ".join(dict.fromkeys(say(reason, reader) for reason in one.reasons))
        alike.setdefault((who, why), []).extend(one.features)
    for (who, why), found in alike.items():
        ids = tuple(dict.fromkeys(found))
        what = f" ({', '.join(ids)})" if 0 < len(ids) < features else ""
        yield f"  no: {who}{what}: {why}"


def split_lines(step: Step) -> Iterator[str]:
    """Where one part's time goes, and which tools it takes."""
    if len(step.split) == len(SPLIT):
        cut, there, hands, first = (show_time(one.value) for one in step.split)
        more = f"; the first one {first} more" if step.split[3].value > 0 else ""
        yield f"     each part: cutting {cut}, getting there {there}, hands {hands}{more}"
    if step.tools:
        yield f"     tools: {', '.join(step.tools)}"


def chart_lines(route: Route, reader: Reader) -> Iterator[str]:
    """The sizes that are least likely held, and every one that something would help; those alike in one line."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for one in route.chart:
        told = (charted(one, reader), *(say(reason, reader) for reason in one.advice))
        alike.setdefault(told, []).append(one.feature)
    shown = [told for n, told in enumerate(alike) if n < CHARTED or len(told) > 1]
    if shown:
        yield "  Will it hold the sizes?"
    for line, *advice in shown:
        yield f"     {', '.join(alike[(line, *advice)])} {line}"
        yield from (f"       {sentence}" for sentence in advice)
    if len(shown) < len(alike):
        yield f"     and {len(alike) - len(shown)} more at least as likely (--json has them all)"


def indented(reasons: Iterable[Reason], reader: Reader) -> Iterator[str]:
    for line in dict.fromkeys(say(reason, reader) for reason in reasons):
        yield f"  {line}"


def demo_words(told: Told) -> str:
    """The demo's story, its six answers, and where everything lies.

    Args:
        told: what the demo did.
    Returns: lines.
    """
    lines = [
        told.story,
        "",
        plan_words(told.answer),
        "",
        "Papers:",
        *(f"  {file}" for file in told.files),
        "",
        told.open_with,
    ]
    return "\n".join(lines)
