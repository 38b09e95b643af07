"""Drawings and what is different between them, as lines and as one document."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from steadyrest.papers.differences import lines, stopped, summary

if TYPE_CHECKING:
    from steadyrest.cli.answers import Json
    from steadyrest.desk.incoming.revisions import History
    from steadyrest.part.compared.difference import Difference
    from steadyrest.units import LengthUnit


def difference_lines(found: Difference, unit: str | None) -> Iterator[str]:
    """What is different, line by line."""
    said = summary(found)
    yield said[:1].upper() + said[1:] + "."
    if found.turned:
        yield "The newer file lies otherwise; the older part was turned onto it."
    for one in lines(found, "in" if unit == "in" else "mm"):
        about = f"{one.numeral:>4}  " if one.numeral else "      "
        was = f"{one.before} -> {one.after}" if one.before and one.after else one.before or one.after
        yield f"{about}{one.what}: {was}"


def difference_answer(found: Difference) -> dict[str, Json]:
    """What is different, as data."""
    changes: list[Json] = [
        {
            "kind": one.kind,
            "before": one.before.id if one.before is not None else None,
            "after": one.after.id if one.after is not None else None,
            "feature": (one.after or one.before).kind if one.after or one.before else None,  # pyright: ignore[reportOptionalMemberAccess]
            "sizes": [{"name": each.name, "before": each.before, "after": each.after} for each in one.sizes],
            "moved_mm": list(one.moved) if one.moved is not None else None,
        }
        for one in found.changes
    ]
    return {
        "changes": changes,
        "same": [list(pair) for pair in found.same],
        "turned": found.turned,
        "box_mm": [list(box) for box in found.box_mm],
        "volume_mm3": list(found.volume_mm3) if found.volume_mm3 is not None else None,
        "units": list(found.units),
    }


def history_lines(found: History, unit: LengthUnit) -> Iterator[str]:
    """A job's drawings, the oldest first."""
    for one in found.beside:
        came = f", {one.revision.file}" if one.revision is not None else ""
        name = f"Revision {one.name}" if one.revision is not None else one.name[:1].upper() + one.name[1:]
        yield f"{name}{came}{'' if one.part is not None else ': not read'}"
        if one.difference is not None:
            yield from (f"  {line}" for line in difference_lines(one.difference, unit))
    if found.stop is not None:
        yield stopped(found.stop, found.kept.answer.shop.timezone)


def history_answer(found: History) -> dict[str, Json]:
    """A job's drawings, as data."""
    rows: list[Json] = [
        {
            "name": one.name,
            "file": one.revision.file if one.revision is not None else None,
            "sha256": one.revision.sha256 if one.revision is not None else None,
            "came": one.revision.when.isoformat() if one.revision is not None else None,
            "read": one.part is not None,
            "difference": difference_answer(one.difference) if one.difference is not None else None,
        }
        for one in found.beside
    ]
    stop = found.stop
    return {
        "job": found.kept.job.number,
        "revisions": rows,
        "stop": {"revision": stop.revision, "planned_from": stop.planned_from, "since": stop.since.isoformat()}
        if stop is not None
        else None,
    }
