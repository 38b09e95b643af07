"""Rules of thumb, from what was asked."""

from __future__ import annotations

from steadyrest.desk.rules import RuleFound, find_rules
from steadyrest.shop.floor import Shop
from steadyrest.trouble import BadInput
from steadyrest.web.pages.rules import Pick, RuleRow, RulesPage
from steadyrest.web.pages.top import Top

ANY = "any"


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
        rows=tuple(
            RuleRow(
                one.name.replace("_", " "),
                one.value,
                one.note,
                one.standing,
                ", ".join(one.machines),
                one.decides,
                one.works,
            )
            for one in found
        ),
        trouble=trouble,
    )
