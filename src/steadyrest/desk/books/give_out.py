"""Give everything out in open formats: lists that can be brought in again, every ledger as CSV, every file as it was.

One archive (ZIP): `lists/` in the columns of `bring_in`, `ledgers/` a table each with every column as it is kept,
`files/` by content hash, the shop file, and a page that says what is what. PINs and sessions are not in it.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath

from steadyrest.desk.books.bring_in import COLUMNS, past_quotes
from steadyrest.desk.books.csv_rows import written
from steadyrest.desk.week.own_past import own_quotes
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.promise.lessons.past import Quote, read_past
from steadyrest.store import clock, customers, jobs, rack, stretches
from steadyrest.store.files import pieces
from steadyrest.store.opening import Session, Store
from steadyrest.store.seals import sealed_tables
from steadyrest.trouble import BadInput

SUFFIX = re.compile(r"\.[a-z0-9]{1,5}")
READ_ME = """What is in this archive

lists/    customers, pieces, quotes and hours as lists that can be brought in again. What no list can say is not in
          them: plates that are no whole rectangle any more, work that still runs, hours on no known day.
ledgers/  every table that is only ever added to, each row as it is kept: moments in UTC, money as decimal text,
          plans, parts and bodies of entries as JSON text.
files/    every file that was handed in or issued, by the SHA-256 of its content; ledgers/file.csv names each.
shop.toml the shop file.

CSV: UTF-8, commas, RFC 4180. A cell that a spreadsheet could take for a formula begins with an apostrophe, and so does
one that began with an apostrophe itself: take the first one off to read it as it was.
"""
# The archive's own dates: the same data gives the same bytes.
DATE = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class GivenOut:
    """What was written. rows: by list and ledger; files: how many; lost: kept files that are gone or damaged."""

    path: Path
    rows: tuple[tuple[str, int], ...]
    files: int
    lost: tuple[str, ...]


def give_out(store: Store, said: ShopSaid, goal: Path, *, now: datetime) -> GivenOut:
    """Write everything into an archive; it is whole, or not there.

    Args:
        store: an open data folder. said: the shop.
        goal: the archive; not overwritten.
        now: aware moment.
    Returns: what was written.
    Raises: BadInput: it is there already, or cannot be written.
    """
    if goal.exists():
        raise BadInput(where=str(goal), what="is there already.", do="Name another file; nothing is overwritten.")
    half = goal.with_name(f".{goal.name}.half")
    quotes = tuple(all_quotes(store, now=now))
    counts: list[tuple[str, int]] = []
    try:
        with store.reading() as session, zipfile.ZipFile(half, "w", zipfile.ZIP_DEFLATED) as out:
            put(out, "read-me.txt", READ_ME)
            put(out, "shop.toml", said.text)
            for name, rows in lists(session, quotes, now=now).items():
                counts.append((f"lists/{name}.csv", len(rows)))
                put(out, f"lists/{name}.csv", written(COLUMNS[name], rows))
            for name, columns, rows in ledgers(session):
                counts.append((f"ledgers/{name}.csv", len(rows)))
                put(out, f"ledgers/{name}.csv", written(columns, rows))
            named = [(str(sha), str(name)) for sha, name in session.exec_driver_sql("SELECT sha256, name FROM file")]
            lost = tuple(sha for sha, name in named if not put_file(out, store, sha, name))
        half.replace(goal)
    except OSError as fault:
        raise BadInput(
            where=str(goal), what=f"cannot be written ({fault.strerror}).", do="Choose another place."
        ) from None
    finally:
        half.unlink(missing_ok=True)
    return GivenOut(goal, tuple(counts), len(named) - len(lost), lost)


def put(out: zipfile.ZipFile, name: str, text: str) -> None:
    """A text into the archive."""
    out.writestr(zipfile.ZipInfo(name, DATE), text.encode(), zipfile.ZIP_DEFLATED)


def put_file(out: zipfile.ZipFile, store: Store, sha256: str, name: str) -> bool:
    """A kept file into the archive, in pieces; False where it is gone."""
    suffix = PurePosixPath(name.lower()).suffix
    at = f"files/{sha256}{suffix if SUFFIX.fullmatch(suffix) else ''}"
    try:
        with open(store.files.path(sha256), "rb") as source, out.open(zipfile.ZipInfo(at, DATE), "w") as goal:
            for chunk in pieces(source.fileno()):
                goal.write(chunk)
    except FileNotFoundError:
        return False
    return True


def lists(session: Session, quotes: tuple[Quote, ...], *, now: datetime) -> Mapping[str, list[tuple[str, ...]]]:
    """The lists that can be brought in again, by name."""
    return {
        "customers": list(customer_rows(session)),
        "pieces": list(piece_rows(session)),
        "quotes": list(quote_rows(quotes)),
        "hours": list(hour_rows(session, now=now)),
    }


def customer_rows(session: Session) -> Iterator[tuple[str, ...]]:
    """A row for each contact of each customer, one at least."""
    for one in customers.all_customers(session):
        about = customers.about(session, one)
        whole = (about.called, "\n".join(about.lines)), (str(about.terms.days) if about.terms is not None else "",)
        contacts = [(each.name, each.phone, each.mail, each.role) for each in about.contacts] or [("", "", "", "")]
        for k, contact in enumerate(contacts):
            yield (one.name, *(("", "") if k else whole[0]), *contact, *(("",) if k else whole[1]))


def piece_rows(session: Session) -> Iterator[tuple[str, ...]]:
    """The pieces that lie on the floor, by their label."""
    for one in rack.pieces(session):
        if one.state == "gone" or one.outline_mm or one.holes_mm:
            continue
        yield (
            one.label, one.shape, " x ".join(mm(x) for x in one.size_mm), mm(one.length_mm), one.material, one.place,
            one.condition, one.heat_number, one.certificate, str(one.cost), one.owner, one.damage,
            mm(one.camber_mm) if one.camber_mm else "", mm(one.bad_mm) if one.bad_mm else "",
        )  # fmt: skip


def mm(length_mm: float) -> str:
    """A length with its unit and all of its digits."""
    return f"{length_mm!r} mm"


def quote_rows(quotes: tuple[Quote, ...]) -> Iterator[tuple[str, ...]]:
    """A row for each step of each quote."""
    for one in quotes:
        for step in one.steps:
            yield (
                one.job, step.step, step.station, step.person, repr(step.estimate_s), str(one.rivals),
                "1" if one.won else "0", repr(step.actual_s) if step.actual_s is not None else "",
            )  # fmt: skip


def all_quotes(store: Store, *, now: datetime) -> Iterator[Quote]:
    """The quotes of the past: those brought in, then the shop's own."""
    with store.reading() as session:
        texts = tuple(past_quotes(store, session))
    for text in texts:
        yield from read_past(text, "quotes brought in").quotes
    yield from own_quotes(store, now=now)


def hour_rows(session: Session, *, now: datetime) -> Iterator[tuple[str, ...]]:
    """Every stretch of work that is over."""
    every = clock.entries(session)
    words = {one.id: one.words for one in every}
    numbers = {one.id: one.number for one in jobs.jobs(session)}
    for one in stretches.stretches(every, now=now):
        if one.end is not None:
            job = str(numbers[one.job_id]) if one.job_id is not None else ""
            yield one.person, one.start.isoformat(), one.end.isoformat(), job, words.get(one.begun_by, "")


def ledgers(session: Session) -> Iterator[tuple[str, tuple[str, ...], list[tuple[str, ...]]]]:
    """Every table of rows that stay: its name, its columns, its rows as they are kept."""
    for table in sealed_tables():
        columns = tuple(column.name for column in table.columns)
        key = ", ".join(column.name for column in table.primary_key)
        asked = f'SELECT {", ".join(columns)} FROM "{table.name}" ORDER BY {key}'
        yield table.name, columns, [tuple(map(as_text, one)) for one in session.exec_driver_sql(asked)]


def as_text(value: object) -> str:
    """A kept value as text; nothing where there is none."""
    if value is None:
        return ""
    return value.hex() if isinstance(value, bytes) else str(value)
