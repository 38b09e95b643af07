"""Small values to keep, and moments to keep them at."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from steadyrest.shop.figure import Reason
from steadyrest.shop.part import Feature, Part, Profile, Size, Stretch, UnitSaid
from steadyrest.store import jobs, plans

NOW = datetime(2026, 11, 27, 12, 0, tzinfo=UTC)


def later(**more):
    return NOW + timedelta(**more)


def shaft(name="shaft"):
    return Part(
        name=name,
        kind="scan",
        unit=UnitSaid("mm", "sure", Reason("unit.said")),
        size_mm=(260.0, 44.45, 44.45),
        volume_mm3=1 / 3,
        features=(Feature("F1", "shaft", (Size("diameter_mm", 44.45, 44.3, 0.004),), (0, 0, 1), (0, 0, 130)),),
        axisymmetric=True,
        profile=Profile((0, 0, 0), (0, 0, 1), (Stretch(0, 260, 44.45, 44.45, "F1"),)),
    )


def job(session, **more):
    settings = {"customer": "Lamplight Playhouse", "what": "stage lift shaft", "due": later(hours=30), **more}
    return jobs.open_job(session, charging="fixed", now=NOW, **settings)


def planned_job(session):
    """A job with one part and one plan; the plan is any frozen value."""
    made = job(session)
    part = plans.keep_part(session, job_id=made.id, part=shaft(), file_sha256=None, now=NOW)
    plan = plans.keep_plan(session, job_id=made.id, part_id=part.id, seed=1, plan=shaft("plan"), now=NOW)
    return made, part, plan
