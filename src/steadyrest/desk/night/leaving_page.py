"""The leaving check for a person at a screen: a program is handed in, judged in a process of its own, and kept by
content, so that its page, its pictures and its sheet can be had again."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from steadyrest.desk.night import alone_record, edge_record
from steadyrest.desk.night.leave import Ends, ShopText, leave_bytes, machines_of
from steadyrest.desk.night.release_program import plain_name
from steadyrest.papers.drawing.darkened import darkened
from steadyrest.papers.leaving_sheet import LeavingSheet, leaving_sheet
from steadyrest.papers.leaving_words import LeavingWords, leaving_words, path_picture, strip_picture
from steadyrest.program.leaving_beside import beside
from steadyrest.shop.floor import Shop
from steadyrest.store import releases
from steadyrest.store.opening import Store
from steadyrest.store.releases import CHECKED, HOUSE, Noted
from steadyrest.trouble import BadInput
from steadyrest.units import LengthUnit
from steadyrest.wording.say import Reader
from steadyrest.workers.running import Progress, Stop, run

TIME_S, MEMORY_MB = 120.0, 3000.0
LARGEST_BYTES = 100_000_000
SHELF = 8
# Width in mm, as for the pictures of a job; each for a light and for a dark screen.
WIDTHS: Mapping[str, float] = {"wide": 180.0, "narrow": 95.0}


@dataclass(frozen=True, slots=True)
class HandedProgram:
    """What was handed in, as typed. blank: in words, "" for what the shop file says. unit: "", "mm" or "in"."""

    name: str
    machine: str
    unit: str = ""
    blank: str = ""


@dataclass(frozen=True, slots=True)
class LeavingShown:
    """The answer as page and paper show it. pictures: SVG by (name, look). answer, sha256: for the record."""

    words: LeavingWords
    pictures: Mapping[tuple[str, str], str]
    answer: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Past:
    """What was written down of a machine. ends: how edges ended, by tool. stops_seen: other stops alone, and hours."""

    ends: Ends
    stops_seen: tuple[float, float]


def past_of(store: Store, machine: str) -> Past:
    """What was written down of a machine."""
    return Past(edge_record.ends(store, machine), alone_record.stops_seen(store, machine))


class Shelf:
    """The last answers shown; anything else is computed anew from what was kept."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.kept: OrderedDict[int, LeavingShown] = OrderedDict()

    def get(self, entry: int) -> LeavingShown | None:
        with self.lock:
            if entry in self.kept:
                self.kept.move_to_end(entry)
            return self.kept.get(entry)

    def put(self, entry: int, shown: LeavingShown) -> None:
        with self.lock:
            self.kept[entry] = shown
            while len(self.kept) > SHELF:
                self.kept.popitem(last=False)

    def clear(self) -> None:
        """Something was learned: every answer is computed anew."""
        with self.lock:
            self.kept.clear()


def check(
    store: Store, shelf: Shelf, handed: HandedProgram, data: bytes, *, shop: Shop, text: ShopText, now: datetime,
    stop: Stop, progress: Progress = lambda _what, _share: None,
) -> int:  # fmt: skip
    """Judge a program that was handed in, keep it, and write the check down.

    Args:
        store: an open data folder.
        shelf: where the answer is put.
        handed: what was typed.
        data: the program.
        shop: for its time zone and units.
        text: the shop file.
        now: aware moment.
        stop: asked now and then; True ends it.
        progress: told what is being done.
    Returns: the check's number.
    Raises: BadInput: no file, too large, no such machine, or no NC program. Stopped, Failed: see workers/running.py.
    """
    name = plain_name(handed.name)
    if not data:
        raise BadInput(where=name or "the file", what="the file is empty.", do="Choose the file once more.")
    if len(data) > LARGEST_BYTES:
        raise BadInput(where=name, what="it is larger than 100 MB.", do="Split the program, or use the command line.")
    shown = judged(
        data, handed, shop=shop, text=text, past=past_of(store, handed.machine), now=now, stop=stop, progress=progress
    )
    store.files.keep(data)
    noted = Noted(name, handed.machine, shown.sha256, shown.answer, HOUSE, now, unit=handed.unit, blank=handed.blank)
    with store.writing() as session:
        entry = releases.note_checked(session, noted)
    shelf.put(entry, shown)
    return entry


def shown(store: Store, shelf: Shelf, entry: int, *, shop: Shop, text: ShopText, stop: Stop) -> LeavingShown:
    """The answer of a check, as it is on the shelf, else judged anew with today's shop file.

    Args:
        store: an open data folder.
        shelf: answers at hand.
        entry: the check's number.
        shop: for its time zone and units.
        text: the shop file.
        stop: asked now and then.
    Returns: the answer.
    Raises: BadInput: there is no such check, or its file is gone.
    """
    at_hand = shelf.get(entry)
    if at_hand is not None:
        return at_hand
    noted = check_of(store, entry)
    handed = HandedProgram(noted.program, noted.machine, noted.unit, noted.blank)
    data = kept_program(store, noted)
    found = judged(data, handed, shop=shop, text=text, past=past_of(store, noted.machine), now=noted.when, stop=stop)
    shelf.put(entry, found)
    return found


def kept_program(store: Store, noted: Noted) -> bytes:
    """The bytes that were checked.

    Raises: BadInput: they are gone; a check made at the command line does not keep them.
    """
    if not store.files.path(noted.sha256).exists():
        what = "the program itself was not kept: it was checked at the command line."
        raise BadInput(where=noted.program, what=what, do="Hand it in here.")
    return store.files.read(noted.sha256)


def check_of(store: Store, entry: int) -> Noted:
    """A check by its number.

    Raises: BadInput: there is none.
    """
    for noted in checks(store):
        if noted.entry == entry:
            return noted
    raise BadInput(where=f"check {entry}", what="there is no such check.", do="Hand the program in again.")


def checks(store: Store) -> tuple[Noted, ...]:
    """Every check, newest first."""
    with store.reading() as session:
        return releases.all_of(session, CHECKED)


def machine_names(text: ShopText) -> tuple[str, ...]:
    """The machines that a program can be checked for."""
    return tuple(machine.name for machine in machines_of(text))


def judged(
    data: bytes, handed: HandedProgram, *, shop: Shop, text: ShopText, past: Past, now: datetime, stop: Stop,
    progress: Progress = lambda _what, _share: None,
) -> LeavingShown:  # fmt: skip
    """Judge a program in a process of its own.

    Args:
        data: the program.
        handed: what was typed.
        shop: for its time zone and units.
        text: the shop file.
        past: what was written down of the machine.
        now: aware moment.
        stop: asked now and then.
        progress: told what is being done.
    Returns: the answer in words and pictures.
    Raises: BadInput: no such machine or blank, or no NC program. Stopped, Failed: see workers/running.py.
    """
    unit: LengthUnit = "in" if shop.unit == "in" else "mm"
    words = (data, handed, text, past, unit, shop.currency, shop.timezone, now)
    return run(
        judge_in_child, words, name=handed.name or "the program", time_s=TIME_S, memory_mb=MEMORY_MB,
        progress=progress, stop=stop,
    )  # fmt: skip


def judge_in_child(
    data: bytes, handed: HandedProgram, text: ShopText, past: Past, unit: LengthUnit, currency: str,
    timezone: str, now: datetime, *, progress: Callable[[str, float], None],
) -> LeavingShown:  # fmt: skip
    """What the worker process does."""
    answer = leave_bytes(
        data, plain_name(handed.name), machine=handed.machine, shop=text, blank=handed.blank or None,
        unit=handed.unit or None, ends=past.ends, stops_seen=past.stops_seen, progress=progress, stop=never,
    )  # fmt: skip
    aside = beside(answer)
    pictures: dict[tuple[str, str], str] = {}
    for look, width_mm in WIDTHS.items():
        # A million moves are laid out once a width, not once a colour.
        for name, drawn in (("path", path_picture(answer, aside, width_mm=width_mm, unit=unit)),
                           ("strip", strip_picture(answer, aside, width_mm=width_mm))):  # fmt: skip
            pictures[name, look] = drawn
            pictures[name, f"{look}-dark"] = darkened(drawn)
    reader = Reader(unit, currency)
    words = leaving_words(answer, aside, reader=reader, checked=now, timezone=timezone)
    return LeavingShown(words, pictures, answer.may_leave, answer.sha256)


def never() -> bool:
    """Stopping is done from outside: the process is ended."""
    return False


def sheet(found: LeavingShown, *, shop: Shop, made: datetime) -> bytes:
    """The leaving sheet as PDF.

    Args:
        found: the answer.
        shop: for its name and time zone.
        made: when it is printed.
    Returns: the PDF.
    """
    return leaving_sheet(
        LeavingSheet(
            shop=shop.name,
            words=found.words,
            made=made,
            timezone=shop.timezone,
            path_svg=found.pictures["path", "wide"],
            strip_svg=found.pictures["strip", "wide"],
        )
    )
