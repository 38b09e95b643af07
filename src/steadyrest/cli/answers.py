"""The contract's keys of a part as read: plain JSON values, lengths in mm, masses in kg."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from steadyrest.part.ask_next.before_leaving import Question, before_leaving
from steadyrest.part.datums import places
from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.floor import Material
from steadyrest.shop.part import Doubt, Feature, Nominal, Part, Size
from steadyrest.wording.say import say

Json = None | bool | int | float | str | Sequence["Json"] | dict[str, "Json"]


def number(value: float | None) -> float | None:
    """A number as JSON can hold it: neither infinite nor not-a-number."""
    return None if value is None or not math.isfinite(value) else float(value)


def sentences(reasons: Iterable[Reason]) -> list[Json]:
    return [say(reason) for reason in reasons]


def limit(figure: Figure) -> Json:
    """A limiting figure: its value, unit and why."""
    return {"value": number(figure.value), "unit": figure.unit, "why": sentences(figure.why)}


def read_answer(part: Part, material: Material | None) -> Json:
    """What is it, as `read --json` prints it.

    Args:
        part: as read.
        material: for the mass; None if nobody said.
    Returns: the contract's section 0 document.
    """
    mass = None
    if material is not None and part.volume_mm3 is not None and part.unit.state != "ask":
        mass = part.volume_mm3 * 1e-9 * material.density_kg_m3
    reading = part.next_reading
    return {
        "kind": part.kind,
        "unit": {"name": part.unit.name, "state": part.unit.state, "why": say(part.unit.why)},
        "size_mm": [number(length) for length in part.size_mm],
        "volume_mm3": number(part.volume_mm3),
        "mass_kg": number(mass),
        "mass_by_metal_kg": by_metal(part),
        "centre_of_mass_mm": None if part.mass is None else [number(mm) for mm in part.mass.centre_mm],
        "inertia_kg_mm2": inertia(part, material),
        "axisymmetric": part.axisymmetric,
        "solids": part.solids,
        "bodies": [
            {"number": one.number, "size_mm": [number(mm) for mm in one.size_mm], "volume_mm3": number(one.volume_mm3)}
            for one in part.bodies
        ],
        "approach_directions_min": part.approach_directions_min,
        "stock_size": part.stock_size,
        "broken": part.broken,
        "system": part.system,
        "noise_mm": number(part.noise_mm),
        "features": [{**feature_answer(feature), **from_datum(part, feature)} for feature in part.features],
        "datums": [
            {"name": d.name, "kind": d.kind, "feature": d.feature, "why": "; ".join(say(reason) for reason in d.why)}
            for d in part.datums
        ],
        "patterns": [
            {
                "id": p.id,
                "kind": p.kind,
                "count": p.count,
                "diameter_mm": number(p.diameter_mm),
                "features": list(p.features),
            }
            for p in part.patterns
        ],
        "relations": [
            {
                "kind": r.kind,
                "features": list(r.features),
                "imposed": r.imposed,
                "odds": number(r.odds),
                "misfit_mm": number(r.misfit_mm),
            }
            for r in part.relations
        ],
        "repaired": sentences(part.repaired),
        "lost": sentences(part.lost),
        "doubts": [doubt_answer(doubt) for doubt in part.doubts],
        "next_reading": None
        if reading is None
        else {
            "feature": reading.feature,
            "with": reading.gauge,
            "why": "; ".join(say(reason) for reason in reading.why),
        },
        "before_leaving": [question_answer(question) for question in before_leaving(part)],
    }


def by_metal(part: Part) -> Json:
    """What the part weighs in each of the usual metals."""
    from steadyrest.tables.materials import materials

    if part.volume_mm3 is None or part.unit.state == "ask":
        return {}
    return {row.id: round(part.volume_mm3 * 1e-9 * row.density_kg_m3, 6) for row in materials()}


def inertia(part: Part, material: Material | None) -> Json:
    """The inertia tensor about the centre of mass, in the file's axes; None without a metal or a closed surface."""
    if part.mass is None or material is None or part.unit.state == "ask":
        return None
    return [[number(mm5 * 1e-9 * material.density_kg_m3) for mm5 in row] for row in part.mass.inertia_mm5]


def question_answer(question: Question) -> Json:
    """One thing to ask or try while the visitor is still there."""
    return {
        "about": question.about,
        "feature": question.feature,
        "ask": say(question.ask),
        "why": sentences(question.why),
        "with": question.gauge or None,
        "cautions": sentences(question.cautions),
    }


def doubt_answer(doubt: Doubt) -> Json:
    return {"what": say(doubt.what), "ask": say(doubt.ask)}


def feature_answer(feature: Feature) -> dict[str, Json]:
    """One feature: its principal size first, the others beside it."""
    answer: dict[str, Json] = {"id": feature.id, "kind": feature.kind}
    answer |= {size.name: number(size.estimate) for size in feature.sizes}
    first = feature.sizes[0] if feature.sizes else None
    answer |= {
        "measured_mm": number(first.measured) if first else None,
        "uncertainty_mm": number(first.uncertainty) if first else None,
        "axis": [number(share) for share in feature.axis],
        "at_mm": [number(length) for length in feature.at_mm],
        "along_mm": None if feature.along_mm is None else [number(length) for length in feature.along_mm],
        "through": feature.through,
        "reached_from": [[number(share) for share in direction] for direction in feature.reached_from],
        "wear_mm": number(feature.wear_mm),
        "wear_along_mm": None
        if feature.wear_along_mm is None
        else [number(length) for length in feature.wear_along_mm],
        "seen": number(feature.seen),
        "pattern": feature.pattern,
        **({"teeth": feature.teeth} if feature.teeth else {}),
        "on": feature.on,
        "nominal": nominal_answer(feature.sizes),
        "nominals": {size.name: one_nominal(size.name, size.nominal) for size in feature.sizes if size.nominal},
        "why": sentences(feature.why),
    }
    return answer


def from_datum(part: Part, feature: Feature) -> dict[str, Json]:
    """Where a feature is from the part's datums; `at_mm` stays in the file's own frame."""
    return {"from_datum": {place.datum: number(place.mm) for place in places(part.datums, feature)}}


def nominal_answer(sizes: Sequence[Size]) -> Json:
    """The principal size's nominal, with the values of the others beside it."""
    if not sizes or sizes[0].nominal is None:
        return None
    others: dict[str, Json] = {size.name: number(size.nominal.value) for size in sizes[1:] if size.nominal}
    return one_nominal(sizes[0].name, sizes[0].nominal) | others


def one_nominal(name: str, nominal: Nominal) -> dict[str, Json]:
    limits = nominal.limits
    return {
        name: number(nominal.value),
        "shown": nominal.shown,
        "odds": number(nominal.odds),
        "state": nominal.state,
        "source": nominal.source,
        "limits_mm": None if limits is None else [number(limits.low_mm), number(limits.high_mm)],
        "limits_why": None if limits is None else "; ".join(say(reason) for reason in limits.why),
        "rivals": [{"shown": shown, "odds": number(odds)} for shown, odds in nominal.rivals],
        "why": sentences(nominal.why),
    }
