"""Words to send with a no: what the customer may know, and nothing of other customers' work or of our money."""

from __future__ import annotations

from steadyrest.decide.take import Take
from steadyrest.shop.figure import Reason, because

LATER = ("take.move_due", "take.behind_all")


def refusal(take: Take, *, what: str, due: str, shop: str) -> tuple[Reason, ...]:
    """A polite no, sentence by sentence.

    Args:
        take: the answer.
        what: the job in a few words; "" if nobody said.
        due: when it is wanted, in words.
        shop: the shop's name, to end with.
    Returns: sentences; none where the answer is not no.
    """
    if take.answer != "no":
        return ()
    named = what or "your part"
    nearest = take.nearest_yes
    if nearest is not None and nearest.key in LATER:
        when = str(dict(nearest.given)["when"])
        body = (because("refusal.too_soon", what=named, due=due), because("refusal.later", when=when))
    elif any(reason.key == "take.due_past" for reason in take.why):
        body = (because("refusal.past", what=named, due=due),)
    elif any(reason.key in ("take.gone", "take.thin") for reason in take.why):
        body = (because("refusal.too_soon", what=named, due=due),)
    else:
        body = (because("refusal.cannot", what=named), because("refusal.elsewhere"))
    return (because("refusal.thanks", what=named), *body, because("refusal.end", shop=shop))
