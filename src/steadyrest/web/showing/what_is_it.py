"""What is it: one row a feature, doubts, and the next reading to take by hand."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.papers.drawing import legend
from steadyrest.papers.drawing.datum_marks import named, place_text
from steadyrest.part.ask_next import gauges
from steadyrest.shop.part import Feature, Part, Size
from steadyrest.units import show_odds
from steadyrest.web.pages.job import DoubtRow, FeatureRow, NextReading, WhatIsIt
from steadyrest.web.showing.to_turn import to_turn
from steadyrest.web.showing.words import Words, numeral, of_what, size_word
from steadyrest.wording.moments import moment

RIVAL_WORTH_SAYING = 0.05


def what_is_it(kept: KeptJob, words: Words, *, token: str, trouble: str, typed: str) -> WhatIsIt:
    """What the part is.

    Args:
        kept: the job with its plan.
        words: for its reader.
        token: for the forms.
        trouble, typed: why the last reading was not written down, and what was typed; empty if all is well.
    Returns: the first answer.
    """
    part = kept.answer.part
    return WhatIsIt(
        job=kept.job.number,
        says=says(part, words) if kept.answer.joined is None else words.say(part.unit.why),
        pictured=kept.answer.joined is None,
        to_turn=to_turn(part, words) if kept.answer.joined is None else None,
        features=tuple(feature_row(part, feature, words) for feature in part.features if feature.sizes),
        doubts=tuple(DoubtRow(words.say(doubt.what), words.say(doubt.ask)) for doubt in part.doubts),
        next_reading=next_reading(part, words),
        readings=readings(kept, words),
        sizes=tuple(
            (key(feature, size), of_what(feature, size))
            for feature in part.features
            for size in feature.sizes
            if size.name.endswith("_mm") and kept.answer.joined is None
        ),
        gauges=tuple(gauges.BY_HAND),
        mended=words.why((*part.repaired, *part.lost)),
        trouble=trouble,
        typed=typed,
        guard=token,
    )


def says(part: Part, words: Words) -> str:
    """The part in one line."""
    box = " × ".join(words.length(round(length, 1)) for length in part.size_mm)
    turned = "turned part" if part.axisymmetric else "part that is not turned"
    broken = ", one end broken off" if part.broken else ""
    from_what = f" Places are from {', '.join(named(datum) for datum in part.datums)}." if part.datums else ""
    return f"A {part.kind} of a {turned}{broken}, {box}, from {part.name}: {words.say(part.unit.why)}.{from_what}"


def key(feature: Feature, size: Size) -> str:
    """A size of a feature as a form sends it back."""
    return f"{feature.id} {size.name}"


def feature_row(part: Part, feature: Feature, words: Words) -> FeatureRow:
    """A feature: its principal size large, the others beside it."""
    first = feature.sizes[0]
    nominal = first.nominal
    odds = "" if nominal is None or nominal.source == "as measured" else f", {show_odds(nominal.odds)}"
    limits = nominal.limits if nominal else None
    angle = first.name == "angle_deg"
    return FeatureRow(
        numeral=numeral(feature.id),
        main=legend.main_text(part, feature, words.unit),
        rest=" · ".join(
            said
            for said in (legend.rest_text(part, feature, words.unit), place_text(part, feature, words.unit))
            if said
        ),
        trust=f"{nominal.state}{odds}" if nominal else "ask",
        limits=words.limits(limits.low_mm, limits.high_mm) if limits else "",
        measured=f"{first.measured:.2f}°" if angle else words.length(first.measured),
        why=tuple(size_whys(feature, words)),
    )


def size_whys(feature: Feature, words: Words) -> Iterator[str]:
    """Why each size is what it is, with its rivals and its limits."""
    for size in feature.sizes:
        nominal = size.nominal
        if nominal is None:
            continue
        lines = [*words.why(nominal.why)]
        lines += [f"else {shown}, {show_odds(odds)}" for shown, odds in nominal.rivals if odds >= RIVAL_WORTH_SAYING]
        if nominal.limits is not None:
            between = words.limits(nominal.limits.low_mm, nominal.limits.high_mm)
            lines.append(f"{between}: " + "; ".join(words.why(nominal.limits.why)))
        yield f"{size_word(size.name)} {nominal.shown}, {nominal.state}: " + "; ".join(lines)


def next_reading(part: Part, words: Words) -> NextReading | None:
    """The next reading to take, as a form."""
    reading = part.next_reading
    if reading is None:
        return None
    feature = part.feature(reading.feature)
    size = feature.size(reading.size) or feature.sizes[0]
    return NextReading(
        of=key(feature, size), says=of_what(feature, size), with_what=reading.gauge,
        gauge=gauges.usual(reading.gauge), why=words.why(reading.why),
    )  # fmt: skip


def by(gauge: object) -> str:
    """With which gauge, where it was said."""
    return f", with a {gauge}" if gauge and not str(gauge).endswith("blocks") else f", with {gauge}" if gauge else ""


def readings(kept: KeptJob, words: Words) -> tuple[str, ...]:
    """Hand readings already written down, newest first."""
    return tuple(
        f"no. {numeral(str(entry.body['feature']))}, {size_word(str(entry.body['size']))}: "
        f"{words.length(float(entry.body['reading_mm'] or 0))}{by(entry.body.get('gauge'))}, "
        f"{moment(entry.happened, words.zone)}"
        for entry in reversed(kept.readings)
    )
