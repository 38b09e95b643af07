"""Things of the shop: where they are and how, what is due, which tools run low, which machine has to be served.

Photos, counts and looks are entries. A gauge of the shop file whose next check stands here decides no reading after
that day (measure/verdict); a machine's hours are what the clock says people worked on it and how long it ran alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from datetime import time as day_time
from typing import Literal
from zoneinfo import ZoneInfo

from steadyrest.desk.floor import clock
from steadyrest.desk.plan import keeping
from steadyrest.promise.service import service_due
from steadyrest.shop.figure import Figure
from steadyrest.shop.floor import Gauge, PromisedWork, Shop
from steadyrest.stock.reorder import order_at
from steadyrest.store import jobs, plans, runs_alone, things, touches
from steadyrest.store.jobs import JobId
from steadyrest.store.opening import Session, Store
from steadyrest.store.things import Body, EntryKind, Thing, ThingKind
from steadyrest.trouble import BadInput
from steadyrest.wording.moments import moment

VERB = "thing"
LONGEST, LONGEST_NAME, LONGEST_NUMBER = 500, 60, 19
MOST_COUNT = 100_000
LAST_ODDS, LEAD_DAYS = 0.95, 7.0  # where nobody says otherwise: a habit, no source
SOON = timedelta(days=14)
HOUR_S = 3600.0
SAID = ("place", "condition", "words", "due", "lead_days", "odds", "supplier", "service_h", "job")
Attention = Literal["", "low", "overdue", "soon"]


@dataclass(frozen=True, slots=True)
class Kept:
    """A thing with what it asks for. attention: what is the matter with it; "" for nothing.

    order_at: of a tool, at how many left to order. run_h: of a machine, hours run since it was served.
    """

    thing: Thing
    attention: Attention
    order_at: Figure | None
    run_h: float | None


def all_things(store: Store, shop: Shop, *, now: datetime) -> tuple[Kept, ...]:
    """Every thing that is here, those that ask for something first.

    Args:
        store: an open data folder. shop: its machines and gauges.
        now: aware moment.
    Returns: things.
    """
    with store.reading() as session:
        found = [kept(session, one, shop, now=now) for one in things.things(session) if not one.gone]
    order: tuple[Attention, ...] = ("overdue", "low", "soon", "")
    return tuple(sorted(found, key=lambda one: (order.index(one.attention), one.thing.kind, one.thing.name)))


def one_thing(store: Store, number: int, shop: Shop, *, now: datetime) -> Kept:
    """The thing of this number. Raises: BadInput: there is none."""
    with store.reading() as session:
        return kept(session, there(session, number), shop, now=now)


def there(session: Session, number: int) -> Thing:
    """The thing of this number. Raises: BadInput: there is none."""
    found = things.thing(session, number)
    if found is None:
        raise BadInput(where=f"thing {number}", what="there is no such thing.", do="Look at the list of things.")
    return found


def kept(session: Session, one: Thing, shop: Shop, *, now: datetime) -> Kept:
    """A thing with what it asks for."""
    today = now.astimezone(ZoneInfo(shop.timezone)).date()
    attention: Attention = ""
    if one.due is not None:
        attention = "overdue" if one.due < today else "soon" if one.due <= today + SOON else ""
    point = run_h = None
    if one.kind == "tool":
        began = one.entries[0].happened
        point = order_at(
            one.uses, watched_days=(now - began) / timedelta(days=1), lead_days=one.lead_days or LEAD_DAYS,
            odds=one.odds or LAST_ODDS,
        )  # fmt: skip
        if one.count <= point.value:
            attention = "low"
    elif one.kind == "machine" and one.served is not None:
        run_h = run_hours(session, shop, one.name, since=one.served, now=now)
        if one.service_h and run_h >= one.service_h:
            attention = "overdue"
    return Kept(one, attention, point, run_h)


def run_hours(session: Session, shop: Shop, machine: str, *, since: datetime, now: datetime) -> float:
    """How long a machine ran: while somebody was on one of its steps, by the clock, and alone; each moment once.

    Args:
        session: a transaction.
        shop: whose people are asked.
        machine: its id.
        since, now: aware moments.
    Returns: hours.
    """
    machines: dict[JobId, tuple[str | None, ...]] = {}
    spans: list[tuple[datetime, datetime]] = []
    for work in clock.works_since(session, shop, since=since, now=now):
        if work.job_id is None or work.step is None:
            continue
        steps = machines.setdefault(work.job_id, machines_of(session, work.job_id))
        if 1 <= work.step <= len(steps) and steps[work.step - 1] == machine:
            spans.append((max(work.start, since), work.end or now))
    by_hand_s, until = 0.0, since
    for start, end in sorted(spans):
        by_hand_s += max((end - max(start, until)).total_seconds(), 0.0)
        until = max(until, end)
    alone_s = sum(one.ran_s for one in runs_alone.alone_noted(session, machine) if one.when >= since)
    return (by_hand_s + alone_s) / HOUR_S


def services(store: Store, shop: Shop, promised: Sequence[PromisedWork], *, now: datetime) -> tuple[PromisedWork, ...]:
    """The services that the promised work brings on, by the hours each machine ran since it was last served.

    Args:
        store: an open data folder.
        shop: whose machines say how often they are served, and how long it takes.
        promised: all work of the week.
        now: aware moment.
    Returns: work of the shop's own; a machine whose hours nobody counts is not among them.
    """
    asked = [machine for machine in shop.machines if machine.service_every_h > 0]
    if not asked:
        return ()
    found: list[PromisedWork] = []
    with store.reading() as session:
        served = {one.name: one.served for one in things.things(session) if one.kind == "machine"}
        for machine in asked:
            since = served.get(machine.id)
            if since is None:
                continue
            ran_h = run_hours(session, shop, machine.id, since=since, now=now)
            one = service_due(machine, ran_h, promised, shop=shop, now=now)
            found += [one] if one is not None else []
    return tuple(found)


def machines_of(session: Session, job_id: JobId) -> tuple[str | None, ...]:
    """The machine of each step of a job's plan."""
    chosen = plans.chosen_plan(session, jobs.by_id(session, job_id).id)
    best = keeping.plan_value(chosen).best if chosen is not None else None
    return tuple(step.machine for step in best.route.steps) if best is not None else ()


def with_gauges(shop: Shop, store: Store) -> Shop:
    """The shop with its gauges' next checks as they stand here: the day itself still counts.

    Args:
        shop: as its file says.
        store: an open data folder.
    Returns: the same; of a gauge that is gone from the floor nothing is measured any more.
    """
    with store.reading() as session:
        known = {one.name: one for one in things.things(session) if one.kind == "gauge"}
    if not known:
        return shop

    def dated(gauge: Gauge) -> Gauge:
        one = known.get(gauge.id)
        if one is None or one.due is None:
            return gauge
        return replace(gauge, due=datetime.combine(one.due, day_time.max, ZoneInfo(shop.timezone)).astimezone(UTC))

    kept_here = (gauge for gauge in shop.gauges if not (gauge.id in known and known[gauge.id].gone))
    return replace(shop, gauges=tuple(dated(gauge) for gauge in kept_here))


def low(found: Iterable[Kept]) -> tuple[Kept, ...]:
    """The tools to order."""
    return tuple(one for one in found if one.attention == "low")


# ---- what is told ------------------------------------------------------------------------------------------------


def add(
    store: Store, shop: Shop, kind: str, name: str, words: Mapping[str, str], photo: bytes, *, who: str, now: datetime,
    touch: str = "",
) -> int:  # fmt: skip
    """Put a thing into the book.

    Args:
        store: an open data folder. shop: its machines and gauges.
        kind, name: what it is; a machine is one of the shop file's.
        words: of SAID, and count, as typed.
        photo: bytes, or none.
        who: says so.
        now: aware moment.
        touch: of the form.
    Returns: its number.
    Raises: BadInput: no such kind, no name, one of the words cannot be, or there is one of this name.
    """
    if kind not in things.KINDS:
        raise BadInput(where="kind", what=f"{kind[:40]!r} is none.", do=f"One of: {', '.join(things.KINDS)}.")
    of, called = kind, " ".join(name.split())
    if not called or len(called) > LONGEST_NAME or not called.isprintable():
        raise BadInput(where="name", what="it has no name.", do=f"Give it one of 1 to {LONGEST_NAME} signs.")
    if of == "machine" and called not in {one.id for one in shop.machines}:
        names = ", ".join(one.id for one in shop.machines)
        raise BadInput(where="name", what=f"{called!r} is no machine of the shop file.", do=f"One of: {names}.")
    body = said(of, words, counts=True)
    sha256 = kept_photo(store, photo)
    with store.writing() as session:
        before = touches.answered(session, touch, verb=VERB)
        if before is not None:
            return int(before)
        note_photo(session, sha256, photo, now=now)
        known_job(session, body)
        made = things.make(session, of, called, body, who=who, now=now, file_sha256=sha256)
        touches.keep(session, touch, verb=VERB, answer=str(int(made.id)), now=now)
    return int(made.id)


def tell(
    store: Store, number: int, what: str, words: Mapping[str, str], photo: bytes, *, seen: str, who: str,
    now: datetime, touch: str = "",
) -> None:  # fmt: skip
    """Write down what happened to a thing.

    Args:
        store: an open data folder.
        number: the thing's.
        what: "said" (place, condition, next check, ...), "used", "bought", "counted", "served" or "gone".
        words: of SAID, and count, as typed.
        photo: bytes, or none.
        seen: the turn that was seen; "" where nobody says.
        who: says so.
        now: aware moment.
        touch: of the form.
    Raises: BadInput: no such thing, something happened to it meanwhile, or the words cannot be.
    """
    kinds: dict[str, EntryKind] = {
        "said": "said", "used": "used", "bought": "bought", "counted": "counted", "served": "served", "gone": "gone",
    }  # fmt: skip
    if what not in kinds:
        raise BadInput(where="the form", what="it says nothing.", do=f"One of: {', '.join(kinds)}.")
    sha256 = kept_photo(store, photo)
    with store.writing() as session:
        if touches.answered(session, touch, verb=VERB) is not None:
            return
        one = there(session, number)
        body = said(one.kind, words, counts=what in ("used", "bought", "counted"))
        if seen and seen != str(one.turn):
            last = one.entries[-1]
            raise BadInput(
                where=one.name, what=f"{last.who} said something of it meanwhile ({last.kind}).",
                do="Open the page again.",
            )  # fmt: skip
        if one.gone:
            raise BadInput(where=one.name, what="it is gone.", do="Put it in anew under another name.")
        check(one, what, body, photo=bool(photo))
        known_job(session, body)
        note_photo(session, sha256, photo, now=now)
        things.write_down(session, one.id, one.turn + 1, kinds[what], body, who=who, now=now, file_sha256=sha256)
        touches.keep(session, touch, verb=VERB, answer=what, now=now)


def check(one: Thing, what: str, body: Body, *, photo: bool) -> None:
    """Raises: BadInput: it cannot be said of this thing."""
    counts = what in ("used", "bought", "counted")
    if counts and one.kind != "tool":
        raise BadInput(where=one.name, what=f"a {one.kind} is not counted.", do="Say how it is instead.")
    if what == "used" and int(body["count"]) > one.count:
        raise BadInput(where=one.name, what=f"only {one.count} are there by the book.", do="Count them first.")
    if what == "served" and one.kind != "machine":
        raise BadInput(where=one.name, what=f"a {one.kind} is not served.", do="Say how it is instead.")
    if what == "said" and not body and not photo:
        raise BadInput(where=one.name, what="nothing is said of it.", do="Say where it is or how, or take a photo.")


def known_job(session: Session, body: Body) -> None:
    """Raises: BadInput: it is said to be used for a job that there is not."""
    job = body.get("job")
    if job is not None and jobs.job(session, int(job)) is None:
        raise BadInput(where="for job", what=f"there is no job {job}.", do="Look at the bench.")


def said(kind: ThingKind, words: Mapping[str, str], *, counts: bool) -> Body:
    """What is said of a thing, checked. Raises: BadInput: the first word that cannot be."""
    body: dict[str, str | int | float] = {}
    for name in ("place", "condition", "words", "supplier"):
        if words.get(name, "").strip():
            body[name] = words[name].strip()[:LONGEST]
    if words.get("due", "").strip():
        try:
            body["due"] = date.fromisoformat(words["due"].strip()).isoformat()
        except ValueError:
            raise BadInput(where="due", what="it is no day.", do="Write it as 2027-03-31.") from None
    for name, low_end, high_end in (("lead_days", 0.0, 730.0), ("service_h", 0.0, 100_000.0), ("odds", 0.0, 1.0)):
        text = words.get(name, "").strip()
        if text:
            body[name] = number(text, name, low_end, high_end)
    if words.get("job", "").strip():
        text = words["job"].strip()
        if not (text.isascii() and text.isdecimal() and len(text) < LONGEST_NUMBER):
            raise BadInput(where="for job", what=f"{text[:20]!r} is no job's number.", do="Write it as it stands.")
        body["job"] = int(text)
    if counts and kind == "tool":
        text = words.get("count", "").strip()
        if not (text.isascii() and text.isdecimal() and int(text[:9]) <= MOST_COUNT):
            raise BadInput(where="count", what="it is not said how many.", do="Write a whole number.")
        body["count"] = int(text)
    return body


def number(text: str, name: str, low_end: float, high_end: float) -> float:
    """A number between two, neither of them included."""
    try:
        much = float(text.replace(",", "."))
    except ValueError:
        much = -1.0
    if not low_end < much < high_end:
        raise BadInput(
            where=name, what=f"{text[:20]!r} is none that can be.", do=f"Give one between {low_end:g} and {high_end:g}."
        )
    return much


def kept_photo(store: Store, photo: bytes) -> str | None:
    """Keep a photo. Raises: BadInput: it is none."""
    return store.files.keep(photo) if clock.photo_kind(photo) else None


def note_photo(session: Session, sha256: str | None, photo: bytes, *, now: datetime) -> None:
    """Note a photo that was kept."""
    if sha256 is not None:
        kind = clock.photo_kind(photo)
        plans.note_file(session, sha256=sha256, size_bytes=len(photo), name="photo", kind=kind, now=now)


# ---- in words, the same on the page, today and at the terminal ---------------------------------------------------


def matter(one: Kept) -> str:
    """What is the matter with a thing, in words; "" for nothing."""
    thing = one.thing
    if one.attention == "low" and one.order_at is not None:
        wait = f": new ones take {thing.lead_days:g} days to come" if thing.lead_days else ""
        return f"{thing.count} left, order at {one.order_at.value:.0f}{wait}"
    if one.attention == "overdue" and one.run_h is not None and thing.due is None:
        return f"to be served: it ran {one.run_h:.0f} h since, and is served every {thing.service_h:g} h"
    if one.attention == "overdue" and thing.due is not None:
        decides = ": no reading with it decides" if thing.kind == "gauge" else ""
        return f"check overdue since {thing.due.isoformat()}{decides}"
    return f"check due {thing.due.isoformat()}" if one.attention == "soon" and thing.due is not None else ""


def in_words(one: Kept, shop: Shop) -> str:
    """Where a thing is and how, in one line."""
    thing = one.thing
    names = {each.id: each.name for each in (*shop.machines, *shop.gauges)}
    parts = [
        names.get(thing.name, "") if names.get(thing.name, "") != thing.name else "",
        thing.place, thing.condition,
        f"{thing.count} there" if thing.kind == "tool" else "",
        f"next check {thing.due.isoformat()}" if thing.due is not None else "",
        f"ran {one.run_h:.1f} h since it was served" if one.run_h is not None else "",
    ]  # fmt: skip
    return ", ".join(part for part in parts if part)


def story(thing: Thing, shop: Shop) -> tuple[str, ...]:
    """What happened to a thing, the first first."""
    people = {person.id: person.name for person in shop.people}
    found: list[str] = []
    for one in thing.entries:
        much = one.body.get("count", 0)
        what = {
            "came": "put in the book" + (f", {much} there" if much else ""), "said": "said", "used": f"{much} used",
            "bought": f"{much} came", "counted": f"counted: {much}", "served": "served", "gone": "gone",
        }[one.kind]  # fmt: skip
        rest = [
            f"{SHOWN[name]}{f'{value:g}' if isinstance(value, float) else value}"
            for name, value in one.body.items()
            if name in SHOWN
        ]
        photo = ["with a photo"] if one.file_sha256 else []
        at = moment(one.happened, shop.timezone)
        found.append(f"{at}, {people.get(one.who, one.who)}: {', '.join([what, *rest, *photo])}")
    return tuple(found)


SHOWN: Mapping[str, str] = {
    "place": "at ", "condition": "", "words": "", "due": "next check ", "supplier": "from ",
    "service_h": "served every so many hours: ", "lead_days": "days to come ", "odds": "must last ",
    "job": "used for job ",
}  # fmt: skip
