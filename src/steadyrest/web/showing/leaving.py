"""May I leave it running: the form, and the answer in words."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.desk.night.leaving_page import HandedProgram, LeavingShown
from steadyrest.desk.night.release_program import Before
from steadyrest.papers.leaving_words import ANSWERS
from steadyrest.papers.said import length_unit
from steadyrest.shop.floor import Shop
from steadyrest.store.releases import Noted
from steadyrest.web.pages.leave import CheckedRow, LeavePage, LeavingPage, ReleaseForm
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment
from steadyrest.wording.say import Reader, say

LATELY = 12
MOST_DIFFERENCES = 20
TITLE = "May I leave it running?"


def form(
    shop: Shop,
    machines: Sequence[str],
    checks: Sequence[tuple[Noted, bool]],
    *,
    token: str,
    handed: HandedProgram | None = None,
    trouble: str = "",
) -> LeavePage:
    """The form that takes a program.

    Args:
        shop: for its name and time zone.
        machines: names.
        checks: newest first, each with whether its file was kept.
        token: the form's.
        handed: what was typed before, if it did not work.
        trouble: why it did not.
    Returns: the page.
    """
    kept: dict[tuple[str, str], tuple[int, str]] = {}
    for noted, there in checks:
        if there:
            words = f"{noted.program}, as of {moment(noted.when, shop.timezone)}"
            kept.setdefault((noted.program, noted.sha256), (noted.entry, words))
    return LeavePage(
        top=Top(TITLE, shop.name),
        trouble=trouble,
        machines=tuple(machines),
        machine=handed.machine if handed else "",
        unit=handed.unit if handed else "",
        blank=handed.blank if handed else "",
        kept=tuple(kept.values())[:LATELY],
        checked=tuple(
            CheckedRow(
                noted.program,
                noted.machine,
                ANSWERS.get(noted.answer, noted.answer),
                moment(noted.when, shop.timezone),
                noted.entry if there else 0,
            )
            for noted, there in checks[:LATELY]
        ),
        guard=token,
    )


def answer(
    shop: Shop, noted: Noted, found: LeavingShown, before: Before | None, *, token: str, trouble: str = "",
    edge_trouble: str = "",
) -> LeavingPage:  # fmt: skip
    """The answer.

    Args:
        shop: for its people and units.
        noted: the check.
        found: the answer as it is.
        before: the release before this one, with what moves otherwise; None where nothing can be released.
        token: for the form.
        trouble: why the last release did not go.
        edge_trouble: why an edge's end was not written down.
    Returns: the page.
    """
    said = ANSWERS.get(noted.answer, noted.answer)
    other = f"When it was checked the answer was “{said}”; the shop file says something else now."
    return LeavingPage(
        top=Top(f"{found.words.answer}: {noted.program}", shop.name),
        check=noted.entry,
        words=found.words,
        then="" if found.answer == noted.answer else other,
        has_path=bool(found.pictures["path", "wide"]),
        people=tuple((person.id, person.name) for person in shop.people),
        release=release_form(shop, found, before) if before is not None else None,
        trouble=trouble,
        edge_trouble=edge_trouble,
        guard=token,
    )


def release_form(shop: Shop, found: LeavingShown, before: Before) -> ReleaseForm:
    """The form that hands it over to the machine."""
    reader = Reader(length_unit(shop), shop.currency)
    last = before.noted
    names = {person.id: person.name for person in shop.people}
    differences = [say(one.said, reader) for one in before.differences[:MOST_DIFFERENCES]]
    if len(before.differences) > MOST_DIFFERENCES:
        differences.append(f"and {len(before.differences) - MOST_DIFFERENCES} more")
    return ReleaseForm(
        needs_somebody=found.answer == "no",
        last=f"{names.get(last.who, last.who)}, {moment(last.when, shop.timezone)}" if last else "",
        differences=tuple(differences),
    )
