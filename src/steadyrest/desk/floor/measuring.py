"""Measure finished parts: each reading is decided at once, kept, and counted into the part's record.

A reading told again for the same size of the same piece stands beside the one before; one that was mistyped is
corrected by an entry that replaces it. What is not right gets a decision: use, rework, remake, or ask.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal

from steadyrest import units
from steadyrest.desk.floor.things import with_gauges
from steadyrest.desk.plan import keeping
from steadyrest.measure.gauges import fitting_gauges, reaches
from steadyrest.measure.plan import Measure, in_date
from steadyrest.measure.risks import process_sd_mm, risks
from steadyrest.measure.verdict import Taken, Verdict, verdict
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Gauge, Shop
from steadyrest.store import readings, touches
from steadyrest.store.ledger import EntryId
from steadyrest.store.opening import Store, open_store
from steadyrest.store.readings import BECOMES, Becomes, DecisionKept, Reading, ReadingKept
from steadyrest.trouble import BadInput

VERB, DECIDED = "measure", "nonconforming"
MOST_READINGS = 25
WARMTH_C = (-30.0, 90.0)
# A reading further off than both of these is another place, another unit or a slip: common practice, no source.
FAR_MM, FAR_SHARE = 2.0, 0.1
LONGEST = 500
State = Literal["open", "right", "wrong", "undecided", "used", "rework", "remake", "ask"]
WORST_FIRST: tuple[State, ...] = ("wrong", "remake", "rework", "ask", "undecided", "open", "used", "right")
AFTER: dict[Becomes, State] = {"use": "used", "rework": "rework", "remake": "remake", "ask": "ask"}


@dataclass(frozen=True, slots=True)
class TypedReading:
    """As typed. readings: one or more, between blanks or semicolons. gauge: id or name; "": the one planned.

    part_c, gauge_c: degrees; "": not said. replaces: an entry's number, or None. touch: the form's mark.
    at: when it was read, aware; None: now.
    """

    feature: str
    size: str
    readings: str
    gauge: str = ""
    piece: str = "1"
    part_c: str = ""
    gauge_c: str = ""
    who: str = "owner"
    replaces: int | None = None
    touch: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class TypedDecision:
    """What becomes of a piece, as said. touch: the form's mark."""

    feature: str
    size: str
    piece: str
    becomes: str
    words: str
    who: str = "owner"
    touch: str = ""


@dataclass(frozen=True, slots=True)
class ToMeasure:
    """A size of one piece: how it stands. gauges: of the shop that reach it, in date, the finest first; overdue: not.

    kept: every reading of it that stands, oldest first. last: what the last one comes to, None: not measured yet.
    decided: what was said of it after the last reading, or None. risks: how often the planned gauge errs on parts made
    as planned, before anything is measured; None where no tolerance chart knows.
    """

    measure: Measure
    gauges: tuple[Gauge, ...]
    overdue: tuple[Gauge, ...]
    kept: tuple[ReadingKept, ...]
    last: Verdict | None
    decided: DecisionKept | None
    risks: Reason | None = None

    @property
    def state(self) -> State:
        if self.last is None:
            return "open"
        answer: State = self.last.answer
        return AFTER[self.decided.becomes] if self.decided is not None else answer


@dataclass(frozen=True, slots=True)
class PieceRecord:
    """The record of one piece of the lot. pieces: how many the lot has."""

    kept: keeping.KeptJob
    shop: Shop
    piece: int
    pieces: int
    sizes: tuple[ToMeasure, ...]

    @property
    def state(self) -> State:
        """The worst of its sizes that have limits of their own; open while one of them is not measured."""
        own = {one.state for one in self.sizes if one.measure.own_limits} or {one.state for one in self.sizes}
        for state in WORST_FIRST:
            if state in own:
                return state
        return "open"


def record(store: Store, number: int, piece: int, shop: Shop, *, now: datetime) -> PieceRecord:
    """How one piece of a job's lot stands.

    Args:
        store: an open data folder.
        number: the job's.
        piece: from 1 to the lot's quantity.
        shop: its gauges as they are today.
        now: aware moment: which gauges are in date.
    Returns: every size with its readings and decisions.
    Raises: BadInput: no such job or piece.
    """
    shop = with_gauges(shop, store)
    kept = keeping.kept_job(store, number)
    with store.reading() as session:
        all_readings = readings.readings(session, kept.job.id)
        all_decisions = readings.decisions(session, kept.job.id)
    return _record(kept, piece, shop, all_readings, all_decisions, now=now)


def records(store: Store, number: int, shop: Shop, *, now: datetime) -> tuple[PieceRecord, ...]:
    """The record of every piece that was measured, and of the first. Arguments as in `record`."""
    shop = with_gauges(shop, store)
    kept = keeping.kept_job(store, number)
    with store.reading() as session:
        all_readings = readings.readings(session, kept.job.id)
        all_decisions = readings.decisions(session, kept.job.id)
    numbers = sorted({1, *(one.reading.piece for one in all_readings)})
    return tuple(_record(kept, piece, shop, all_readings, all_decisions, now=now) for piece in numbers)


def _record(
    kept: keeping.KeptJob, piece: int, shop: Shop, all_readings: Sequence[ReadingKept],
    all_decisions: Sequence[DecisionKept], *, now: datetime,
) -> PieceRecord:  # fmt: skip
    count = _pieces(kept)
    if not 1 <= piece <= count:
        raise BadInput(where=f"job {kept.job.number}", what=f"there is no piece {piece}.", do=f"Give 1 to {count}.")
    sizes = tuple(
        _stands(one, piece, shop, all_readings, all_decisions, kept, now=now)
        for one in kept.answer.measures
        if piece <= pieces_of(kept, one.feature)
    )
    return PieceRecord(kept, shop, piece, count, sizes)


def _pieces(kept: keeping.KeptJob) -> int:
    """How many pieces the lot has; of several parts, as many as of the one that is most."""
    joined = kept.answer.joined
    return kept.answer.quantity if joined is None else max(one.quantity for one in joined.parts)


def pieces_of(kept: keeping.KeptJob, feature: str) -> int:
    """How many pieces have this feature: the lot, or in a job of several parts those of its part.

    Args:
        kept: the job.
        feature: its id; "P1 F3" in a job of several parts.
    Returns: how many.
    """
    joined, part = kept.answer.joined, feature.rsplit(" ", 1)[0]
    return next((one.quantity for one in (joined.parts if joined else ()) if one.id == part), kept.answer.quantity)


def expansion_per_k(kept: keeping.KeptJob, feature: str) -> float:
    """How a feature's metal grows with warmth; of a job of several parts, that of the part it is on.

    Args:
        kept: the job.
        feature: its id; "P1 F3" in a job of several parts.
    Returns: per kelvin.
    """
    joined, part = kept.answer.joined, feature.rsplit(" ", 1)[0]
    found = next((one.material for one in (joined.parts if joined else ()) if one.id == part), kept.answer.material)
    return found.expansion_per_k


def _stands(
    one: Measure, piece: int, shop: Shop, all_readings: Sequence[ReadingKept], all_decisions: Sequence[DecisionKept],
    kept: keeping.KeptJob, *, now: datetime,
) -> ToMeasure:  # fmt: skip
    good, late = in_date(shop, now)
    gauges = fitting_gauges(good, one.taken, one.nominal_mm)
    overdue = tuple(gauge for gauge in late if reaches(gauge, one.taken, one.nominal_mm))
    mine = tuple(k for k in all_readings if _same(k.reading.feature, k.reading.size, k.reading.piece, one, piece))
    said = [d for d in all_decisions if _same(d.feature, d.size, d.piece, one, piece)]
    grows = expansion_per_k(kept, one.feature)
    last = _verdict_of(mine[-1], shop, gauges, grows) if mine else None
    decided = said[-1] if said and mine and said[-1].entry > mine[-1].entry else None
    return ToMeasure(one, gauges, overdue, mine, last, decided, risks_of(kept, one))


def risks_of(kept: keeping.KeptJob, one: Measure) -> Reason | None:
    """How often the planned gauge passes what is wrong and not what is right; None where no chart tells the scatter."""
    joined, best = kept.answer.joined, kept.answer.best
    part, _, feature = one.feature.rpartition(" ")
    routes = [best.route] if best else []
    if joined is not None:
        routes = [other.route for other in joined.parts if other.id == part]
    found = (c for route in routes for c in route.chart if (c.feature, c.size) == (feature, one.size))
    charted = next(found, None)
    spread_mm = process_sd_mm(charted) if charted is not None else 0.0
    if not (spread_mm > 0 and one.gauge is not None and one.u_mm > 0 and one.own_limits):
        return None
    shares = risks((one.low_mm + one.high_mm) / 2, spread_mm, (one.low_mm, one.high_mm), one.u_mm)
    return because(
        "measure.risks", wrong=round(1000 * shares.passed_wrong, 1), right=round(1000 * shares.refused_right, 1)
    )


def _same(feature: str, size: str, number: int, one: Measure, piece: int) -> bool:
    return (feature, size, number) == (one.feature, one.size, piece)


def _verdict_of(kept: ReadingKept, shop: Shop, gauges: tuple[Gauge, ...], expansion: float) -> Verdict:
    """What a kept reading comes to, as it was decided when it was told."""
    one = kept.reading
    known = next((gauge for gauge in shop.gauges if gauge.id == one.gauge), None)
    gauge = known or Gauge(one.gauge, one.gauge, (), (0.0, 1e9), one.u_mm, None)
    taken = Taken(one.readings_mm, gauge, (one.low_mm, one.high_mm), expansion, one.part_c, one.gauge_c)
    return verdict(taken, gauges, now=kept.happened)


def write_reading(store: Store, number: int, typed: TypedReading, shop: Shop, *, now: datetime) -> ToMeasure:
    """Decide a reading and keep it.

    Args:
        store: an open data folder.
        number: the job's.
        typed: as typed.
        shop: its gauges as they are today.
        now: aware moment.
    Returns: the size as it then stands; the same again if its touch came before.
    Raises: BadInput: no such job, piece, size, gauge or person; no reading, one that is no length or far off; a warmth
        that no part has; or the entry to correct is another size's.
    """
    shop = with_gauges(shop, store)
    piece = piece_of(typed.piece)
    stands = _size_of(record(store, number, piece, shop, now=now), typed.feature, typed.size)
    kept = keeping.kept_job(store, number)
    taken = read(typed, stands, shop, expansion_per_k(kept, stands.measure.feature))
    who = _person(typed.who, shop)
    happened = typed.at or now
    found = verdict(taken, stands.gauges, now=happened)
    one = Reading(
        feature=stands.measure.feature, size=stands.measure.size, piece=piece, readings_mm=taken.readings_mm,
        gauge=taken.gauge.id, part_c=taken.part_c, gauge_c=taken.gauge_c, size_mm=found.size.value, u_mm=found.u_mm,
        low_mm=taken.limits_mm[0], high_mm=taken.limits_mm[1], answer=found.answer, odds=found.odds.value,
    )  # fmt: skip
    if typed.replaces is not None and typed.replaces not in {int(k.entry) for k in stands.kept}:
        raise BadInput(
            where=f"entry {typed.replaces}", what="is no reading of this size.", do="Choose one of its list."
        )
    replaces = None if typed.replaces is None else EntryId(typed.replaces)
    with store.writing() as session:
        if touches.answered(session, typed.touch, verb=VERB) is None:
            made = readings.note_reading(
                session, kept.job.id, one, who=who, happened=happened, told=now, replaces=replaces
            )
            touches.keep(session, typed.touch, verb=VERB, answer=str(int(made.entry)), now=now)
    return _size_of(record(store, number, piece, shop, now=now), typed.feature, typed.size)


def write_decision(store: Store, number: int, typed: TypedDecision, shop: Shop, *, now: datetime) -> ToMeasure:
    """Keep what becomes of a piece that was not proved right.

    Args:
        store: an open data folder.
        number: the job's.
        typed: as said.
        shop: its people.
        now: aware moment.
    Returns: the size as it then stands; the same again if its touch came before.
    Raises: BadInput: no such job, piece, size or person, nothing measured yet, proved right, or no word of what becomes
        of it.
    """
    shop = with_gauges(shop, store)
    piece = piece_of(typed.piece)
    stands = _size_of(record(store, number, piece, shop, now=now), typed.feature, typed.size)
    if typed.becomes not in BECOMES:
        what = f"{typed.becomes!r} is no decision."
        raise BadInput(where="what becomes of it", what=what, do=f"Say one of: {', '.join(BECOMES)}.")
    if stands.last is None or stands.last.answer == "right":
        what = "is not measured yet." if stands.last is None else "is proved right: there is nothing to decide."
        raise BadInput(where=f"{typed.feature} {typed.size}", what=what, do="Measure it first.")
    words = " ".join(typed.words.split())
    if len(words) > LONGEST:
        raise BadInput(
            where="the words", what=f"they are {len(words)} characters.", do=f"Say it in {LONGEST} or fewer."
        )
    who, kept = _person(typed.who, shop), keeping.kept_job(store, number)
    with store.writing() as session:
        if touches.answered(session, typed.touch, verb=DECIDED) is None:
            made = readings.note_decision(
                session, kept.job.id, feature=stands.measure.feature, size=stands.measure.size, piece=piece,
                becomes=typed.becomes, words=words, who=who, now=now,
            )  # fmt: skip
            touches.keep(session, typed.touch, verb=DECIDED, answer=str(int(made.entry)), now=now)
    return _size_of(record(store, number, piece, shop, now=now), typed.feature, typed.size)


def as_read(mm: float, unit: str) -> str:
    """A reading with every digit that a gauge shows, without its unit: to 0.1 um, or 10 millionths of an inch."""
    shown = f"{mm / units.MM_PER_IN:.5f}" if unit == "in" else f"{mm:.4f}"
    return shown.rstrip("0").rstrip(".")


def in_folder(data: Path | None) -> Store:
    """The store of a data folder. Raises: BadInput: none was named, or it cannot be used."""
    if data is None:
        raise BadInput(where="--data", what="there is no data folder to write it down in.", do="Name one.")
    return open_store(data)


def _size_of(found: PieceRecord, feature: str, size: str) -> ToMeasure:
    """The size that is meant; `size` may be left out where the feature has but one, or one with limits of its own."""
    mine = [one for one in found.sizes if one.measure.feature == feature and size in ("", one.measure.size)]
    own = [one for one in mine if one.measure.own_limits]
    meant = mine if len(mine) == 1 else own if len(own) == 1 else mine[:0] if size == "" else mine
    if meant:
        return meant[0]
    known = ", ".join(f"{one.measure.feature} {one.measure.size}" for one in found.sizes[:12])
    raise BadInput(
        where=f"job {found.kept.job.number}", what=f"there is no {feature} {size} to measure, or more than one.",
        do=f"Choose one of: {known}.",
    )  # fmt: skip


def read(typed: TypedReading, stands: ToMeasure, shop: Shop, expansion: float) -> Taken:
    """What was typed, as readings with their gauge and warmth.

    Args:
        typed: as typed.
        stands: the size that is meant.
        shop: its gauges and unit.
        expansion: of the part's metal, per kelvin.
    Returns: what was read.
    Raises: BadInput: as for `write_reading`.
    """
    unit = "in" if shop.unit == "in" else "mm"
    texts = [text for text in re.split(r"[;\n]|\s{2,}|(?<=\d)\s+(?=\d+[.,])", typed.readings.strip()) if text.strip()]
    if not texts or len(texts) > MOST_READINGS:
        what = "there is none." if not texts else f"{len(texts)} are too many."
        raise BadInput(where="the reading", what=what, do=f"Give 1 to {MOST_READINGS}, with ; between them.")
    values = tuple(units.read_length(text.strip(), unit=unit, where="the reading").mm for text in texts)
    nominal = stands.measure.nominal_mm
    for value in values:
        if abs(value - nominal) > max(FAR_MM, FAR_SHARE * nominal):
            shown, expected = (units.show_length(round(mm, 3), unit, fractions=False) for mm in (value, nominal))
            raise BadInput(
                where="the reading", what=f"{shown} is far from {expected}.",
                do="Check the place and the unit, and write the unit with it, such as 1.4375 in.",
            )  # fmt: skip
    gauge = _gauge(typed.gauge, stands, shop)
    limits = (stands.measure.low_mm, stands.measure.high_mm)
    return Taken(
        values, gauge, limits, expansion, _warmth(typed.part_c, "the part"), _warmth(typed.gauge_c, "the gauge")
    )


def _gauge(text: str, stands: ToMeasure, shop: Shop) -> Gauge:
    """The gauge that is meant: by id, by name, or by a word of its name that names but one that reaches the size."""
    able = (*stands.gauges, *stands.overdue)
    wanted = text.strip().casefold()
    if not wanted:
        planned = next((gauge for gauge in stands.gauges if gauge.id == stands.measure.gauge), None)
        if planned is not None:
            return planned
    exact = [gauge for gauge in shop.gauges if wanted in (gauge.id.casefold(), gauge.name.casefold())]
    found = exact or [gauge for gauge in able if wanted and wanted in gauge.name.casefold()]
    if len(found) == 1 and found[0] in able:
        return found[0]
    names = ", ".join(gauge.name for gauge in able) or "none of the shop"
    said = f"{text!r} does not reach this size, or names several." if wanted else "no gauge was named."
    raise BadInput(where="the gauge", what=said, do=f"Gauges that reach it: {names}.")


def _warmth(text: str, what: str) -> float | None:
    plain = text.strip().removesuffix("C").removesuffix("°").strip().replace(",", ".")
    if not plain:
        return None
    try:
        found = float(plain)
    except ValueError:
        found = float("nan")
    low, high = WARMTH_C
    if not low <= found <= high:
        said = f"{text!r} is no warmth of {what}."
        raise BadInput(where="warmth", what=said, do=f"Give degrees Celsius from {low:g} to {high:g}, or leave it out.")
    return found


def piece_of(text: str) -> int:
    """A piece of the lot by its number. Raises: BadInput: it is none."""
    if not (text.isdecimal() and text.isascii() and len(text) < 8):
        raise BadInput(where="piece", what=f"{text!r} is no piece of the lot.", do="Give its number, from 1.")
    return int(text)


def _person(text: str, shop: Shop) -> str:
    """Who measured: somebody of the shop, or "owner" where nobody was named."""
    found = next((p for p in shop.people if text.strip().casefold() in (p.id.casefold(), p.name.casefold())), None)
    if found is not None or text == "owner":
        return found.id if found is not None else text
    names = ", ".join(person.id for person in shop.people)
    raise BadInput(where="who", what=f"there is nobody called {text!r}.", do=f"People: {names}.")
