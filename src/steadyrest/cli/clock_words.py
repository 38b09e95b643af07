"""The clock as JSON values and in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from steadyrest.cli.answers import Json
from steadyrest.desk.floor.clock import Listed, PersonNow, Work
from steadyrest.shop.floor import Shop
from steadyrest.store.clock import ClockEntry
from steadyrest.units import show_time
from steadyrest.wording import moments

KINDS = {
    "start": "started", "beside": "started beside", "stop": "stopped", "done": "finished", "note": "noted",
    "struck": "struck",
}  # fmt: skip


def said(at: datetime) -> str:
    return at.isoformat(timespec="seconds")


def work_answer(work: Work) -> Json:
    """A stretch of work. worked_s: the person's seconds that count here, shared time shared."""
    one = work.stretch
    return {
        "person": one.person,
        "job": work.job or None,
        "what": work.what,
        "step": one.step,
        "step_says": work.step,
        "start": said(one.start),
        "end": said(one.end) if one.end else None,
        "worked_s": work.worked_s,
        "shared": [{"start": said(part.start), "end": said(part.end), "share": str(part.share)} for part in one.shared],
        "begun_by": int(one.begun_by),
        "ended_by": int(one.ended_by) if one.ended_by is not None else None,
        "forgotten": {"likely_end": said(work.asked.likely_end)} if work.asked else None,
    }


def now_answer(people: Iterable[PersonNow], shop: Shop) -> Json:
    """What `clock now --json` prints."""
    del shop
    return {
        "people": [
            {"person": one.person, "name": one.name, "on": [work_answer(work) for work in one.on]} for one in people
        ]
    }


def entry_answer(entry: ClockEntry, people: Iterable[PersonNow], shop: Shop) -> Json:
    """What `clock start`, `stop`, `note` and `fix` print: the entry, and who is on what now."""
    del shop
    people = tuple(people)
    numbers = {
        work.stretch.job_id: work.job for one in people for work in (*one.on, *((one.last,) if one.last else ()))
    }
    return {
        "entry": int(entry.id),
        "kind": entry.kind,
        "person": entry.person,
        "job": numbers.get(entry.job_id) if entry.job_id is not None else None,
        "step": entry.step,
        "happened": said(entry.happened),
        "people": [
            {"person": one.person, "name": one.name, "on": [work_answer(work) for work in one.on]} for one in people
        ],
    }


def list_answer(held: Listed) -> Json:
    """What `clock list --json` prints."""
    numbers = dict(held.numbers)
    replaced = {int(entry.replaces) for entry in held.entries if entry.replaces is not None}
    return {
        "entries": [
            {
                "entry": int(entry.id), "kind": entry.kind, "person": entry.person,
                "job": numbers.get(entry.job_id) if entry.job_id is not None else None, "step": entry.step,
                "happened": said(entry.happened), "told": said(entry.told), "by": entry.who, "note": entry.words,
                "photo": entry.file_sha256, "replaces": int(entry.replaces) if entry.replaces is not None else None,
                "stands": int(entry.id) not in replaced and entry.kind != "struck",
            }
            for entry in held.entries
        ],
        "stretches": [work_answer(work) for work in held.works],
    }  # fmt: skip


def work_line(work: Work, shop: Shop) -> str:
    """A stretch in words."""
    one = work.stretch
    step = f", step {work.step}" if work.step else ""
    job = f"job {work.job}, {work.what}" if work.job else work.what
    when = (
        moments.stretch(one.start, one.end, shop.timezone)
        if one.end
        else f"since {moments.moment(one.start, shop.timezone)}"
    )
    shared = f", shared time counted by share: {show_time(work.worked_s)}" if one.shared else ""
    return f"{job}{step}: {when}{shared}"


def asked_line(work: Work, shop: Shop) -> str:
    """What is asked about a stretch whose stop seems forgotten."""
    assert work.asked is not None
    likely = moments.moment(work.asked.likely_end, shop.timezone)
    return f"a stop seems forgotten: was it {likely}? Say so with clock stop --at, or note that they were there"


def now_lines(people: Iterable[PersonNow], shop: Shop) -> Iterator[str]:
    """Who is on what, in words."""
    for one in people:
        if not one.on:
            yield f"{one.name}: on nothing"
        for work in one.on:
            yield f"{one.name}: {work_line(work, shop)}"
            if work.asked:
                yield f"  {asked_line(work, shop)}"


def entry_line(entry: ClockEntry, shop: Shop) -> str:
    """An entry in words."""
    at = moments.moment(entry.happened, shop.timezone)
    return f"entry {entry.id}: {entry.person} {KINDS[entry.kind]}, {at}"


def list_lines(held: Listed, shop: Shop) -> Iterator[str]:
    """What the clock holds, in words."""
    for work in held.works:
        yield f"{work.stretch.person}: {work_line(work, shop)}"
        if work.asked:
            yield f"  {asked_line(work, shop)}"
    numbers = dict(held.numbers)
    for entry in held.entries:
        job = f", job {numbers.get(entry.job_id, '?')}" if entry.job_id is not None else ""
        step = f" step {entry.step}" if entry.step is not None else ""
        corrects = f", corrects entry {entry.replaces}" if entry.replaces is not None else ""
        by = f", told by {entry.who}" if entry.who != entry.person else ""
        words = f": {entry.words}" if entry.words else ""
        yield f"{entry_line(entry, shop)}{job}{step}{by}{corrects}{words}"
