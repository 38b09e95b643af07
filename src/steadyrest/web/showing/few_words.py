"""The small pages: the form that takes a part in, and the reading."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from steadyrest.desk.cutting import nest_asked
from steadyrest.desk.incoming import revisions, taking_in_several, write_reading
from steadyrest.desk.incoming.taking_in import Handed
from steadyrest.desk.incoming.tasks import Seen
from steadyrest.desk.night import checking
from steadyrest.shop.floor import Shop
from steadyrest.trouble import BadInput
from steadyrest.web.pages.new import NewPage
from steadyrest.web.pages.reading import ReadingPage
from steadyrest.web.pages.top import Top

USUAL_DUE_H = 48
AGAIN_S = 2
LONGEST = 120
UNITS = (("mm", "millimetre"), ("in", "inch"), ("m", "metre"))
# The command line's flags, as the form calls them, and what to do there if it is something else.
FIELDS = {
    "--material": ("Metal", ""),
    "--quantity": ("How many", ""),
    "--due": ("By when", "Choose a day and a time still to come."),
    "--finish": ("Treatments outside", ""),
    "--thickness": ("How thick", "Write it as 6 mm, 1/4 in or 10 gauge steel."),
    "unit": ("Unit of the file", "Choose one of the list."),
}


def in_the_form(trouble: BadInput) -> str:
    """What was wrong, with the field as the form calls it rather than as the command line does."""
    where, do = FIELDS.get(trouble.where, (trouble.where, ""))
    return f"{where}: {trouble.what} {do or trouble.do}"


def new(shop: Shop, *, now: datetime, token: str, handed: Handed | None = None, trouble: str = "") -> NewPage:
    """The form that takes a part in.

    Args:
        shop: for its metals and time zone.
        now: for a due time to start from.
        token: the form's.
        handed: what was typed before, if it did not work.
        trouble: why it did not.
    Returns: the page.
    """
    zone = ZoneInfo(shop.timezone)
    usual = (now.astimezone(zone) + timedelta(hours=USUAL_DUE_H)).replace(minute=0)
    due = usual if handed is None else local_or(handed.due, usual, zone)
    return NewPage(
        top=Top("Put a part in", shop.name),
        trouble=trouble,
        metals=tuple(metal.name for metal in shop.materials),
        file_again=handed is not None and bool(handed.name) and not trouble.startswith(handed.name),
        what=handed.what if handed else "",
        customer=handed.customer if handed else "",
        material=handed.material if handed else "",
        quantity=handed.quantity if handed else "1",
        unit=handed.unit if handed else "",
        body=handed.body if handed else "",
        thickness=handed.thickness if handed else "",
        finish=handed.finish if handed else "",
        due=due.strftime("%Y-%m-%dT%H:%M"),
        guard=token,
    )


def local_or(text: str, usual: datetime, zone: ZoneInfo) -> datetime:
    try:
        return datetime.fromisoformat(text).astimezone(zone)
    except (ValueError, OverflowError):  # no moment, or one at the very edge of the calendar
        return usual


def handed(words: dict[str, str], name: str, shop: Shop) -> Handed:
    """What the form brought; a due time without offset is the shop's own time.

    Args:
        words: the form's fields.
        name: the file's.
        shop: for its time zone.
    Returns: what was handed in, as typed.
    """
    due = words.get("due", "")
    try:
        told = datetime.fromisoformat(due)
    except ValueError:
        told = None
    if told is not None and told.tzinfo is None:
        due = told.replace(tzinfo=ZoneInfo(shop.timezone)).isoformat()
    return Handed(
        name=name,
        what=words.get("what", "")[:LONGEST],
        customer=words.get("customer", "")[:LONGEST],
        material=words.get("material", ""),
        quantity=words.get("quantity", ""),
        unit=words.get("unit", ""),
        body=words.get("body", ""),
        finish=words.get("finish", "")[:LONGEST],
        thickness=words.get("thickness", "")[:LONGEST],
        due=due,
    )


def reading(shop: Shop, seen: Seen, *, token: str) -> ReadingPage:
    """A file being read, or a program being checked.

    Args:
        shop: for its name.
        seen: the task.
        token: the form's.
    Returns: the page; it asks again by itself while the task goes on.
    """
    going = seen.state in ("waiting", "running")
    return ReadingPage(
        top=Top(seen.what, shop.name, AGAIN_S if going else 0),
        task=seen.id,
        what=seen.what,
        state=seen.state,
        says=seen.says,
        tenths=int(10 * seen.share),
        trouble=seen.trouble,
        units=tuple((unit, f"{sides(seen.size)} {word}") for unit, word in UNITS) if seen.size else (),
        opens=opens(seen),
        again=again(seen),
        back=back(seen),
        stopped=stopped(seen),
        stop="Enough: the best so far" if seen.kind == nest_asked.KIND else "Stop it",
        guard=token,
    )


def sides(size: tuple[float, ...]) -> str:
    """How large a thing is in whatever unit, roughly, the longest side first."""
    return " × ".join(f"{float(f'{side:.3g}'):g}" for side in sorted(size, reverse=True))


def opens(seen: Seen) -> str:
    """Where what the task became is seen."""
    if seen.kind == write_reading.KIND:
        return f"/jobs/{seen.job}#changed"
    if seen.kind in (revisions.READ_KIND, revisions.PLAN_KIND):
        return f"/jobs/{seen.job}/revisions"
    if seen.kind == nest_asked.KIND:
        return f"/nest/{seen.nest}"
    return f"/leave/{seen.check}" if seen.check else f"/jobs/{seen.job}"


def again(seen: Seen) -> str:
    """Where the task came from."""
    if seen.kind == write_reading.KIND:
        return f"/jobs/{seen.job}#reading"
    if seen.kind in (revisions.READ_KIND, revisions.PLAN_KIND):
        return f"/jobs/{seen.job}/revisions"
    if seen.kind == taking_in_several.KIND:
        return "/several"
    if seen.kind == nest_asked.KIND:
        return "/nest"
    return "/leave" if seen.kind == checking.KIND else "/new"


def back(seen: Seen) -> str:
    """The way back in words."""
    if seen.kind in (revisions.READ_KIND, revisions.PLAN_KIND):
        return "The drawings of the job"
    if seen.kind == nest_asked.KIND:
        return "Ask for it again"
    return "Type the reading again" if seen.kind == write_reading.KIND else "Put it in again"


def stopped(seen: Seen) -> str:
    """What stands now that a task was stopped."""
    if seen.kind == write_reading.KIND:
        return "Stopped. The reading was not written down; sizes and plan are as they were."
    if seen.kind in (revisions.READ_KIND, revisions.PLAN_KIND):
        return "Stopped. The revision is written down and the older plan stays stopped; strike it if it was a mistake."
    return "Stopped. Nothing was kept but the file."
