"""Wanted lengths against the pieces of the rack: how they are cut, and the cuts written into the book in one touch.

A list that was made is kept with the turn of each piece that it saw: whoever cut one of them meanwhile wins, and the
other is told what happened to it.
"""

from __future__ import annotations

import re
import secrets
import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from functools import cache

from steadyrest import units
from steadyrest.desk.cutting.cut_stock import CutAnswer
from steadyrest.desk.floor import clock
from steadyrest.desk.pieces.piece_moves import Taken, here, take
from steadyrest.desk.pieces.rack import VERB, Shelved, length, pieces
from steadyrest.shop.floor import SawLimits, Shop
from steadyrest.stock.asked.cut import MOST_PARTS, STEEPEST_DEG, TURNS
from steadyrest.stock.choice import kerf_mm
from steadyrest.stock.cutting.in_order import sawing
from steadyrest.stock.cutting.mitred import middle_mm
from steadyrest.stock.cutting.wanted import BarPart, BarPiece, BarSection, CutWanted
from steadyrest.stock.pieces import area_mm2
from steadyrest.store import cut_lists, touches
from steadyrest.store.opening import Session, Store
from steadyrest.store.values import from_json, to_json
from steadyrest.trouble import BadInput

SAWN = ("round", "square", "hexagon", "flat", "tube", "angle", "channel", "beam", "block")
LINE = re.compile(r"\s*(\d{1,6})\s*[x×]\s*(\S+)((?:\s+\S+)*)\s*", re.IGNORECASE)
ENDS = re.compile(r"(-?\d+(?:\.\d+)?)/(-?\d+(?:\.\d+)?)")
MOST_LINES, MOST_NEW, NAME = 400, 200, 40
SECONDS, MOST_SECONDS = 5.0, 60.0
MOST_SHOWN = 12
WRITE = 'Write a line for each, as "6 x 742.5 leg", with 45/45 for mitred ends and due 2026-12-04 where it matters.'


@dataclass(frozen=True, slots=True)
class Bars:
    """Bars of one section and metal, that one list may be cut from. key: stands in the form."""

    key: str
    shape: str
    size_mm: tuple[float, ...]
    material: str
    condition: str
    pieces: tuple[Shelved, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """A list as typed. bars: which ones (Bars.key). new_..: bars that can be bought, "" for none."""

    bars: str
    lines: str
    face: str = ""
    trim: str = ""
    kerf: str = ""
    new_length: str = ""
    new_cost: str = ""
    new_many: str = ""
    seconds: str = ""


@dataclass(frozen=True, slots=True)
class Listed:
    """A cutting list. bars: Bars.key of what it is cut from. lie: (label, place, heat number) of each piece.

    seen: the turn of each piece of the rack when it was made; booked: cut and written."""

    key: str
    bars: str
    lie: tuple[tuple[str, str, str], ...]
    answer: CutAnswer
    seen: Mapping[str, int]
    booked: frozenset[str] = frozenset()

    @property
    def open(self) -> tuple[str, ...]:
        """The pieces of the rack that are still to be cut by it."""
        opened = (one.bar.piece.id for one in self.answer.sawing.bars)
        return tuple(label for label in opened if label in self.seen and label not in self.booked)


@dataclass(frozen=True, slots=True)
class KeptCuts:
    """A list as the store has it. seen: (label, turn) of each piece."""

    bars: str
    lie: tuple[tuple[str, str, str], ...]
    answer: CutAnswer
    seen: tuple[tuple[str, int], ...]


def keep_list(store: Store, one: Listed, *, who: str, now: datetime) -> None:
    """Keep a list.

    Args:
        store: an open data folder. one: as it was made. who: asked for it. now: aware moment.
    """
    text = to_json(KeptCuts(one.bars, one.lie, one.answer, tuple(one.seen.items())))
    many = sum(len(bar.bar.parts) for bar in one.answer.sawing.bars)
    name = f"{many} {'part' if many == 1 else 'parts'} of {one.bars}"
    with store.writing() as session:
        cut_lists.keep(session, one.key, "bars", name, text, who=who, now=now)


def kept_list(store: Store, key: str) -> Listed:
    """A list, with what of it was written down as cut.

    Args:
        store: an open data folder. key: of the list.
    Returns: the list.
    Raises: BadInput: there is none.
    """
    with store.reading() as session:
        return _kept(session, key)[1]


def _kept(session: Session, key: str) -> tuple[int, Listed]:
    one = cut_lists.kept(session, "bars", key=key)
    booked = {str(label) for entry in cut_lists.entries(session, one.id) for label in entry.body["pieces"]}
    value = from_json(one.text, KeptCuts, where="the cut list")
    return one.id, Listed(key, value.bars, value.lie, value.answer, dict(value.seen), frozenset(booked))


def latest(store: Store) -> tuple[cut_lists.KeptList, ...]:
    """The lists that were made last, the newest first."""
    with store.reading() as session:
        return cut_lists.latest(session, "bars", most=MOST_SHOWN)


def bars(found: Iterable[Shelved]) -> tuple[Bars, ...]:
    """What of the rack can be sawn to length, by section and metal.

    Args:
        found: the rack's pieces.
    Returns: those with the most pieces first. A customer's own piece, one that was not found when counted, and a plate
        are in none.
    """
    alike: dict[tuple[str, tuple[float, ...], str, str], list[Shelved]] = {}
    for one in found:
        piece = one.piece
        if piece.shape in SAWN and piece.state == "here" and not piece.owner and piece.usable_mm > 0:
            alike.setdefault((piece.shape, piece.size_mm, piece.material, piece.condition), []).append(one)
    made = [Bars(_key(*key), *key, tuple(those)) for key, those in alike.items()]
    return tuple(sorted(made, key=lambda one: (-len(one.pieces), one.key)))


def _key(shape: str, size_mm: tuple[float, ...], material: str, condition: str) -> str:
    return f"{shape} {' x '.join(f'{x:g}' for x in size_mm)}, {material}, {condition}"


def listed(
    store: Store, shop: Shop, asked: Asked, *, stop: Callable[[], bool], clock_s: Callable[[], float] = time.monotonic
) -> Listed:
    """How the wanted lengths are cut from the rack at least cost.

    Args:
        store: an open data folder. shop: its saw, metals, habits.
        asked: as typed.
        stop: whether to stop now with the best so far. clock_s: seconds that pass.
    Returns: the list, to be kept at hand.
    Raises: BadInput: a line that says no part, or no such bars.
    """
    which = next((one for one in bars(pieces(store, shop)) if one.key == asked.bars), None)
    if which is None:
        raise BadInput(where="bars", what="there are no such bars any more.", do="Choose others.")
    wanted = wanted_of(asked, which, shop)
    seconds = _number(asked.seconds, "longest wait", SECONDS, MOST_SECONDS)
    make_ready()
    begun = clock_s()
    answer = CutAnswer(wanted, sawing(wanted, lambda: 0.0 if stop() else seconds - (clock_s() - begun)), ())
    seen = {one.piece.label: one.piece.turn if one.book else 0 for one in which.pieces}
    lie = tuple((one.piece.label, one.piece.place, one.piece.heat_number) for one in which.pieces)
    return Listed(secrets.token_urlsafe(9), which.key, lie, answer, seen)


@cache
def make_ready() -> None:
    """Load and compile what the search needs, once, so that it does not eat up somebody's seconds."""
    bar, part = BarPiece("", Decimal(7), Decimal(1)), BarPart("", Decimal(3), 3)
    none = Decimal(0)
    sawing(CutWanted(none, none, none, Decimal(9), none, (bar, replace(bar, id="2")), (part,), ""), lambda: SECONDS)


def wanted_of(asked: Asked, which: Bars, shop: Shop) -> CutWanted:
    """The list as the saw takes it. Raises: BadInput: the first thing that cannot be meant."""
    unit = shop.unit
    metal = next((one for one in shop.materials if one.id == which.material), None)
    per_m = None if metal is None else area_mm2(which.shape, which.size_mm) * metal.density_kg_m3 * 1e-6
    section = BarSection(which.shape, which.size_mm, which.size_mm[0], per_m, TURNS.get(which.shape, "both"))
    face = _exactly(length(asked.face, unit, "facing")) if asked.face else Decimal(0)
    rack_bars = [
        BarPiece(one.piece.label, _exactly(one.piece.usable_mm), one.piece.cost.normalize()) for one in which.pieces
    ]
    per_mm = [one.cost / one.length_mm for one in rack_bars if one.cost > 0]
    grips = [one.limits.shortest_rest_mm for one in shop.machines if isinstance(one.limits, SawLimits)]
    return CutWanted(
        kerf_mm=_exactly(length(asked.kerf, unit, "kerf") if asked.kerf else kerf_mm(shop)),
        end_trim_mm=_exactly(length(asked.trim, unit, "end trim")) if asked.trim else Decimal(0),
        grip_mm=_exactly(min(grips, default=0.0)),
        rest_keep_mm=_exactly(shop.habits.keep_rest_mm),
        # A rest is worth no more than the cheapest of these bars was, by length.
        rest_value_per_mm=round(min(per_mm, default=Decimal(0)), 6),
        pieces=(*rack_bars, *_to_buy(asked, shop)),
        parts=parts_of(asked.lines, face, section, unit),
        currency=shop.currency,
        section=section,
        lift_kg=shop.habits.lift_alone_kg,
    )


def _to_buy(asked: Asked, shop: Shop) -> list[BarPiece]:
    """Bars that can be bought. Raises: BadInput: half of it said."""
    if not asked.new_length:
        return []
    many = _number(asked.new_many, "how many can be bought", 1, MOST_NEW)
    long = _exactly(length(asked.new_length, shop.unit, "length of a new bar"))
    cost = units.parse_money(asked.new_cost or "0", shop.currency, "price of a new bar")
    return [BarPiece(f"new {n}", long, cost.normalize()) for n in range(1, int(many) + 1)]


def parts_of(text: str, face_mm: Decimal, section: BarSection, unit: str) -> tuple[BarPart, ...]:
    """The parts of a list as typed, one a line.

    Args:
        text: "6 x 742.5 leg" in each line. face_mm: faced off each end later. section: of the bar. unit: of lengths.
    Returns: the parts.
    Raises: BadInput: names the line.
    """
    lines = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip()]
    if not 1 <= len(lines) <= MOST_LINES:
        raise BadInput(where="what is wanted", what=f"{len(lines)} lines.", do=f"1 to {MOST_LINES}. {WRITE}")
    read = [_line(n, line, face_mm, unit) for n, line in lines]
    due = sorted({when for _, when in read if when is not None})
    parts = tuple(
        BarPart(p.id, p.length_mm, p.count, p.faced_mm, p.ends_deg, due.index(w) if w is not None else len(due))
        for p, w in read
    )
    names: dict[str, int] = {}
    for (n, _), part in zip(lines, parts, strict=True):
        if part.id in names:
            what = f"{part.id} stands in line {names[part.id]} already."
            raise BadInput(where=f"line {n}", what=what, do="Give each its own name.")
        names[part.id] = n
        if middle_mm(part, section.deep_mm) <= 0:
            what = f"{part.id} is too short for such ends: they meet."
            raise BadInput(where=f"line {n}", what=what, do="Check its length.")
    if sum(part.count for part in parts) > MOST_PARTS:
        raise BadInput(where="what is wanted", what=f"more than {MOST_PARTS} parts.", do="Split the list.")
    return parts


def _line(n: int, line: str, face_mm: Decimal, unit: str) -> tuple[BarPart, date | None]:
    """One line. Raises: BadInput: it says no part."""
    where = f"line {n}"
    found = LINE.fullmatch(line)
    if found is None or int(found[1]) < 1:
        raise BadInput(where=where, what=f"{line.strip()[:40]!r} says no part.", do=WRITE)
    long = _exactly(length(found[2], unit, where))
    name, ends, when = list[str](), (0.0, 0.0), None
    words = found[3].split()
    while words:
        word = words.pop(0)
        slant = ENDS.fullmatch(word)
        if slant:
            ends = (float(slant[1]), float(slant[2]))
            if max(map(abs, ends)) > STEEPEST_DEG:
                what = f"{word} is steeper than a saw swings."
                raise BadInput(where=where, what=what, do=f"At most {STEEPEST_DEG:g} degrees.")
        elif word.lower() == "due" and words:
            when = _day(words.pop(0), where)
        else:
            name.append(word)
    label = " ".join(name)[:NAME] or f"{long:f}"
    return BarPart(label, long + 2 * face_mm, int(found[1]), 2 * face_mm, ends), when


def _day(text: str, where: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput(where=where, what=f"{text[:20]!r} is no day.", do="Write it as 2026-12-04.") from None


def _number(text: str, where: str, default: float, most: float) -> float:
    try:
        found = float(text) if text else default
    except ValueError:
        found = 0.0
    if not 0 < found <= most:
        raise BadInput(where=where, what=f"{text[:40]!r} cannot be.", do=f"Give a number up to {most:g}.")
    return found


def _exactly(value: float) -> Decimal:
    return Decimal(repr(round(value, 6))).normalize()


def book(
    store: Store, shop: Shop, one: Listed, labels: Iterable[str], *, who: str, job: int | None, now: datetime,
    touch: str = "",
) -> Listed:  # fmt: skip
    """Write down that pieces were cut as the list says: all of those named, or none.

    Args:
        store: an open data folder. shop: who works there.
        one: the list.
        labels: of its pieces that were cut now.
        who: cut them. job: for which job; it is charged with them.
        now: aware moment.
        touch: the form's mark, so that it counts once.
    Returns: the list, with these booked.
    Raises: BadInput: one of them is not as the list saw it, with what happened to it last; nothing is written then.
    """
    clock.known_person(shop, who)
    of = {bar.bar.piece.id: bar for bar in one.answer.sawing.bars}
    asked = tuple(labels)
    with store.writing() as session:
        if touches.answered(session, touch, verb=VERB) is not None:
            return _kept(session, one.key)[1]
        number, one = _kept(session, one.key)
        charged = clock.job_of(session, job)
        for label in asked:
            if label not in of or label not in one.seen:
                raise BadInput(where=f"piece {label[:40]}", what="is not cut by this list.", do="Look at the list.")
            piece = here(session, shop, label, who=who, seen=one.seen[label], now=now)
            bar = of[label].bar
            took = float(sum((part.length_mm for part in bar.parts), Decimal(0)))
            lost = float(bar.piece.length_mm - bar.rest_mm) - took
            scrap = 0.0 if bar.kept else float(bar.rest_mm)
            parts = tuple(float(part.length_mm) for part in bar.parts)
            taken = Taken(took, max(lost, 0.0), scrap, parts)
            take(session, piece, taken, who=who, job=charged, now=now)
        body = {"pieces": list(asked)}
        cut_lists.write_down(session, number, body, who=who, now=now, job_id=charged.id if charged else None)
        touches.keep(session, touch, verb=VERB, answer=",".join(asked), now=now)
    return replace(one, booked=one.booked | set(asked))
