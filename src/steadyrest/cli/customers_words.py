"""Customers as JSON values and in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from steadyrest.cli.answers import Json
from steadyrest.cli.owed_words import owes_answer, owes_lines
from steadyrest.desk.accounts.customer_story import Line, Story
from steadyrest.units import show_money
from steadyrest.wording import moments


def list_answer(found: Sequence[Line]) -> Json:
    """What `customer list --json` prints."""
    return [
        {
            "customer": one.customer.name, "number": int(one.customer.id), "jobs": one.jobs, "owed": str(one.owed),
            "late": str(one.late), "currency": one.currency,
            "certificate_until": one.runs_out.isoformat() if one.runs_out else None,
        }
        for one in found
    ]  # fmt: skip


def list_lines(found: Sequence[Line]) -> Iterator[str]:
    for one in found:
        owed = f", owes {show_money(one.owed, one.currency)}" if one.owed else ""
        late = f", {show_money(one.late)} of it late" if one.late else ""
        paper = f", certificate until {moments.calendar_day(one.runs_out)}" if one.runs_out else ""
        jobs = f"{one.jobs} job{'' if one.jobs == 1 else 's'}"
        yield f"{one.customer.id:4} {one.customer.name}: {jobs}{owed}{late}{paper}"
    if not found:
        yield "There is no customer yet: one is made at his first job."


def story_answer(story: Story) -> Json:
    """What `customer show --json` prints."""
    about, terms = story.about, story.terms
    return {
        "customer": about.customer.name,
        "number": int(about.customer.id),
        "called": about.called or None,
        "address": list(about.lines),
        "contacts": [
            {"name": one.name, "phone": one.phone, "mail": one.mail, "role": one.role} for one in about.contacts
        ],
        "terms": {
            "days": terms.days, "discount": str(terms.discount), "discount_days": terms.discount_days,
            "deposit": str(terms.deposit), "own": about.terms is not None,
        },
        "rounding": story.rounding,
        "tax_words": about.tax_words or None,
        "certificates": [
            {"number": one.number, "until": one.until.isoformat(), "sha256": one.file_sha256}
            for one in about.certificates
        ],
        "notes": [{"who": one.who, "when": one.when.isoformat(), "words": one.words} for one in about.notes],
        "jobs": [
            {
                "job": one.job.number, "what": one.job.what, "state": one.state,
                "price": str(one.price) if one.price is not None else None, "why": one.why or None,
            }
            for one in story.jobs
        ],
        "account": owes_answer(story.owed, story.day, story.currency),
    }  # fmt: skip


def story_lines(story: Story) -> Iterator[str]:
    """The same in words."""
    about, terms = story.about, story.terms
    yield f"{about.customer.name} ({about.customer.id})" + (f", on papers {about.called}" if about.called else "")
    yield from (f"  {one}" for one in about.lines)
    for one in about.contacts:
        yield "  " + ", ".join(part for part in (one.name, one.role, one.phone, one.mail) if part)
    off = f", {float(100 * terms.discount):g} % off within {terms.discount_days} days" if terms.discount else ""
    first = f", {float(100 * terms.deposit):g} % before the work" if terms.deposit else ""
    yield f"pays within {terms.days} days{off}{first}; {story.rounding}"
    if story.owed.limit is not None:
        yield f"credit {show_money(story.owed.limit, story.currency)}"
    if about.tax_words:
        yield f"tax: {about.tax_words}"
    for one in about.certificates:
        over = "" if one.until >= story.day else ", which is past"
        yield f"certificate {one.number} until {moments.calendar_day(one.until)}{over}"
    for one in about.notes:
        yield f"{moments.moment(one.when, story.timezone)}, {one.who}: {one.words}"
    yield f"{len(story.won)} won, {len(story.lost)} lost of {len(story.jobs)} jobs"
    for row in story.jobs:
        price = f", {show_money(row.price)}" if row.price is not None else ""
        yield f"  job {row.job.number}: {row.job.what}, {row.state}{price}" + (f" ({row.why})" if row.why else "")
    yield from owes_lines(story.owed, story.day, story.currency)
