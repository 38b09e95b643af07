"""Which one reading by hand to take next: the one that lowers the uncertainty of what matters most.

For each size that could be read, the likeliest outcomes are tried one by one and the whole part is judged again under
each: a reading also tells film and scale, and so other sizes. What stays uncertain counts more where limits are tight.
"""

from __future__ import annotations

from math import hypot, log

import numpy as np
import numpy.typing as npt

from steadyrest.part.ask_next.gauges import MATE, PITCH_GAUGE, gauge
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.judged import Judged, ranked
from steadyrest.part.nominal.unknowns import Unknown, is_worn, worn_all_over
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import SURE, Feature, NextReading, Part

IntArray = npt.NDArray[np.int64]

TRIED = 5
ASKED = 40  # sizes besides the one that is read; the next ones are too sure for a reading to tell much of them
OUTCOMES = 3
WORTH_NATS = 0.05
USUAL_WIDTH_MM = 0.1
WORN_COUNTS = 1.5
MOST_NATS = log(5.0)
NAMELESS = 1.5  # nats that a thread without a name counts for, by judgement


def next_reading(part: Part, judged: Judged) -> NextReading | None:
    """The reading to take next.

    Args:
        part: named, with limits.
        judged: what was weighed.
    Returns: feature, gauge, and why; None for a solid model, or where no reading would tell anything worth taking it.
    """
    if judged.exact or not judged.rows:
        return None
    groups = same_values(judged)
    before = entropies(groups, judged.posterior.odds)
    weights = np.array([tightness(part, row) for row in judged.rows])
    direct = np.array([direct_gain(part, row) for row in judged.rows])
    worth = weights * (before + direct)
    open_rows = [k for k in np.argsort(-worth, kind="stable") if judged.rows[k].reading is None][:TRIED]
    gains = {
        int(k): weights[k] * direct[k] + told_by(judged, groups, k=int(k), before=before, weights=weights)
        for k in open_rows
    }
    if not gains:
        thread = thread_reading(part)
        return None if thread is None else thread[1]
    best = max(gains, key=lambda k: gains[k])
    thread = thread_reading(part)
    if thread is not None and thread[0] > gains[best]:
        return thread[1]
    return said(part, judged, best, before, direct) if gains[best] >= WORTH_NATS else None


def thread_reading(part: Part) -> tuple[float, NextReading] | None:
    """What a pitch gauge tells of the thread that is known least, nats; None where every thread is sure.

    Args:
        part: with threads as they were found; their names stand in their reasons until all else is named.
    Returns: gain and reading.
    """
    best: tuple[float, NextReading] | None = None
    for feature in part.features:
        pitch = feature.size("pitch_mm")
        if feature.kind != "thread" or (pitch is not None and pitch.reading is not None):
            continue
        names = [dict(reason.given) for reason in feature.why if reason.key in ("threads.named", "threads.or")]
        told = [(str(given["name"]), odds) for given in names if isinstance(odds := given["name_odds"], float)]
        if told and told[0][1] >= SURE:
            continue
        left = max(0.0, 1 - sum(odds for _, odds in told))
        gain = -sum(odds * log(odds) for odds in (*(odds for _, odds in told), left) if odds > 0) if told else NAMELESS
        if best is not None and best[0] >= gain:
            continue
        if len(told) > 1:
            why = because("reading.decides_thread", feature=feature.id, first=told[0][0], second=told[1][0])
        else:
            why = because("reading.names_thread", feature=feature.id)
        best = gain, NextReading(feature.id, PITCH_GAUGE, (why, because("reading.on_crests")))
    return best


def same_values(judged: Judged) -> tuple[IntArray, ...]:
    """For each size, (c,) which candidates mean the same value; the free one stands alone."""
    found: list[IntArray] = []
    for choice in judged.choices:
        _, groups = np.unique(np.round(choice.value_mm[:-1], 5), return_inverse=True)
        found.append(np.append(groups, groups.max(initial=-1) + 1).astype(np.int64))
    return tuple(found)


def entropies(groups: tuple[IntArray, ...], odds: tuple[FloatArray, ...]) -> FloatArray:
    """(n,) how undecided each size is, nats.

    Args:
        groups: which candidates mean the same value.
        odds: of each candidate.
    Returns: one entropy a size.
    """
    found: list[float] = []
    for same, row_odds in zip(groups, odds, strict=True):
        shares = np.bincount(same, weights=row_odds)
        shares = shares[shares > 1e-12]
        found.append(float(-(shares * np.log(shares)).sum()))
    return np.array(found)


def tightness(part: Part, row: Unknown) -> float:
    """How much an undecided size matters: more where its limits are narrow, and more where it is worn."""
    feature = part.feature(row.feature)
    size = feature.size(row.name)
    worn = WORN_COUNTS if is_worn(part, feature) else 1.0
    limits = size.nominal.limits if size is not None and size.nominal is not None else None
    if limits is None or limits.high_mm <= limits.low_mm:
        return 0.3 * worn
    return worn * float(np.clip((USUAL_WIDTH_MM / (limits.high_mm - limits.low_mm)) ** 0.5, 0.2, 3.0))


def direct_gain(part: Part, row: Unknown) -> float:
    """What a reading tells about this size itself: how much coarser the scan is than a sixth of the limits, nats."""
    size = part.feature(row.feature).size(row.name)
    limits = size.nominal.limits if size is not None and size.nominal is not None else None
    if limits is None or limits.high_mm <= limits.low_mm:
        return 0.0
    scan = hypot(row.u_mm, habits().scan["own_mm"])
    return float(np.clip(log(scan / max(gauge(row)[1], (limits.high_mm - limits.low_mm) / 6)), 0.0, MOST_NATS))


def told_by(judged: Judged, groups: tuple[IntArray, ...], *, k: int, before: FloatArray, weights: FloatArray) -> float:
    """Expected fall of the weighted entropy of all sizes if size k is read; of the others only the most undecided."""
    row = judged.rows[k]
    undecided = weights * before
    asked = {k, *(int(j) for j in np.argsort(-undecided, kind="stable")[:ASKED] if undecided[j] > WORTH_NATS)}
    outcomes = ranked(judged.choices[k], judged.posterior.odds[k])[:OUTCOMES]
    total = sum(one.odds for one in outcomes)
    fall = 0.0
    for one in outcomes:
        after = judged.sums.with_reading(k, one.value_mm + one.fit.offset_mm, gauge(row)[1]).odds(asked)
        rows = list(after)
        left = entropies(tuple(groups[j] for j in rows), tuple(after[j] for j in rows))
        fall += one.odds / total * float((weights[rows] * (before[rows] - left)).sum())
    return fall


def said(part: Part, judged: Judged, k: int, before: FloatArray, direct: FloatArray) -> NextReading:
    """The reading in words: which size, where along it, what it decides."""
    row = judged.rows[k]
    feature = part.feature(row.feature)
    order = ranked(judged.choices[k], judged.posterior.odds[k])
    why: list[Reason] = []
    size = feature.size(row.name)
    name = row.name.removesuffix("_mm")
    if direct[k] > 0 and size is not None and size.nominal is not None:
        why.append(because("reading.decides_limits", size=name, feature=row.feature, nominal=size.nominal.shown))
    if before[k] > 0.2 and len(order) > 1 and size is not None and size.nominal is not None and size.nominal.rivals:
        why.append(
            because("reading.decides_size", size=name, first=size.nominal.shown, second=size.nominal.rivals[0][0])
        )
    if not why:
        why.append(because("reading.tells_scan", size=name, feature=row.feature))
    place = where(feature)
    nothing_left = size is not None and row.worn_share > 0 and is_worn(part, feature) and worn_all_over(feature, size)
    if nothing_left and row.role == "diameter":
        return NextReading(row.feature, MATE, (*why, because("reading.ask_mate", feature=row.feature), place))
    return NextReading(row.feature, gauge(row)[0], (*why, place), size=row.name)


def where(feature: Feature) -> Reason:
    """Where along the feature to set the gauge: beside the wear, where there is room beside it."""
    if feature.along_mm is None or feature.kind not in ("shaft", "bore"):
        return because("reading.anywhere")
    low, high = feature.along_mm
    if feature.wear_along_mm is None or not (feature.wear_mm or 0.0) > 0:
        return because("reading.at_middle", at_mm=(low + high) / 2)
    worn_low, worn_high = feature.wear_along_mm
    before, after = (low, min(worn_low, high)), (max(worn_high, low), high)
    best = max((before, after), key=lambda stretch: stretch[1] - stretch[0])
    if best[1] - best[0] < 1.0:
        return because("reading.no_unworn", from_mm=low, to_mm=high)
    return because("reading.beside_wear", from_mm=best[0], to_mm=best[1])
