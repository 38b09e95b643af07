"""Rules of thumb as a document and as lines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from steadyrest.desk.books.rules import RuleFound

ADVICE = "advice only"

if TYPE_CHECKING:
    from steadyrest.cli.answers import Json


def rules_answer(found: tuple[RuleFound, ...]) -> Json:
    """The rules as one document."""
    return {"rules": [rule_answer(one) for one in found]}


def rule_answer(one: RuleFound) -> Json:
    """One rule."""
    return {
        "name": one.name,
        "value": one.value,
        "note": one.note,
        "standing": one.standing,
        "machines": list(one.machines),
        "decides": one.decides,
        "works": one.works,
    }


def rules_lines(found: tuple[RuleFound, ...]) -> Iterator[str]:
    """The rules as lines; what is found nowhere says how to look further."""
    for one in found:
        where = f" [{', '.join(one.machines)}]" if one.machines else ""
        yield f"{one.name.replace('_', ' ')}: {one.value}{where}"
        yield f"  {one.note} ({one.standing})"
        if one.works:
            yield "  advice only: no figure hangs on it" if one.works == ADVICE else f"  counts in: {one.works}"
    if not found:
        yield "no rule says that; take a word away, or leave the machine out"
