"""A moment as the clock on the wall shows it, such as a form sends it: a day and a time of day, without an offset."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from steadyrest.trouble import BadInput


def wall_time(text: str, timezone: str, *, where: str) -> datetime:
    """The moment at which the shop's clock shows this.

    Args:
        text: such as "2026-11-27T12:00".
        timezone: the shop's.
        where: begins the message.
    Returns: the moment, aware.
    Raises: BadInput: no time, or one that the clock skips in spring, or shows twice in autumn: nothing is guessed.
    """
    try:
        plain = datetime.fromisoformat(text.strip())
    except ValueError:
        plain = None
    if plain is None or plain.tzinfo is not None:
        raise BadInput(where=where, what=f"{text[:40]!r} is no day and time.", do="Write it as 2026-11-27T12:00.")
    zone = ZoneInfo(timezone)
    first, second = (plain.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if first.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != plain:
        raise BadInput(
            where=where, what=f"the clock never showed {plain:%H:%M} that night: it was put forward.",
            do="Give the time after it.",
        )  # fmt: skip
    if first.utcoffset() != second.utcoffset():
        raise BadInput(
            where=where, what=f"the clock showed {plain:%H:%M} twice that night: it was put back.",
            do="Give a time outside that hour, or say it with its offset: steadyrest clock --at.",
        )  # fmt: skip
    return first


def shown(at: datetime, timezone: str) -> str:
    """A moment as a form's field wants it: "2026-11-27T12:00"."""
    return at.astimezone(ZoneInfo(timezone)).strftime("%Y-%m-%dT%H:%M")
