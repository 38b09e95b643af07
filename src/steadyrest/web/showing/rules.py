"""Rules of thumb, from what was asked."""

from __future__ import annotations

from steadyrest.desk.books.rules import PRINTED, TOPICS, RuleFound, find_rules
from steadyrest.shop.floor import Shop
from steadyrest.tables.practice import called
from steadyrest.trouble import BadInput
from steadyrest.web.pages.rules import Pick, RuleGroup, RuleRow, RulesPage
from steadyrest.web.pages.top import Top

ANY = "any"
OPEN_UP_TO = 12  # so many rules are read faster than unfolded


def page(shop: Shop, *, words: str, machine: str, metal: str) -> RulesPage:
    """The page for one search.

    Args:
        shop: its machines and metals.
        words, machine, metal: as asked; "" for any.
    Returns: the page.
    """
    trouble = ""
    found: tuple[RuleFound, ...] = ()
    try:
        found = find_rules(words, machine=machine, metal=metal, shop=shop)
    except BadInput as wrong:
        trouble = f"{wrong.what} {wrong.do}"
    return RulesPage(
        top=Top("Rules of thumb", shop.name),
        words=words,
        machines=(
            Pick("", ANY, not machine),
            *(Pick(one.id, one.name, one.id == machine) for one in shop.machines),
        ),
        metals=(Pick("", ANY, not metal), *(Pick(one.id, one.id, one.id == metal) for one in shop.materials)),
        groups=groups(found),
        count=len(found),
        trouble=trouble,
    )


def groups(found: tuple[RuleFound, ...]) -> tuple[RuleGroup, ...]:
    """The rules by what they are about: what is printed for a metal first, then machines, then subjects.

    Args:
        found: by desk.rules.
    Returns: the groups; all stand open where there are few rules in all, else only what is printed.
    """
    by_subject: dict[str, list[RuleFound]] = {}
    for one in found:
        by_subject.setdefault(one.about, []).append(one)
    order = [PRINTED, *sorted({one.about for one in found if one.machines and one.about != PRINTED}), *TOPICS]
    few = len(found) <= OPEN_UP_TO
    return tuple(
        RuleGroup(title[:1].upper() + title[1:], len(rows), few or title == PRINTED, tuple(map(_row, rows)))
        for title in order
        if (rows := by_subject.get(title))
    )


def _row(one: RuleFound) -> RuleRow:
    return RuleRow(
        called(one.name), one.value, one.note, one.standing, ", ".join(one.machines), ", ".join(one.metals),
        one.decides, one.works,
    )  # fmt: skip
