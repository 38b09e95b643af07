"""What the stock answers, as the contract prints it and as words."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal

from steadyrest.cli.answers import Json, number, sentences
from steadyrest.desk.cut_stock import CarryAnswer, CutAnswer, KeepAnswer
from steadyrest.stock.carry import CarryOption
from steadyrest.stock.cutting.plan import CutBar, to_the_cent
from steadyrest.units import show_length, show_mass, show_time
from steadyrest.wording.say import say

CENT = Decimal("0.01")


def cents(amount: float) -> str:
    """An amount as the contract prints it: a decimal string, half up to the cent."""
    return str(Decimal(repr(amount)).quantize(CENT, ROUND_HALF_UP))


def cut_answer(answer: CutAnswer) -> Json:
    """The contract's section 2 document of `stock cut`."""
    plan = answer.plan
    return {
        "cuts": [
            {
                "piece": bar.piece.id,
                "parts": [part.id for part in bar.parts],
                "rest_mm": number(float(bar.rest_mm)),
                "kept": bar.kept,
                "cost": to_the_cent(bar.cost),
            }
            for bar in plan.bars
        ],
        "unplaced": [{"part": one.part.id, "count": one.count} for one in plan.unplaced],
        "cost": to_the_cent(plan.cost),
        "currency": answer.wanted.currency,
        "proven": plan.proven,
        "bound": to_the_cent(plan.bound, down=True),
        "gap": to_the_cent(plan.gap),
        "cautions": sentences(answer.cautions),
        "doubts": [*sentences(plan.doubts), *(f"{place}: this key was not read" for place in answer.unread)],
    }


def cut_lines(answer: CutAnswer) -> Iterator[str]:
    """The same in words: what it costs and how sure that is, then bar by bar in the order of cutting."""
    plan, currency = answer.plan, answer.wanted.currency
    sure = "nothing is cheaper" if plan.proven else f"at most {to_the_cent(plan.gap)} more than the least possible"
    yield f"{len(plan.bars)} pieces opened; {to_the_cent(plan.cost)} {currency}".rstrip() + f"; {sure}"
    yield from (f"  caution: {say(caution)}" for caution in answer.cautions)
    yield from (_bar_line(bar) for bar in plan.bars)
    yield from (f"  not made: {one.count} of {one.part.id}" for one in plan.unplaced)
    yield from (f"  {say(doubt)}" for doubt in plan.doubts)
    yield from (f"  {place}: this key was not read" for place in answer.unread)


def _bar_line(bar: CutBar) -> str:
    parts = ", ".join(part.id for part in bar.parts)
    rest = f"rest {show_length(float(bar.rest_mm), 'mm')}{', kept' if bar.kept else ''}"
    return f"  {bar.piece.id} ({show_length(float(bar.piece.length_mm), 'mm')}): {parts}; {rest}"


def carry_answer(answer: CarryAnswer) -> Json:
    """The contract's section 2 document of `stock carry`."""
    return {
        "options": [carry_option(option) for option in answer.options],
        "chosen": None
        if answer.chosen is None
        else {"chains": list(answer.chosen.chains), "cost": cents(answer.chosen.cost), "links": answer.chosen.links},
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
