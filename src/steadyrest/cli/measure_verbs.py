"""The verb `measure`: what there is to measure on a job, what a reading decides, what becomes of a wrong part."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from steadyrest.cli.shared import Verb, out
from steadyrest.cli.typed import moment, whole_number

if TYPE_CHECKING:
    from steadyrest.desk.floor.measuring import PieceRecord, ToMeasure
    from steadyrest.wording.say import Reader


def measure_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("job", type=whole_number, metavar="JOB", help="the job's number")
    one.add_argument("--feature", metavar="F", default="", help="which feature, by its id, such as S2")
    one.add_argument("--size", metavar="S", default="", help="which size of it, such as diameter_mm; if it has several")
    one.add_argument("--reading", metavar="MM", default="", help="what it reads; several with ; between them")
    one.add_argument("--gauge", metavar="G", default="", help="with what; default: as planned")
    one.add_argument("--piece", metavar="N", default="1", help="which piece of the lot; default 1")
    one.add_argument("--part-c", metavar="C", default="", help="how warm the part is, in degrees Celsius")
    one.add_argument("--gauge-c", metavar="C", default="", help="how warm the gauge is")
    one.add_argument("--who", metavar="PERSON", default="owner", help="who measured")
    one.add_argument("--at", type=moment, metavar="MOMENT", help="when it was read: ISO 8601 with offset; default: now")
    one.add_argument("--replaces", type=whole_number, metavar="ENTRY", help="the entry that this reading corrects")
    one.add_argument("--becomes", metavar="WHAT", default="", help="what becomes of it: use, rework, remake or ask")
    one.add_argument("--words", metavar="WORDS", default="", help="why, in words")
    one.add_argument("--touch", metavar="MARK", default="", help="told twice with one mark, it counts once")


def measure(asked: argparse.Namespace) -> int:
    from steadyrest.desk.floor import measuring
    from steadyrest.desk.which_shop import which_shop
    from steadyrest.trouble import BadInput
    from steadyrest.wording.say import Reader

    if asked.reading and asked.becomes:
        raise BadInput(
            where="measure", what="a reading and a decision are two things.", do="Give the reading first, then decide."
        )
    if not asked.feature and (asked.reading or asked.becomes):
        raise BadInput(where="--feature", what="no feature is named.", do="Name one, such as S2.")
    store, shop = measuring.in_folder(asked.data), which_shop(asked.shop, asked.data).shop
    try:
        if asked.reading:
            typed = measuring.TypedReading(
                asked.feature, asked.size, asked.reading, asked.gauge, asked.piece, asked.part_c, asked.gauge_c,
                asked.who, asked.replaces, asked.touch, asked.at,
            )  # fmt: skip
            measuring.write_reading(store, asked.job, typed, shop, now=asked.now)
        elif asked.becomes:
            said = measuring.TypedDecision(
                asked.feature, asked.size, asked.piece, asked.becomes, asked.words, asked.who, asked.touch
            )
            measuring.write_decision(store, asked.job, said, shop, now=asked.now)
        found = measuring.record(store, asked.job, measuring.piece_of(asked.piece), shop, now=asked.now)
    finally:
        store.close()
    reader = Reader("in" if shop.unit == "in" else "mm", shop.currency)
    if asked.json:
        out(record_answer(found))
    else:
        print("\n".join(record_lines(found, reader, asked.feature)))
    return 0


def record_answer(found: PieceRecord) -> dict[str, object]:
    """The record of one piece.

    Args:
        found: from the desk.
    Returns: the document.
    """
    return {
        "job": found.kept.job.number,
        "piece": found.piece,
        "pieces": found.pieces,
        "state": found.state,
        "sizes": [_size_answer(one) for one in found.sizes],
    }


def _size_answer(one: ToMeasure) -> dict[str, object]:
    from steadyrest.wording.say import say

    last, plan = one.last, one.measure
    return {
        "feature": plan.feature,
        "size": plan.size,
        "shown": plan.shown,
        "limits_mm": [plan.low_mm, plan.high_mm],
        "own_limits": plan.own_limits,
        "with": plan.gauge,
        "gauges": [gauge.id for gauge in one.gauges],
        "overdue": [gauge.id for gauge in one.overdue],
        "state": one.state,
        "size_mm": last.size.value if last else None,
        "u_mm": last.u_mm if last else None,
        "odds": last.odds.value if last else None,
        "accept_mm": list(last.accept_mm) if last and last.accept_mm else None,
        "why": [say(reason) for reason in (*last.why, *last.odds.why)] if last else [],
        "next": [say(reason) for reason in last.nexts] if last else [],
        "readings": [
            {
                "entry": int(kept.entry),
                "readings_mm": list(kept.reading.readings_mm),
                "gauge": kept.reading.gauge,
                "part_c": kept.reading.part_c,
                "gauge_c": kept.reading.gauge_c,
                "size_mm": kept.reading.size_mm,
                "u_mm": kept.reading.u_mm,
                "answer": kept.reading.answer,
                "who": kept.who,
                "happened": kept.happened.isoformat(),
                "told": kept.told.isoformat(),
                "replaces": None if kept.replaces is None else int(kept.replaces),
            }
            for kept in one.kept
        ],
        "becomes": one.decided.becomes if one.decided else None,
        "words": one.decided.words if one.decided else "",
    }


def record_lines(found: PieceRecord, reader: Reader, feature: str) -> Iterator[str]:
    """The same in words; of one feature with its reasons, where it was named.

    Args:
        found: from the desk.
        reader: whose units.
        feature: the one that was named, or "".
    Returns: lines.
    """
    from steadyrest.units import show_limits
    from steadyrest.wording.say import SIZE_WORDS, figure, say

    yield f"job {found.kept.job.number}, piece {found.piece} of {found.pieces}: {found.state}"
    for one in found.sizes:
        plan = one.measure
        name = SIZE_WORDS.get(plan.size, plan.size)
        limits = show_limits(plan.low_mm, plan.high_mm, unit=reader.unit)
        reads = f", {figure(one.last.size, reader)}" if one.last else f", with {plan.gauge_name or 'no gauge here'}"
        yield f"  {plan.feature} {name} {plan.shown}, {limits}{reads}: {one.state}"
        if plan.feature == feature and one.last is not None:
            yield from (f"    {say(reason, reader)}" for reason in (*one.last.why, *one.last.odds.why))
            yield from (f"    Next: {say(reason, reader)}" for reason in one.last.nexts)


MEASURE = (
    Verb(
        "measure",
        "Is it right: a reading of a finished part, what it decides, and what to do if it does not.",
        "steadyrest measure 101 --data demo-shop --feature S2 --reading 36.512 --gauge micrometer",
        measure_flags,
        measure,
    ),
)
