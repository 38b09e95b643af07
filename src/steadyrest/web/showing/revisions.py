"""The page of a job's drawings, its pictures, and the stop mark that other pages show too."""

from __future__ import annotations

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from steadyrest.desk.incoming.revisions import Beside, History
from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.papers.differences import lines, stopped, summary
from steadyrest.papers.drawing.part_picture import part_svg
from steadyrest.shop.floor import Shop
from steadyrest.store.revisions import Stop
from steadyrest.web.pages.revisions import DifferenceRow, RevisionRow, RevisionsPage, StopMark
from steadyrest.web.pages.top import Top
from steadyrest.web.showing.changed import answer_changes
from steadyrest.web.showing.pictures import LOOKS
from steadyrest.web.showing.words import Words
from steadyrest.wording.moments import moment


def page(found: History, *, guard: str, touch: str, trouble: str = "") -> RevisionsPage:
    """The page.

    Args:
        found: the job's drawings.
        guard: the app's form token. touch: a mark; each form makes its own of it.
        trouble: what went wrong, or "".
    Returns: the page.
    """
    kept, words = found.kept, Words(found.kept.answer)
    zone, last = kept.answer.shop.timezone, len(found.beside) - 1
    rows = (row(one, k, words, entry=k == last) for k, one in enumerate(found.beside))
    before = found.plan_before
    return RevisionsPage(
        top=Top(f"Drawings of job {kept.job.number}", kept.answer.shop.name),
        number=kept.job.number,
        what=kept.job.what,
        guard=guard,
        touches=(f"{touch}-in", f"{touch}-plan"),
        stop=mark(kept),
        may_plan=found.stop is not None and found.beside[-1].part is not None,
        due=kept.answer.due.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%dT%H:%M"),
        revisions=tuple(rows)[::-1],
        answers=tuple((one.what, one.before, one.after) for one in answer_changes(before, kept.answer, words))
        if before is not None
        else (),
        reading=found.reading,
        trouble=trouble,
    )


def row(one: Beside, at: int, words: Words, *, entry: bool) -> RevisionRow:
    """A revision in words."""
    came = one.revision
    differs = one.difference
    told = lines(differs, words.unit) if differs is not None else ()
    return RevisionRow(
        at=at,
        name=one.name,
        before=one.before,
        came=f"{moment(came.when, words.zone)}, by {words.name(came.who)}: {came.file}" if came is not None else "",
        words=came.words if came is not None else "",
        read=one.part is not None,
        summary=summary(differs) if differs is not None else "",
        turned=differs is not None and differs.turned,
        rows=tuple(DifferenceRow(each.numeral, each.what, each.before, each.after) for each in told),
        marked=differs is not None and any(each.after is not None for each in differs.changes),
        gone=differs is not None and bool(differs.of("gone")),
        entry=str(int(came.entry)) if came is not None and entry else "",
    )


def picture(beside: Sequence[Beside], at: int, which: str, look: str, *, unit: str) -> str:
    """A revision as a picture: what changed stands filled; or the one before it: what is gone stands filled.

    Args:
        beside: the job's drawings.
        at: which, from 0.
        which: "now" or "before".
        look: a key of LOOKS.
        unit: the reader's.
    Returns: SVG text; "" where there is no such picture.
    """
    if look not in LOOKS or which not in ("now", "before") or not 0 <= at < len(beside):
        return ""
    one, (width_mm, dark) = beside[at], LOOKS[look]
    changes = one.difference.changes if one.difference is not None else ()
    if which == "now":
        part, marked = one.part, [each.after.id for each in changes if each.after is not None]
    else:
        part = beside[at - 1].part if at else None
        marked = [each.before.id for each in changes if each.before is not None and each.after is None]
    return part_svg(part, unit=unit, width_mm=width_mm, dark=dark, marked=marked) if part is not None else ""


def mark(kept: KeptJob) -> StopMark | None:
    """The stop mark of a job; None where its plan is of the newest drawing."""
    return stop_mark(kept.job.number, kept.stop, kept.answer.shop) if kept.stop is not None else None


def stop_mark(number: int, stop: Stop, shop: Shop) -> StopMark:
    """The stop mark in words, the same on every page and on the job sheet."""
    return StopMark(number, stopped(stop, shop.timezone))
