"""Words to send with a no: what the customer may know, and nothing of other customers' work or of our money.

The nearest yes goes out where it is the customer's to give: a later time, wider limits, a reading. What we lack (a
tool, a machine, a vendor) does not.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadyrest.decide.take import Take
from steadyrest.shop.figure import Reason, because

LATER = ("take.move_due", "take.behind_all")
# The nearest yes, and the sentence that asks the customer for it.
ASKED_OF_THEM: Mapping[str, str] = {
    "outside.ask_wider": "refusal.wider",
    "turn.leave_for_grinding": "refusal.wider_at",
    "route.nearest_as_plate": "refusal.as_plate",
    "mill.nearest_cutter": "refusal.corners",
    "mill.nearest_five": "refusal.opened",
    "thread.ask_relief": "refusal.relief",
    "thread.ask_room": "refusal.room",
    "thread.ask_gauge": "refusal.readings",
    "turn.knurl_ask": "refusal.knurl",
    "plate.nearest_thickness": "refusal.thickness",
    "plate.nearest_outline": "refusal.outline",
    "outside.nearest": "refusal.treated",
    "smooth.nearest": "refusal.smoother",
    "left.nearest": "refusal.whole",
}


def refusal(take: Take, *, what: str, due: str, shop: str, until: str = "") -> tuple[Reason, ...]:
    """A polite no, sentence by sentence.

    Args:
        take: the answer.
        what: the job in a few words; "" if nobody said.
        due: when it is wanted, in words.
        shop: the shop's name, to end with.
        until: the latest moment at which the later time may be taken, in words; "" if it is not known.
    Returns: sentences; none where the answer is not no.
    """
    if take.answer != "no":
        return ()
    named = what or "your part"
    nearest = take.nearest_yes
    asked = ASKED_OF_THEM.get(nearest.key) if nearest is not None else None
    if nearest is not None and nearest.key in LATER:
        body = (because("refusal.too_soon", what=named, due=due), _later(nearest, until))
    elif any(reason.key == "take.due_past" for reason in take.why):
        body = (because("refusal.past", what=named, due=due),)
    elif nearest is not None and asked is not None:
        body = (because("refusal.cannot", what=named), Reason(asked, nearest.given))
    elif any(reason.key in ("take.gone", "take.thin") for reason in take.why):
        body = (because("refusal.too_soon", what=named, due=due),)
    else:
        body = (because("refusal.cannot", what=named), because("refusal.elsewhere"))
    return (because("refusal.thanks", what=named), *body, because("refusal.end", shop=shop))


def _later(nearest: Reason, until: str) -> Reason:
    """The time that can be promised. Only the one that is not served behind all others has a known last moment."""
    when = str(dict(nearest.given)["when"])
    if until and nearest.key == "take.move_due":
        return because("refusal.later_until", when=when, until=until)
    return because("refusal.later", when=when)
