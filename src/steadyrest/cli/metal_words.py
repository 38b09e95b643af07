"""Which metal: the answer as JSON values and in words."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json, number, sentences
from steadyrest.part.metal.evidence import MetalAnswer, Named
from steadyrest.units import show_odds
from steadyrest.wording.say import figure, say

LIKELIEST = 5


def metal_answer(answer: MetalAnswer) -> Json:
    """The answer as `metal --json` prints it.

    Args:
        answer: from the desk.
    Returns: names, odds, density in kg/m3, the next test with its cautions.
    """
    following = answer.next_test
    return {
        "state": answer.state,
        "sure": named(answer.sure),
        "likely": named(answer.likely),
        "kinds": [named(kind) for kind in answer.kinds],
        "materials": [{"material": name, "odds": number(odds)} for name, odds in answer.materials],
        "density_kg_m3": number(answer.density_kg_m3.value) if answer.density_kg_m3 else None,
        "next_test": None
        if following is None
        else {
            "test": following.test,
            "takes_s": number(following.takes.value),
            "why": sentences(following.why),
            "cautions": sentences(following.cautions),
        },
        "withheld": sentences(answer.withheld),
        "why": sentences(answer.why),
    }


def named(one: Named | None) -> Json:
    return None if one is None else {"name": one.name, "kinds": list(one.kinds), "odds": number(one.odds.value)}


def metal_lines(answer: MetalAnswer) -> Iterator[str]:
    """The answer in words.

    Args:
        answer: from the desk.
    Returns: lines.
    """
    for word, one in (("sure", answer.sure), ("likely", answer.likely)):
        if one is not None:
            yield f"{word}: {one.name} ({show_odds(one.odds.value)})"
    if answer.state == "ask":
        yield "These tests cannot tell which metal it is."
    yield "  " + ", ".join(f"{kind.name} {show_odds(kind.odds.value)}" for kind in answer.kinds[:LIKELIEST])
    yield from (f"  {say(reason)}" for reason in answer.why)
    if answer.next_test is not None:
        yield f"next: {answer.next_test.test} ({figure(answer.next_test.takes)})"
        yield from (f"  {say(reason)}" for reason in answer.next_test.why)
        yield from (f"  Caution: {say(reason)}" for reason in answer.next_test.cautions)
    yield from (f"not yet: {say(reason)}" for reason in answer.withheld)
