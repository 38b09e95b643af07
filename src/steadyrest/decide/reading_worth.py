"""What a reading or a question is worth in money and hours before anything is cut.

A part made to a size that the drawing did not show is made again, or mended where material was left on. So the odds of
the sizes carry a loss; a reading lowers it by what it tells, of its own size and, through film and scale, of others.
What a size other than the named one would matter for, its limits say: one that lies within them does no harm. That
something else may run on a worn surface than its limits take for granted is a risk of the same kind, and a question
settles it, not a gauge. A broken edge of another size harms nobody.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import prod

import numpy as np

from steadyrest.part.ask_next.gauges import gauge
from steadyrest.part.nominal.choice import AS_MEASURED
from steadyrest.part.nominal.habits import FloatArray
from steadyrest.part.nominal.judged import Judged, ranked
from steadyrest.part.nominal.unknowns import Unknown
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.part import Limits, Part
from steadyrest.tables.practice import rule

TRIED = 6  # sizes whose reading is thought through
OUTCOMES = 4  # of each
MOST = 3  # said
LEAST_SHARE = 0.002  # of what is at stake: less is not worth a walk to the bench
HARMLESS = ("chamfer", "fillet", "free")
ASKS = ("doubt.what_runs", "doubt.bearing_number")


@dataclass(frozen=True, slots=True)
class Again:
    """What it costs to make the lot once more: money, and hours later that it is then done."""

    money: float
    late_s: float


@dataclass(frozen=True, slots=True)
class Worth:
    """One reading or question. gauge: what to read with, or "" for a question. size: its name, such as "diameter_mm".

    wrong_before, wrong_after: odds that the part is made to a wrong size, as things stand and once this is known.
    money, time: what it spares on average.
    """

    feature: str
    size: str
    gauge: str
    ask: Reason
    wrong_before: float
    wrong_after: float
    money: Figure
    time: Figure
    why: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Risk:
    """Odds that one size, made as named, has too little material left (scrap) or too much (mended)."""

    scrap: float
    mend: float


def worth_of_readings(part: Part, judged: Judged, again: Again) -> tuple[Worth, ...]:
    """Readings and questions by the money that they spare, the most first; none where nothing is at stake.

    Args:
        part: named, with limits and doubts.
        judged: what was weighed for it.
        again: what making the lot once more costs.
    Returns: at most three.
    """
    if judged.exact or not judged.rows or again.money <= 0:
        return ()
    uses = dict(other_uses(part))
    named = [nominal_value(part, row) for row in judged.rows]
    risks = {k: risk(part, judged, k, judged.posterior.odds[k], named[k]) for k in range(len(judged.rows))}
    before = loss(judged, risks, named, uses)
    found = [of_question(feature, judged, risks, named, uses, before, again) for feature in uses]
    open_rows = sorted(risks, key=lambda k: -(risks[k].scrap + risks[k].mend))[:TRIED]
    found += [
        of_reading(part, judged, k, risks, named, uses, before, again)
        for k in open_rows
        if judged.rows[k].reading is None and risks[k].scrap + risks[k].mend > 0
    ]
    worth = [one for one in found if one.money.value >= LEAST_SHARE * again.money]
    worth.sort(key=lambda one: (-one.money.value, one.feature, one.size))
    return tuple(worth[:MOST])


def nominal_value(part: Part, row: Unknown) -> float:
    """What a size would be made to, mm."""
    size = part.feature(row.feature).size(row.name)
    return row.observed_mm if size is None or size.nominal is None else size.nominal.value


def limits_of(part: Part, row: Unknown) -> Limits | None:
    """The limits of a size, or None."""
    size = part.feature(row.feature).size(row.name)
    return None if size is None or size.nominal is None else size.nominal.limits


def risk(part: Part, judged: Judged, k: int, odds: FloatArray, named_mm: float) -> Risk:
    """What can go wrong with one size, made within the limits of what it is named, under some odds of what it is.

    Args:
        part: with limits. judged: what was weighed. k: index of the size.
        odds: (c,) of its candidates. named_mm: what it would be made to.
    Returns: the odds of scrap and of mending.
    """
    limits, row = limits_of(part, judged.rows[k]), judged.rows[k]
    if limits is None or row.kind in HARMLESS:
        return Risk(0.0, 0.0)
    slack = (limits.high_mm - limits.low_mm) / 2
    values = judged.choices[k].value_mm.copy()
    # A size that follows no rule is about where it was seen: how far off it may be, its sigma says.
    far = np.abs(values - named_mm) > slack + (2 * row.u_mm if named_mm == row.observed_mm else 0.0) + 1e-9
    more = values > named_mm
    left = more if cut_away(row) else ~more
    return Risk(float(odds[far & ~left].sum()), float(odds[far & left].sum()))


def cut_away(row: Unknown) -> bool:
    """Whether a size grows as material goes: a bore, a slot, a depth. Then one that should be larger can be mended."""
    return row.inside or row.role in ("groove width", "keyway width", "keyway depth") or row.name == "depth_mm"


def loss(judged: Judged, risks: Mapping[int, Risk], named: Sequence[float], uses: Mapping[str, float]) -> Risk:
    """Odds that any size of the part is scrap, and that any has to be mended: like sizes go wrong together."""
    worst: dict[tuple[str, str, float], Risk] = {}
    for k, one in risks.items():
        row = judged.rows[k]
        key = (row.kind, row.name, round(named[k], 4))
        had = worst.get(key, Risk(0.0, 0.0))
        worst[key] = Risk(max(had.scrap, one.scrap), max(had.mend, one.mend))
    scrap = 1 - prod(1 - one.scrap for one in worst.values()) * prod(1 - share for share in uses.values())
    return Risk(scrap, 1 - prod(1 - one.mend for one in worst.values()))


def money_share(whole: Risk) -> float:
    """What is lost on average, as a share of making the lot once more; nobody mends what is scrap."""
    return whole.scrap + (1 - whole.scrap) * whole.mend * rule("mend_share")


def of_reading(
    part: Part,
    judged: Judged,
    k: int,
    risks: Mapping[int, Risk],
    named: Sequence[float],
    uses: Mapping[str, float],
    before: Risk,
    again: Again,
) -> Worth:
    """What reading one size by hand spares: the loss before it less the mean loss after, made to what is then named."""
    row = judged.rows[k]
    with_what, u_mm = gauge(row)
    outcomes = ranked(judged.choices[k], judged.posterior.odds[k])[:OUTCOMES]
    total = sum(one.odds for one in outcomes)
    after_share = after_wrong = 0.0
    asked = sorted(risks, key=lambda j: -(risks[j].scrap + risks[j].mend))[:TRIED]
    for one in outcomes:
        told = judged.sums.with_reading(k, one.value_mm + one.fit.offset_mm, u_mm).odds({k, *asked})
        new, made = dict(risks), list(named)
        for j in {k, *asked}:
            best = ranked(judged.choices[j], told[j])[0]
            made[j] = best.value_mm if j == k or best.fit.source != AS_MEASURED else named[j]
            new[j] = risk(part, judged, j, told[j], made[j])
        left = loss(judged, new, made, uses)
        after_share += one.odds / total * money_share(left)
        after_wrong += one.odds / total * wrong(left)
    ask = because("worth.read", gauge=with_what, feature=row.feature, size=row.name.removesuffix("_mm"))
    return worth(row.feature, row.name, with_what, ask, before, (after_share, after_wrong), again)


def of_question(
    feature: str,
    judged: Judged,
    risks: Mapping[int, Risk],
    named: Sequence[float],
    uses: Mapping[str, float],
    before: Risk,
    again: Again,
) -> Worth:
    """What it spares to ask what runs on a surface."""
    left = loss(judged, risks, named, {name: share for name, share in uses.items() if name != feature})
    ask = because("worth.ask", feature=feature)
    return worth(feature, "diameter_mm", "", ask, before, (money_share(left), wrong(left)), again)


def wrong(whole: Risk) -> float:
    """Odds that the part is not right at first."""
    return 1 - (1 - whole.scrap) * (1 - whole.mend)


def worth(
    feature: str, size: str, with_what: str, ask: Reason, before: Risk, after: tuple[float, float], again: Again
) -> Worth:
    """The reading or question with what it spares. after: share of the cost lost on average, and odds of wrong."""
    spared = max(0.0, money_share(before) - after[0])
    why = (
        because("worth.spares", spared_money=spared * again.money, spared_s=spared * again.late_s),
        because("worth.wrong", wrong_odds=wrong(before)),
        because("worth.again", again_money=again.money, late_s=again.late_s),
    )
    return Worth(
        feature, size, with_what, ask, wrong(before), min(after[1], wrong(before)),
        Figure(spared * again.money, "money", why), Figure(spared * again.late_s, "s", why), why,
    )  # fmt: skip


def other_uses(part: Part) -> Iterator[tuple[str, float]]:
    """Features whose limits take a use for granted, and the odds that another use would refuse what is made."""
    asked = {dict(d.what.given).get("feature") for d in part.doubts if d.what.key in ASKS}
    for feature in part.features:
        nominal = feature.sizes[0].nominal if feature.sizes else None
        if feature.id in asked and nominal is not None and nominal.limits is not None:
            share = rule("other_use_share") * refused(nominal.limits)
            if share > 0:
                yield feature.id, share


def refused(limits: Limits) -> float:
    """How much of what lies within these limits another use would refuse: mean over the uses that are named."""
    others = [dict(reason.given) for reason in limits.why if reason.key.startswith("limits.if_")]
    shares: list[float] = []
    for other in others:
        low, high = other.get("low_mm"), other.get("high_mm")
        if isinstance(low, float) and isinstance(high, float):
            common = max(0.0, min(high, limits.high_mm) - max(low, limits.low_mm))
            shares.append(1 - common / max(limits.high_mm - limits.low_mm, 1e-9))
    return sum(shares) / len(shares) if shares else 0.0
