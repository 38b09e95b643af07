"""Threads put on a part: the shaft or bore that one winds round becomes a thread, with its size and pitch named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from steadyrest import units
from steadyrest.part.limit.cut_limits import relief_beside
from steadyrest.part.threads.found import ThreadFound
from steadyrest.part.threads.name import names_told, thread_names
from steadyrest.part.threads.shells import BAND
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.part import Feature, Limits, Nominal, Part, Profile, Size, Vec3
from steadyrest.tables.thread_limits import nut_minor_mm, screw_major_mm, screw_pitch_2a_mm
from steadyrest.tables.threads import metric_threads, unified_threads

FloatArray = npt.NDArray[np.float64]

PARALLEL = 0.99
SAME_AXIS = 0.15  # of the radius
ALL_OF_IT = 0.7  # of a shaft's length: then the shaft is the thread
WITHIN = 0.9
OURS = ("threads.named", "threads.or", "threads.wave")


def with_threads(part: Part, found: tuple[ThreadFound, ...]) -> Part:
    """The part with its threads as features, before sizes are named.

    Args:
        part: with features. found: the threads of its patch graph.
    Returns: the part; a shaft or bore threaded over most of its length is the thread and keeps its id, what the
        segmenter saw of it besides is gone; one threaded in part carries the thread.
    """
    for thread in found:
        part = with_thread(part, thread)
    return part


def with_thread(part: Part, thread: ThreadFound) -> Part:
    """The part with one thread."""
    on_it = [(shared(feature, thread), feature) for feature in part.features if is_about(feature, thread)]
    whole = [f for length, f in on_it if length >= ALL_OF_IT * reach(f) and f.pattern is None]
    carriers = [(length, f.id) for length, f in on_it if length > 0 and f.kind in ("shaft", "bore")]
    if whole:
        # By id at equal length: the same file gives the same part on every machine.
        chosen = max(whole, key=lambda f: (f.kind in ("shaft", "bore"), reach(f), f.id))
        gone = {f.id for length, f in on_it if f.id != chosen.id and f in whole and length >= WITHIN * reach(f)}
        features = tuple(
            thread_feature(part, thread, chosen.id, f.on) if f.id == chosen.id else carried(f, gone, chosen.id)
            for f in part.features
            if f.id not in gone
        )
        profile = None if part.profile is None else renamed(part.profile, gone, chosen.id)
        part = replace(part, features=features, profile=profile)
    else:
        carrier = max(carriers)[1] if carriers else None
        new = f"F{len(part.features) + 1}"
        while any(f.id == new for f in part.features):
            new = f"F{int(new[1:]) + 1}"
        part = replace(part, features=(*part.features, thread_feature(part, thread, new, carrier)))
    return replace(part, doubts=(*part.doubts, *thread.doubts))


def thread_feature(part: Part, thread: ThreadFound, name: str, on: str | None) -> Feature:
    """A thread as a feature: major diameter, pitch, length."""
    length = thread.along_mm[1] - thread.along_mm[0]
    exact = part.kind == "solid"
    sizes = (
        Size("diameter_mm", thread.major_mm, thread.major_mm, 0.0 if exact else thread.u_major_mm),
        Size("pitch_mm", thread.pitch_mm, thread.pitch_mm, 0.0 if exact else thread.u_pitch_mm),
        Size("length_mm", length, length, 0.0 if exact else thread.pitch_mm / 2),
    )
    middle = np.array(thread.point) + sum(thread.along_mm) / 2 * np.array(thread.axis)
    x, y, z = (float(v) for v in middle)
    return Feature(
        id=name,
        kind="thread",
        sizes=sizes,
        axis=thread.axis,
        at_mm=(x, y, z),
        along_mm=along_part(part, middle, length),
        wear_mm=None,
        on=on,
        inside=thread.inside,
        area_mm2=float(np.pi) * thread.major_mm * length,
        why=thread.why,
    )


def thread_nominals(part: Part) -> Part:
    """The part with its threads' diameters and pitches named, after all other sizes.

    Args:
        part: with threads as `with_threads` left them, and its other sizes named.
    Returns: the part; a thread without a name keeps what it has. One that was read by hand is looked up anew by its
        readings, and once all are, no pitch gauge is asked for any more.
    """
    if part.unit.state == "ask":
        return part
    threads = [f for f in part.features if f.kind == "thread"]
    all_read = all((pitch := f.size("pitch_mm")) is not None and pitch.reading is not None for f in threads)
    asked = tuple(d for d in part.doubts if not (threads and all_read and d.ask.key == "threads.ask_pitch_gauge"))
    features = tuple(named(looked_up(f)) if f.kind == "thread" else f for f in part.features)
    return replace(part, features=features, doubts=asked)


def looked_up(feature: Feature) -> Feature:
    """A thread named by what was read of it by hand, in place of what its finding said; as it is without a reading."""
    pitch, major = feature.size("pitch_mm"), feature.size("diameter_mm")
    if pitch is None or major is None or (pitch.reading is None and major.reading is None):
        return feature
    pitch_mm, u_pitch_mm = pitch.reading or (pitch.estimate, pitch.uncertainty)
    major_mm, u_major_mm = major.reading or (major.estimate, major.uncertainty)
    found = ThreadFound(
        patches=(), point=feature.at_mm, axis=feature.axis, along_mm=(0.0, reach(feature)), inside=feature.inside,
        hand="right", starts=1, pitch_mm=pitch_mm, u_pitch_mm=u_pitch_mm, major_mm=major_mm, minor_mm=0.0,
        u_major_mm=u_major_mm, depth_share=1.0, shows=1.0,
    )  # fmt: skip
    told = names_told(thread_names(found), major_mm)
    kept = tuple(r for r in feature.why if r.key not in ("threads.named", "threads.or"))
    return replace(feature, why=(*kept, *told)) if told else feature


def named(feature: Feature) -> Feature:
    """A thread with nominals of diameter and pitch from the reasons that its finding left."""
    first = next((dict(r.given) for r in feature.why if r.key == "threads.named"), None)
    if first is None:
        return feature
    name, odds = str(first["name"]), number(first["name_odds"])
    others = tuple((str(given["name"]), number(given["name_odds"])) for given in rivals(feature))
    why = tuple(r for r in feature.why if r.key in OURS)

    def filled(size: Size) -> Size:
        if size.name not in ("diameter_mm", "pitch_mm"):
            return size
        value = number(first["nominal_" + size.name])
        if size.name == "pitch_mm":
            return replace(size, nominal=Nominal(value, pitch_shown(value), odds, "thread", None, why, others))
        # A general tolerance over its crests would mislead: a thread's limits are its own.
        limits, more = thread_limits_of(name, inside=feature.inside)
        return replace(size, nominal=Nominal(value, name, odds, "thread", limits, (*why, *more), others))

    return replace(feature, sizes=tuple(filled(size) for size in feature.sizes))


def thread_limits_of(name: str, *, inside: bool) -> tuple[Limits | None, tuple[Reason, ...]]:
    """Limits of a thread's major diameter by its usual class, and what else decides.

    Args:
        name: of the thread. inside: a nut's; its major diameter has no upper limit, so that no two limits can be given.
    Returns: limits or None, and reasons to say beside the nominal.
    Source: ISO 965-1 (6g, 6H), ASME B1.1 (2A, 2B); None for other threads, and pitches that the table does not have.
    """
    thread = next((t for t in (*metric_threads(), *unified_threads()) if t.name == name), None)
    found = None if thread is None else nut_minor_mm(thread) if inside else screw_major_mm(thread)
    if thread is None or found is None:
        return None, ()
    zone, (low, high) = found
    source = "asme-b1-1" if thread.series.startswith("UN") else "iso-965-1"
    if inside:
        return None, (because("limits.nut_minor", source=source, zone=zone, low_mm=low, high_mm=high),)
    why = [because(f"limits.thread_{zone.lower()}", source=source)]
    if zone == "2A":
        flank_low, flank_high = screw_pitch_2a_mm(thread)
        why.append(because("limits.pitch_diameter", source=source, low_mm=flank_low, high_mm=flank_high))
    relief = relief_beside(thread.pitch_mm) if zone == "6g" else None
    return Limits(low, high, (*why, *(() if relief is None else (relief,)))), ()


def pitch_shown(pitch_mm: float) -> str:
    """A pitch as a thread chart writes it: in mm, or so many to the inch."""
    per_inch = units.MM_PER_IN / pitch_mm
    return f"{round(per_inch)} to the inch" if abs(per_inch - round(per_inch)) < 1e-6 else units.show_length(pitch_mm)


def rivals(feature: Feature) -> tuple[dict[str, Figure | float | str], ...]:
    """What the reasons say of the other threads that it may be."""
    return tuple(dict(reason.given) for reason in feature.why if reason.key == "threads.or")


def number(given: Figure | float | str) -> float:
    """A bare number out of a reason."""
    assert isinstance(given, int | float)
    return float(given)


def is_about(feature: Feature, thread: ThreadFound) -> bool:
    """Whether a feature winds round the thread's axis at about its radius."""
    size = feature.size("diameter_mm")
    if feature.kind not in ("shaft", "bore", "cone", "groove") or size is None:
        return False
    if (feature.inside or feature.kind == "bore") != thread.inside and feature.kind != "groove":
        return False
    radius = thread.major_mm / 2
    axis = np.array(thread.axis)
    away = np.array(feature.at_mm) - np.array(thread.point)
    apart = float(np.linalg.norm(away - (away @ axis) * axis))
    along = abs(float(np.array(feature.axis) @ axis)) >= PARALLEL
    return along and apart <= SAME_AXIS * radius and abs(size.measured / 2 - radius) <= 1.5 * BAND * radius


def reach(feature: Feature) -> float:
    """Length along the axis."""
    if feature.along_mm is not None:
        return feature.along_mm[1] - feature.along_mm[0]
    length = feature.size("length_mm") or feature.size("depth_mm") or feature.size("width_mm")
    return length.measured if length is not None else 0.0


def shared(feature: Feature, thread: ThreadFound) -> float:
    """Length along the axis that a feature shares with the thread."""
    at = float((np.array(feature.at_mm) - np.array(thread.point)) @ np.array(thread.axis))
    half = reach(feature) / 2
    return max(0.0, min(at + half, thread.along_mm[1]) - max(at - half, thread.along_mm[0]))


def along_part(part: Part, middle: FloatArray, length_mm: float) -> tuple[float, float] | None:
    """From and to along the part's axis; None for a part without one, or a thread askew to it."""
    if part.profile is None:
        return None
    axis: Vec3 = part.profile.axis
    away = middle - np.array(part.profile.origin_mm)
    at = float(away @ np.array(axis))
    if float(np.linalg.norm(away - at * np.array(axis))) > 1.0:
        return None
    return at - length_mm / 2, at + length_mm / 2


def carried(feature: Feature, gone: set[str], chosen: str) -> Feature:
    """A feature that hung on one that is gone hangs on the thread."""
    return replace(feature, on=chosen) if feature.on in gone else feature


def renamed(profile: Profile, gone: set[str], chosen: str) -> Profile:
    """The profile with stretches of features that are gone belonging to the thread."""
    outside = tuple(replace(s, feature=chosen) if s.feature in gone else s for s in profile.outside)
    inside = tuple(replace(s, feature=chosen) if s.feature in gone else s for s in profile.inside)
    return replace(profile, outside=outside, inside=inside)
