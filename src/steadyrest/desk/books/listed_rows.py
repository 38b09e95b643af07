"""What a row of a list would make: a customer, a piece, hours; checked against the book and the rows before.

Nothing is written here until a row's `apply` is called, in the transaction that writes all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from steadyrest.desk.accounts import customers as customer_desk
from steadyrest.desk.books.csv_rows import Row
from steadyrest.desk.floor.clock import known_person
from steadyrest.desk.pieces import piece_in
from steadyrest.desk.wall_time import wall_time
from steadyrest.shop.floor import Shop
from steadyrest.store import clock, customers, jobs, rack, stretches
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session
from steadyrest.trouble import BadInput

LONGEST_NAME = 120
LONG_AGO = datetime(1, 1, 1, tzinfo=UTC)

Apply = Callable[[Session, str, datetime], list[tuple[str, int]]]


@dataclass(frozen=True, slots=True)
class Made:
    """What a row would make, in words. apply: writes it (session, who, now) and says what it made.

    begins: of hours, which are written in the order in which they happened.
    """

    line: int
    says: str
    apply: Apply
    begins: datetime = LONG_AGO


@dataclass(frozen=True, slots=True)
class Stretch:
    """Hours of a person. listed: a row of the list says so, else the book."""

    start: datetime
    stop: datetime
    job: JobId | None
    listed: bool


@dataclass(slots=True)
class Seen:
    """What stands in the book, and what the rows before said: a list must not contradict either."""

    session: Session
    shop: Shop
    now: datetime
    labels: set[str] = field(default_factory=set[str])
    told: dict[tuple[str, str, str], Mapping[str, str]] = field(
        default_factory=dict[tuple[str, str, str], Mapping[str, str]]
    )
    named: set[str] = field(default_factory=set[str])
    hours: dict[str, list[Stretch]] = field(default_factory=dict[str, "list[Stretch]"])


def customer_row(one: Row, seen: Seen) -> Made | None:
    """A customer, or what else is known of one."""
    cells, session = one.cells, seen.session
    name = customer_desk.line(cells, "name", needed=True, longest=LONGEST_NAME)
    known = customers.by_name(session, name)
    about = customers.about(session, known) if known is not None else None
    new_name = known is None and name not in seen.named
    wanted: list[tuple[str, Mapping[str, str]]] = []
    if cells["called"] or cells["address"]:
        body = customer_desk.address({"called": cells["called"], "lines": cells["address"]}, "")
        if about is None or (about.called, "\n".join(about.lines)) != (body["called"], body["lines"]):
            wanted.append(("address", body))
    if cells["contact"]:
        body = customer_desk.contact({**cells, "name": cells["contact"]}, "")
        contacts = {each.name.casefold(): each for each in about.contacts} if about is not None else {}
        had = contacts.get(body["name"].casefold())
        if had is None or (had.phone, had.mail, had.role) != (body["phone"], body["mail"], body["role"]):
            wanted.append(("contact", body))
    elif cells["phone"] or cells["mail"] or cells["role"]:
        raise BadInput(where="contact", what="a phone, mail or role stands there for nobody.", do="Name the person.")
    if cells["days_to_pay"]:
        body = customer_desk.terms({"days": cells["days_to_pay"]}, "")
        if about is None or about.terms is None or str(about.terms.days) != body["days"]:
            wanted.append(("terms", body))
    new = [(kind, body) for kind, body in wanted if not said_before(seen, name, kind, body)]
    seen.named.add(name)
    if not new and not new_name:
        return None

    def apply(writing: Session, who: str, now: datetime) -> list[tuple[str, int]]:
        made = customers.make(writing, name)
        first = [("customer", int(made.id))] if new_name else []
        return first + [
            ("customer_entry", customers.write_down(
                writing, made.id, kind=kind, body=body, who=who, happened=now, told=now
            ))
            for kind, body in new
        ]  # fmt: skip

    what = ", ".join(kind for kind, _ in new)
    says = f"{name}: {'a new customer' if new_name else 'known'}" + (f", with {what}" if what else "")
    return Made(one.line, says, apply)


def said_before(seen: Seen, name: str, kind: str, body: Mapping[str, str]) -> bool:
    """Whether a row before said the same of this customer. Raises: BadInput: it said something else."""
    key = (name, kind, body["name"].casefold() if kind == "contact" else "")
    before = seen.told.setdefault(key, body)
    if before != body:
        column = {"address": "address", "contact": "contact", "terms": "days_to_pay"}[kind]
        raise BadInput(where=column, what=f"another row says something else of {name}.", do="Keep one.")
    return before is not body


def piece_row(one: Row, seen: Seen) -> Made:
    """A piece that lies on the floor."""
    cells, shop = one.cells, seen.shop
    label = cells["label"]
    if label and (len(label) > piece_in.LABEL or not label.isprintable() or "/" in label):
        raise BadInput(
            where="label", what=f"{label[:40]!r} is no label.", do=f"Use 1 to {piece_in.LABEL} signs, no slash."
        )
    if label and (
        label in seen.labels or label in {each.id for each in shop.pieces} or rack.known(seen.session, label)
    ):
        raise BadInput(where="label", what=f"there is a piece {label} already, or was.", do="Give it another label.")
    seen.labels.add(label)
    size = tuple(part.strip() for part in cells["size"].lower().replace("×", "x").split("x"))
    new = piece_in.New(
        cells["shape"], size, cells["length"], cells["material"], cells["place"], "",
        condition=cells["condition"] or "not known", heat_number=cells["heat_number"],
        certificate=cells["certificate"], cost=cells["cost"] or "0", owner=cells["owner"], damage=cells["damage"],
        camber=cells["camber"], bad=cells["bad_end"],
    )  # fmt: skip
    body = piece_in.said_of(new, shop, shop.unit)

    def apply(writing: Session, who: str, now: datetime) -> list[tuple[str, int]]:
        made = rack.make(writing, label or None, body, who=who, happened=now, told=now)
        while made.label in {each.id for each in shop.pieces}:
            made = rack.make(writing, None, body, who=who, happened=now, told=now)
        return [("piece", int(made.id))]

    says = f"{label or 'the next label'}: {cells['shape']} {cells['size']}, {cells['length']} long, {body['material']}"
    return Made(one.line, f"{says}, at {body['place']}", apply)


def hours_row(one: Row, seen: Seen) -> Made | None:
    """A stretch of work that is over."""
    cells, shop, session = one.cells, seen.shop, seen.session
    person, words = cells["person"], cells["words"]
    known_person(shop, person)
    start, stop = (when(cells[name], shop.timezone, name) for name in ("start", "stop"))
    if not start < stop <= seen.now:
        raise BadInput(
            where="stop", what="it is not after the start, or still to come.", do="Give when the work was over."
        )
    if len(words) > clock.LONGEST_WORDS:
        raise BadInput(where="words", what="they are too many.", do=f"Keep them under {clock.LONGEST_WORDS} signs.")
    job = job_named(session, cells["job"])
    if person not in seen.hours:
        kept = stretches.stretches(clock.entries(session, person=person), now=seen.now)
        seen.hours[person] = [Stretch(each.start, each.end or seen.now, each.job_id, False) for each in kept]
    mine, others = Stretch(start, stop, job, True), seen.hours[person]
    if any((each.start, each.stop, each.job) == (start, stop, job) for each in others):
        return None
    if any(in_the_way(mine, each) for each in others):
        raise BadInput(where="start", what=f"other hours of {person} lie in that time.", do="Take out one of them.")
    others.append(mine)

    def apply(writing: Session, who: str, now: datetime) -> list[tuple[str, int]]:
        shared = any(each is not mine and each.listed and each.start <= start < each.stop for each in others)
        began = clock.write(
            writing, person=person, kind="beside" if shared else "start", happened=start, told=now, who=who,
            job_id=job, words=words,
        )  # fmt: skip
        over = clock.write(writing, person=person, kind="stop", happened=stop, told=now, who=who, job_id=job)
        return [("clock", int(began.id)), ("clock", int(over.id))]

    about = f"job {cells['job']}" if job is not None else "no job"
    says = f"{person}, {about}: {start:%Y-%m-%d %H:%M} to {stop:%Y-%m-%d %H:%M}"
    return Made(one.line, says, apply, begins=start)


def in_the_way(mine: Stretch, other: Stretch) -> bool:
    """Whether two stretches of a person cannot both be: two jobs of one list may be worked on beside one another."""
    touches_it = mine.start < other.stop and other.start < mine.stop
    if other.listed and None not in (mine.job, other.job) and mine.job != other.job:
        return False
    # A stop told at the very moment of another's start on the same job would end that one.
    return touches_it or (mine.stop == other.start and mine.job in (None, other.job) and not other.listed)


def when(text: str, timezone: str, column: str) -> datetime:
    """A moment with its offset, or by the shop's clock."""
    try:
        told = datetime.fromisoformat(text)
        if told.tzinfo is not None:
            return told.astimezone(ZoneInfo(timezone))
    except (ValueError, OverflowError):
        pass
    try:
        return wall_time(text.replace(" ", "T"), timezone, where=column)
    except OverflowError:
        raise BadInput(
            where=column, what=f"{text[:40]!r} is no day of the calendar.", do="Write it as 2026-11-27T12:00."
        ) from None


def job_named(session: Session, text: str) -> JobId | None:
    """The job of this number; None where none is named."""
    if not text:
        return None
    found = jobs.job(session, int(text)) if text.isascii() and text.isdecimal() and len(text) < 10 else None
    if found is None:
        raise BadInput(
            where="job", what=f"there is no job {text[:20]!r}.", do="Leave it empty, or put the job in first."
        )
    return found.id


ROWS: Mapping[str, Callable[[Row, Seen], Made | None]] = {
    "customers": customer_row, "pieces": piece_row, "hours": hours_row,
}  # fmt: skip
