"""Names the sizes of a part, all at once: from estimates to the sizes that the drawing would have shown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from steadyrest.part.ask_next.next_reading import next_reading
from steadyrest.part.limit.limits import with_limits
from steadyrest.part.nominal.angles import named_angle
from steadyrest.part.nominal.chain import chained
from steadyrest.part.nominal.choice import AS_MEASURED
from steadyrest.part.nominal.doubts import doubts
from steadyrest.part.nominal.habits import INCH_MM, habits
from steadyrest.part.nominal.judged import EXACT_REACH_MM, Judged, Named, judge, ranked, system_of
from steadyrest.part.nominal.reasons import reasons
from steadyrest.part.nominal.shared import as_scanned, seen_bare, without_shared_errors
from steadyrest.part.nominal.sheet import sheet_size
from steadyrest.part.nominal.shown import shown, shown_as_measured, source_of
from steadyrest.part.nominal.stock_size import stock_size
from steadyrest.part.nominal.ties import tied
from steadyrest.part.nominal.unknowns import NAMED, Unknown
from steadyrest.shop.part import Feature, Nominal, Part, Size
from steadyrest.trouble import BadInput

RIVALS = 3
RIVAL_ODDS = 0.01
UNIT_MM = {"mm": 1.0, "in": 25.4, "m": 1000.0}
# How large the parts of a small shop are: median of the longest side, and spread of its logarithm (judgement).
USUAL_LARGEST_MM = 100.0
USUAL_SPREAD = 1.1


def name_sizes(part: Part) -> Part:
    """The part with nominals, limits, system, doubts, stock size and the next reading to take.

    Every call starts from the estimates and readings, so naming twice gives the same.

    Args:
        part: with features and their estimates. A part whose unit is not known keeps sizes without nominals, and gets
            the question that would settle it.
    Returns: the same part, named.
    Source: exact enumeration over habits.toml; calibration in tests/part/nominal/test_calibration.py.
    """
    part = as_scanned(part)
    if part.unit.state == "ask":
        bare = tuple(replace(f, sizes=tuple(replace(s, nominal=None) for s in f.sizes)) for f in part.features)
        unnamed = replace(part, features=bare, system=None, stock_size=None, next_reading=None)
        return replace(unnamed, doubts=doubts(unnamed))
    judged = judge(part)
    weighed = tied(chained(judged, part), part)
    named = with_nominals(part, weighed)
    named = replace(named, system=system_of(judged.posterior) if judged.rows else None)
    named = with_limits(named)
    named = replace(named, stock_size=stock_size(named, judged.posterior.film_mm) or sheet_size(named))
    named = replace(named, next_reading=next_reading(named, judged))
    return without_shared_errors(replace(named, doubts=doubts(named)), weighed)


def with_reading(part: Part, feature_id: str, size_name: str, reading_mm: float, u_mm: float) -> Part:
    """The part after one size was measured by hand: everything is judged again, jointly.

    Args:
        part: as read.
        feature_id: whose size was measured.
        size_name: which of its sizes, such as "diameter_mm".
        reading_mm: what the gauge said, beside the wear where there is any.
        u_mm: its sigma; 0.004 for an outside micrometer, 0.02 for a caliper.
    Returns: the part, named anew.
    Raises: BadInput: no such feature or size, or a reading that cannot be one.
    """
    feature = next((f for f in part.features if f.id == feature_id), None)
    if feature is None or feature.size(size_name) is None:
        have = ", ".join(f"{f.id} {s.name}" for f in part.features for s in f.sizes[:1])
        raise BadInput(
            where=f"reading of {feature_id} {size_name}", what="there is no such size.", do=f"One of: {have}."
        )
    if not (np.isfinite(reading_mm) and reading_mm > 0 and np.isfinite(u_mm) and u_mm > 0):
        raise BadInput(
            where=f"reading of {feature_id} {size_name}",
            what=f"{reading_mm!r} mm, give or take {u_mm!r} mm, is no reading.",
            do="Give two positive lengths.",
        )
    sizes = tuple(replace(s, reading=(reading_mm, u_mm)) if s.name == size_name else s for s in feature.sizes)
    features = tuple(replace(f, sizes=sizes) if f.id == feature_id else f for f in part.features)
    return name_sizes(replace(part, features=features))


def with_nominals(part: Part, judged: Judged) -> Part:
    """The part with each size named as the posterior says."""
    said: dict[tuple[str, str], Nominal] = {}
    for k, row in enumerate(judged.rows):
        nominal = nominal_of(judged, k)
        said.update(dict.fromkeys(row.members, nominal))
    features = tuple(with_sizes(part, feature, said) for feature in part.features)
    return replace(part, features=features)


def with_sizes(part: Part, feature: Feature, said: dict[tuple[str, str], Nominal]) -> Feature:
    """The feature with its nominals; angles are named on their own."""
    sizes: list[Size] = []
    for size in feature.sizes:
        nominal = named_angle(part, size) if size.name == "angle_deg" else said.get((feature.id, size.name))
        sizes.append(replace(size, nominal=nominal))
    return replace(feature, sizes=tuple(sizes))


def nominal_of(judged: Judged, k: int) -> Nominal:
    """What the drawing would have shown for one size."""
    row = seen_bare(judged, judged.rows[k])
    order = ranked(judged.choices[k], judged.posterior.odds[k])
    best = order[0]
    unit = "in" if judged.in_inches else "mm"
    why = reasons(judged, k, best)
    if judged.solid:
        # A solid's size is what it is: the odds are about the size, not about the habit that it follows.
        source = "as modelled" if best.fit.source == AS_MEASURED else source_of(best.fit)
        return Nominal(row.observed_mm, written(best, row, unit, exact=True), 1.0, source, None, why)
    value = best.value_mm
    if best.fit.source == AS_MEASURED:
        value = row.observed_mm if row.reading is None else row.reading[0]
    rivals = tuple(
        (rival(one, row, unit, exact=judged.exact), one.odds) for one in order[1 : 1 + RIVALS] if one.odds >= RIVAL_ODDS
    )
    odds = min(best.odds, 1.0)
    if best.fit.source == AS_MEASURED and row.below is not None and row.reading is None:
        # Of two levels only one is the seat's, and a size that follows no habit does not tell which.
        other = shown_as_measured(row.below[0], row.below[1], unit)
        share = habits().wear["below_share"]
        odds, rivals = odds * (1 - share), ((f"{other} as measured", odds * share), *rivals)
    return Nominal(value, written(best, row, unit, exact=judged.exact), odds, source_of(best.fit), None, why, rivals)


def rival(one: Named, row: Unknown, unit: str, *, exact: bool) -> str:
    """A rival as a person reads it; the free candidate says that it is one, since it may look like the others."""
    text = written(one, row, unit, exact=exact)
    return f"{text} as measured" if one.fit.source == AS_MEASURED else text


def written(one: Named, row: Unknown, unit: str, *, exact: bool) -> str:
    """One value as a drawing writes it."""
    if one.fit.source != AS_MEASURED:
        return shown(one.value_mm, one.fit.unit)
    if exact:
        inches = unit == "in" and abs(round(row.observed_mm / INCH_MM, 4) * INCH_MM - row.observed_mm) < EXACT_REACH_MM
        return shown(row.observed_mm, "in" if inches else "mm")
    value, u_mm = row.reading if row.reading is not None else (row.observed_mm, row.u_mm)
    return shown_as_measured(value, u_mm, unit)


def unit_odds(part: Part) -> tuple[tuple[str, float], ...]:
    """For a file without a unit: how well its sizes would fit a drawing, read as mm, as inches, as metres.

    Args:
        part: sizes in the file's own unit.
    Returns: (unit, odds), the likeliest first. A hint for the question, never an answer.
    """
    # Edges are broken to any size that the tool happened to have: they say nothing about the unit.
    main = replace(part, features=tuple(f for f in part.features if f.kind not in ("chamfer", "fillet", "free")))
    logs = {unit: log_fit(main, mm) for unit, mm in UNIT_MM.items()}
    top = max(logs.values())
    shares = {unit: float(np.exp(log - top)) for unit, log in logs.items()}
    total = sum(shares.values())
    return tuple(sorted(((unit, share / total) for unit, share in shares.items()), key=lambda pair: -pair[1]))


def log_fit(part: Part, mm: float) -> float:
    """How well a part's sizes fit a drawing if one unit of its file is this many mm: log, up to a constant."""
    judged = judge(scaled(part, mm), rounding=mm)
    largest_mm = max(max(part.size_mm) * mm, 1e-9)
    usual = -((np.log(largest_mm / USUAL_LARGEST_MM) / USUAL_SPREAD) ** 2) / 2
    return judged.posterior.log_evidence + float(usual)


def scaled(part: Part, mm: float) -> Part:
    """The part as if one unit of the file were this many mm."""

    def size_in_mm(size: Size) -> Size:
        if size.name not in NAMED:
            return size
        return replace(
            size, estimate=size.estimate * mm, measured=size.measured * mm, uncertainty=size.uncertainty * mm
        )

    def feature_in_mm(feature: Feature) -> Feature:
        wear = None if feature.wear_mm is None else feature.wear_mm * mm
        along = None if feature.along_mm is None else (feature.along_mm[0] * mm, feature.along_mm[1] * mm)
        return replace(feature, sizes=tuple(size_in_mm(size) for size in feature.sizes), wear_mm=wear, along_mm=along)

    return replace(part, features=tuple(feature_in_mm(f) for f in part.features), noise_mm=part.noise_mm * mm)
