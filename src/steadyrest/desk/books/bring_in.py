"""Bring lists in: customers, pieces, quotes of the past, hours. First what would be made, then all of it or nothing.

The file is kept, and an entry says what it made. Undoing is an entry too, with others that take back what it made; it
is refused where something was built on it meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from steadyrest.desk.books.csv_rows import Fault, Row, rows
from steadyrest.desk.books.listed_rows import ROWS, Made, Seen
from steadyrest.promise.lessons.past import read_past
from steadyrest.shop.floor import Shop
from steadyrest.store import clock, customers, imports, plans, rack, touches
from steadyrest.store.opening import Session, Store
from steadyrest.trouble import BadInput

VERB = "import"
COLUMNS: Mapping[str, tuple[str, ...]] = {
    "customers": ("name", "called", "address", "contact", "phone", "mail", "role", "days_to_pay"),
    "pieces": ("label", "shape", "size", "length", "material", "place", "condition", "heat_number", "certificate",
               "cost", "owner", "damage", "camber", "bad_end"),
    "quotes": ("job", "step", "station", "person", "estimate_s", "rivals", "won", "actual_s"),
    "hours": ("person", "start", "stop", "job", "words"),
}  # fmt: skip
NEEDED: Mapping[str, tuple[str, ...]] = {
    "customers": ("name",),
    "pieces": ("shape", "size", "length", "material", "place"),
    "quotes": COLUMNS["quotes"],
    "hours": ("person", "start", "stop"),
}
MOST_FAULTS = 200


@dataclass(frozen=True, slots=True)
class Preview:
    """What a list would make, and what is at fault. same: rows that are in the book already, as they are.

    read: rows of the list. It can be applied where nothing is at fault.
    """

    what: str
    file: str
    read: int
    made: tuple[Made, ...]
    same: int
    faults: tuple[Fault, ...]


def preview(store: Store, shop: Shop, what: str, file: str, data: bytes, *, now: datetime) -> Preview:
    """What a list would make.

    Args:
        store: an open data folder; nothing is written. shop: its people and metals.
        what: one of COLUMNS.
        file, data: of the list.
        now: aware moment.
    Returns: the preview.
    Raises: BadInput: no such kind of list, or the file is no CSV with its columns.
    """
    with store.reading() as session:
        return looked(session, shop, what, file, data, now=now)


def looked(session: Session, shop: Shop, what: str, file: str, data: bytes, *, now: datetime) -> Preview:
    """The same within a transaction."""
    if what not in COLUMNS:
        raise BadInput(where="import", what=f"{what[:40]!r} is no list.", do=f"One of: {', '.join(COLUMNS)}.")
    found = rows(data, where=file, columns=COLUMNS[what], needed=NEEDED[what])
    if what == "quotes":
        return of_quotes(data, file, found)
    seen, made, faults, same = Seen(session, shop, now), list[Made](), list[Fault](), 0
    for one in found:
        try:
            wanted = ROWS[what](one, seen)
        except BadInput as wrong:
            faults.append(Fault(one.line, column_of(wrong.where), wrong.what, wrong.do))
        else:
            same += wanted is None
            made += [wanted] if wanted is not None else []
        if len(faults) >= MOST_FAULTS:
            break
    return Preview(what, file, len(found), tuple(made), same, tuple(faults))


def column_of(where: str) -> str:
    """A field as the list calls it."""
    return where.removeprefix("--").replace("-", "_")


def of_quotes(data: bytes, file: str, found: Sequence[Row]) -> Preview:
    """Quotes are kept as their file: the lessons read it."""
    try:
        listed = read_past(quoted_text(found), file)
    except BadInput as wrong:
        at = wrong.where.rpartition("line ")[2]
        line = found[int(at) - 2].line if at.isdecimal() and 2 <= int(at) < len(found) + 2 else 1
        return Preview("quotes", file, len(found), (), 0, (Fault(line, "", wrong.what, wrong.do),))
    del data
    won = sum(one.won for one in listed.quotes)
    says = f"{len(listed.quotes)} jobs quoted, {won} of them won, kept for what they teach"
    return Preview("quotes", file, len(found), (Made(1, says, lambda _session, _who, _now: []),), 0, ())


def quoted_text(found: Sequence[Row]) -> str:
    """Rows of quotes as the lessons read them."""
    import csv
    import io

    out = io.StringIO(newline="")
    table = csv.writer(out)
    table.writerow(COLUMNS["quotes"])
    table.writerows([one.cells[name] for name in COLUMNS["quotes"]] for one in found)
    return out.getvalue()


# ---- all or nothing ----------------------------------------------------------------------------------------------


def bring_in(
    store: Store, shop: Shop, what: str, file: str, data: bytes, *, who: str, now: datetime, touch: str = ""
) -> int:
    """Write all that a list says, or nothing.

    Args:
        store: an open data folder. shop: its people and metals.
        what: one of COLUMNS.
        file, data: of the list.
        who: says so.
        now: aware moment.
        touch: of the form, so that it counts once.
    Returns: the number of the entry that says so.
    Raises: BadInput: something is at fault (the first fault, and how many), or the list stands in the book already.
    """
    sha256 = store.files.keep(data)
    with store.writing() as session:
        before = touches.answered(session, touch, verb=VERB)
        if before is not None:
            return int(before)
        found = looked(session, shop, what, file, data, now=now)
        if found.faults:
            first, more = found.faults[0], len(found.faults) - 1
            at = f"{file}, line {first.line}" + (f", {first.column}" if first.column else "")
            besides = f" (and {more} more faults)" if more else ""
            raise BadInput(where=at, what=f"{first.what.rstrip('.')}{besides}.", do=first.do)
        if any(one.sha256 == sha256 and one.what == what and not one.undone for one in imports.imports(session)):
            raise BadInput(where=file, what="this very list was brought in already.", do="Undo that first.")
        if not found.made:
            raise BadInput(where=file, what="all of it stands in the book already.", do="There is nothing to do.")
        plans.note_file(session, sha256=sha256, size_bytes=len(data), name=file, kind="list", now=now)
        in_order = sorted(found.made, key=lambda one: one.begins) if what == "hours" else found.made
        made = [each for one in in_order for each in one.apply(session, who, now)]
        entry = imports.note(session, what=what, file=file, sha256=sha256, rows=found.read, made=made, who=who, now=now)
        touches.keep(session, touch, verb=VERB, answer=str(int(entry)), now=now)
    return int(entry)


def undo(store: Store, entry: int, *, who: str, now: datetime) -> imports.Import:
    """Take back all that a list made, or nothing.

    Args:
        store: an open data folder.
        entry: of the import.
        who: says so.
        now: aware moment.
    Returns: the import.
    Raises: BadInput: there is none, it is undone, or something was built on it.
    """
    with store.writing() as session:
        one = imports.import_of(session, entry)
        for table, number in reversed(one.made):
            UNDO[table](session, number, who, now)
        imports.undo(session, one, who=who, now=now)
    return one


def all_imports(store: Store) -> tuple[imports.Import, ...]:
    """Every list that was brought in, the newest first."""
    with store.reading() as session:
        return imports.imports(session)[::-1]


def undo_customer(_session: Session, _number: int, _who: str, _now: datetime) -> None:
    """A name stays in the book, with nothing known of it."""


def undo_entry(session: Session, number: int, who: str, now: datetime) -> None:
    """What was known of a customer before."""
    every = customers.entries(session)
    mine = next(one for one in every if one.id == number)
    name = mine.body.get("name", "").casefold()
    alike = [
        one for one in every
        if (one.customer_id, one.kind) == (mine.customer_id, mine.kind) and one.body.get("name", "").casefold() == name
    ]  # fmt: skip
    if max(alike, key=lambda one: (one.happened, one.id)).id != number:
        raise BadInput(
            where=f"customer entry {number}", what=f"the {mine.kind} was changed since.",
            do="Change by hand what is left to change.",
        )  # fmt: skip
    older = [one for one in sorted(alike, key=lambda one: (one.happened, one.id)) if one.id < number]
    gone: Mapping[str, str] = {**mine.body, "gone": "yes"} if mine.kind == "contact" else {}
    customers.write_down(
        session, mine.customer_id, kind=mine.kind, body=older[-1].body if older else gone, who=who, happened=now,
        told=now,
    )  # fmt: skip


def undo_piece(session: Session, number: int, who: str, now: datetime) -> None:
    """The piece is gone from the book."""
    one = next(each for each in rack.pieces(session) if each.id == number)
    if one.turn != 1:
        raise BadInput(
            where=f"piece {one.label}", what="something happened to it since.", do="Set it right on the rack's page."
        )
    rack.move(
        session, one.id, 2, "gone", {"why": "the list was undone", "length_mm": 0.0}, who=who, happened=now, told=now
    )


def undo_clock(session: Session, number: int, who: str, now: datetime) -> None:
    """The entry never happened."""
    old = clock.correctable(session, clock.ClockId(number))
    clock.write(
        session, person=old.person, kind="struck", happened=old.happened, told=now, who=who, job_id=old.job_id,
        step=old.step, words="the list was undone", replaces=old.id,
    )  # fmt: skip


UNDO: Mapping[str, Callable[[Session, int, str, datetime], None]] = {
    "customer": undo_customer, "customer_entry": undo_entry, "piece": undo_piece, "clock": undo_clock,
}  # fmt: skip


def past_quotes(store: Store, session: Session) -> Iterator[str]:
    """The lists of quotes that stand, each as the lessons read it."""
    for one in imports.imports(session):
        if one.what != "quotes" or one.undone:
            continue
        found = rows(store.files.read(one.sha256), where=one.file, columns=COLUMNS["quotes"], needed=())
        yield quoted_text(found)
