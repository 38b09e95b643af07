"""What the stock answers, as the contract prints it and as words."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal

from steadyrest.cli.answers import Json, number, sentences
from steadyrest.desk.cutting.cut_stock import CarryAnswer, CutAnswer, HaulAnswer, KeepAnswer
from steadyrest.papers.cut_list import ends_words
from steadyrest.stock.carry import CarryOption
from steadyrest.stock.cutting.in_order import Sawing, SawnBar
from steadyrest.stock.cutting.plan import CutBar, to_the_cent
from steadyrest.units import show_length, show_mass, show_time
from steadyrest.wording.say import say

CENT = Decimal("0.01")


def cents(amount: float) -> str:
    """An amount as the contract prints it: a decimal string, half up to the cent."""
    return str(Decimal(repr(amount)).quantize(CENT, ROUND_HALF_UP))


def cut_answer(answer: CutAnswer) -> Json:
    """The contract's section 2 document of `stock cut`."""
    plan, sawing = answer.plan, answer.sawing
    more = answer.wanted.in_order
    return {
        "cuts": [
            {
                "piece": one.bar.piece.id,
                "parts": [part.id for part in one.bar.parts],
                "rest_mm": number(float(one.bar.rest_mm)),
                "kept": one.bar.kept,
                "cost": to_the_cent(one.bar.cost),
                **(_as_sawn(one, k, sawing) if more else {}),
            }
            for k, one in enumerate(sawing.bars)
        ],
        **(_saw(sawing) if more else {}),
        "unplaced": [{"part": one.part.id, "count": one.count} for one in plan.unplaced],
        "cost": to_the_cent(plan.cost),
        "currency": answer.wanted.currency,
        "proven": plan.proven,
        "bound": to_the_cent(sawing.least, down=True),
        "gap": to_the_cent(plan.gap),
        "cautions": sentences(answer.cautions),
        "doubts": [*sentences(plan.doubts), *(f"{place}: this key was not read" for place in answer.unread)],
    }


def _as_sawn(one: SawnBar, k: int, sawing: Sawing) -> dict[str, Json]:
    """A bar in the order of cutting."""
    return {
        "cut_with": None if one.together == k else sawing.bars[one.together].bar.piece.id,
        "rest_kg": number(one.rest_kg),
        "order": [
            {
                "part": step.lying.part.id,
                "from_mm": number(step.lying.from_mm),
                "to_mm": number(step.lying.to_mm),
                "slopes": [number(step.lying.left), number(step.lying.right)],
                "shares_cut": step.lying.shares,
                "moved_kg": number(step.moved_kg),
                "part_kg": number(step.part_kg),
            }
            for step in one.steps
        ],
    }


def _saw(sawing: Sawing) -> dict[str, Json]:
    cost = None if sawing.saw_cost is None else to_the_cent(sawing.saw_cost)
    total = None if sawing.saw_cost is None else to_the_cent(sawing.total)
    return {"saw_cuts": sawing.cuts, "saw_s": number(sawing.saw_s), "saw_cost": cost, "total": total}


def cut_lines(answer: CutAnswer) -> Iterator[str]:
    """The same in words: what it costs and how sure that is, then bar by bar in the order of cutting."""
    plan, currency = answer.plan, answer.wanted.currency
    sure = "nothing is cheaper" if plan.proven else f"at most {to_the_cent(plan.gap)} more than the least possible"
    yield f"{len(plan.bars)} pieces opened; {to_the_cent(plan.cost)} {currency}".rstrip() + f"; {sure}"
    yield from (f"  caution: {say(caution)}" for caution in answer.cautions)
    if answer.sawing.saw_s is not None and answer.sawing.saw_cost is not None:
        besides, total = (
            f"{to_the_cent(amount)} {currency}".rstrip() for amount in (answer.sawing.saw_cost, answer.sawing.total)
        )
        saw_time = f"{answer.sawing.cuts} cuts, {show_time(answer.sawing.saw_s)} at the saw"
        yield f"  {saw_time}, {besides} besides; {total} in all"
    for k, one in enumerate(answer.sawing.bars):
        yield _bar_line(one.bar)
        yield from _step_lines(one, k, answer.sawing) if answer.wanted.in_order else ()
    yield from (f"  not made: {one.count} of {one.part.id}" for one in plan.unplaced)
    yield from (f"  {say(doubt)}" for doubt in plan.doubts)
    yield from (f"  {place}: this key was not read" for place in answer.unread)


def _bar_line(bar: CutBar) -> str:
    parts = ", ".join(part.id for part in bar.parts)
    rest = f"rest {show_length(float(bar.rest_mm), 'mm')}{', kept' if bar.kept else ''}"
    return f"  {bar.piece.id} ({show_length(float(bar.piece.length_mm), 'mm')}): {parts}; {rest}"


def _step_lines(one: SawnBar, k: int, sawing: Sawing) -> Iterator[str]:
    """Cut by cut: what comes off, its ends, what is moved."""
    if one.together != k:
        yield f"    cut at once with {sawing.bars[one.together].bar.piece.id}"
    for step in one.steps:
        part = step.lying.part
        ends = ends_words(part.ends_deg)
        said = [f"{part.id} {show_length(float(part.length_mm), 'mm')}", ends]
        said += ["one cut with the one before"] if step.lying.shares and part.mitred else []
        if step.moved_kg is not None and step.part_kg is not None:
            said.append(f"{show_mass(step.part_kg, 'kg')} of {show_mass(step.moved_kg, 'kg')} on the saw")
        yield "    " + ", ".join(word for word in said if word)


def carry_answer(answer: CarryAnswer) -> Json:
    """The contract's section 2 document of `stock carry`."""
    return {
        "options": [carry_option(option) for option in answer.options],
        "chosen": None
        if answer.chosen is None
        else {"chains": list(answer.chosen.chains), "cost": cents(answer.chosen.cost), "links": answer.chosen.links},
        "scrapped_link": {
            "alone": cents(answer.scrapped.alone),
            "spare": cents(answer.scrapped.spare),
            "odds": number(answer.scrapped.odds),
        },
        "lots": [
            {
                "due": one.due,
                "count": one.count,
                "blanks": [{"blank": blank, "links": links} for blank, links in one.chains],
                "spare": one.spare,
            }
            for one in answer.made_for
        ],
        "currency": answer.wanted.currency,
        "cautions": sentences(answer.cautions),
        "doubts": [f"{place}: this key was not read" for place in answer.unread],
    }


def carry_option(option: CarryOption) -> Json:
    return {
        "links": option.links,
        "chains": len(option.chains),
        "bar_mm": number(option.bar_mm),
        "handling_s": number(option.handling_s),
        "cost": cents(option.cost),
        "tip_mm": number(option.tip.value),
        "allowed": option.allowed,
        "limits": sentences(option.limits),
        "blank_kg": number(option.blank_kg),
    }


def carry_lines(answer: CarryAnswer) -> Iterator[str]:
    """The same in words: the choice first, then every other and what speaks against it."""
    chosen = answer.chosen
    if chosen is None:
        yield "No number of links is allowed:"
    else:
        chains = " + ".join(str(links) for links in chosen.chains)
        yield f"{chosen.links} links a blank: {chains}; {cents(chosen.cost)} {answer.wanted.currency}".rstrip()
        yield from (f"  caution: {say(caution)}" for caution in answer.cautions)
        for one in answer.made_for:
            blanks = ", ".join(f"{links} of blank {blank}" for blank, links in one.chains)
            spare = f"; {one.spare} more of it for the next" if one.spare else ""
            yield f"  due {one.due}: {one.count}, {blanks}{spare}"
        lost, money = answer.scrapped, f" {answer.wanted.currency}".rstrip()
        yield (
            f"  a scrapped link costs {cents(lost.alone)}{money} as a blank of its own, {cents(lost.spare)}{money} as "
            f"one more from the start: that pays where more than {100 * lost.odds:.0f} of 100 lots lose one"
        )
    for option in answer.options:
        said = "; ".join(say(reason) for reason in option.limits) or "allowed"
        yield (
            f"  {option.links:>2} links, {len(option.chains)} blanks: {show_length(option.bar_mm, 'mm')} of bar, "
            f"{show_time(option.handling_s)} by hand, {cents(option.cost)}, blank {show_mass(option.blank_kg, 'kg')}, "
            f"tip {option.tip.value:.4f} mm: {said}"
        )
    yield from (f"  {place}: this key was not read" for place in answer.unread)


def keep_answer(answer: KeepAnswer) -> Json:
    """The contract's section 2 document of `stock keep`."""
    return {
        "pieces": [
            {"id": one.id, "value": cents(one.value), "keep": one.keep, "scrap": cents(one.scrap)}
            for one in answer.worths
        ],
        "currency": answer.wanted.currency,
        "doubts": [f"{place}: this key was not read" for place in answer.unread],
    }


def keep_lines(answer: KeepAnswer) -> Iterator[str]:
    """The same in words."""
    for one in answer.worths:
        what = "keep it" if one.keep else "scrap it"
        worth = f"worth {cents(one.value)}, as scrap {cents(one.scrap)}"
        yield f"{one.id}: {what}; {worth} {answer.wanted.currency}".rstrip()
    yield from (f"  {place}: this key was not read" for place in answer.unread)


def haul_answer(answer: HaulAnswer) -> Json:
    """What `stock haul --json` prints."""
    return {
        "heaps": [
            {
                "id": one.heap.id,
                "there_m3": number(one.there_m3),
                "worth": cents(one.worth),
                "every_days": days(one.every_days),
                "days_left": days(one.days_left),
                "due": one.due,
                "apart": one.apart,
                "apart_per_year": cents(one.apart_per_year),
                "why": sentences(one.why),
            }
            for one in answer.heaps
        ],
        "currency": answer.wanted.currency,
        "cautions": sentences(answer.cautions),
        "doubts": [f"{place}: this key was not read" for place in answer.unread],
    }


def days(found: float) -> float | None:
    """Days; None: never."""
    return number(found) if math.isfinite(found) else None


def haul_lines(answer: HaulAnswer) -> Iterator[str]:
    """The same in words: what is due first."""
    money = f" {answer.wanted.currency}".rstrip()
    for one in sorted(answer.heaps, key=lambda one: (not one.due, one.days_left)):
        later = "no haul pays" if one.days_left == math.inf else f"in {one.days_left:.0f} days"
        when = "let it go now" if one.due else later
        apart = "keep it apart" if one.apart else "put it with the rest"
        yield f"{one.heap.id}: {when}; {one.there_m3:.2f} m3 there, worth {cents(one.worth)}{money}; {apart}"
        yield from (f"  {say(reason)}" for reason in one.why)
    yield from (f"  caution: {say(caution)}" for caution in answer.cautions)
    yield from (f"  {place}: this key was not read" for place in answer.unread)
