"""What a thread asks of the lathe: its form, where it lies in this clamping, and how much room there is at its ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Feature, Part, Profile, Stretch
from steadyrest.stations import sizes
from steadyrest.stock.blank import SAME_MM
from steadyrest.tables.reliefs import ThreadRelief, thread_relief
from steadyrest.tables.threads import metric_threads, unified_threads

SCREW_HEIGHT = 17.0 * math.sqrt(3.0) / 48.0  # 0.61343: (d - d3) / 2 P
NUT_HEIGHT = 5.0 * math.sqrt(3.0) / 16.0  # 0.54127: (D - D1) / 2 P
OTHER_FORMS = ("Tr", "G")


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread as it is to be cut in one clamping.

    start_mm: along the axis from this side's end to where it begins; length_mm: full thread from there.
    before_mm, after_mm: free length beside it, towards the end and towards the jaws, until something stands in the
        way of a tool at full depth's crest; infinite where it is open.
    relieved: what follows towards the jaws is at or below the thread's root, so that the tool may stop there.
    """

    feature: str
    name: str
    diameter_mm: float
    pitch_mm: float
    starts: int
    left: bool
    inside: bool
    start_mm: float
    length_mm: float
    before_mm: float
    after_mm: float
    relieved: bool

    @property
    def lead_mm(self) -> float:
        return self.pitch_mm * self.starts

    @property
    def height_mm(self) -> float:
        """Depth on the radius: 0.61343 P of a screw, 0.54127 P of a nut (ISO 724, root of the screw rounded)."""
        return self.pitch_mm * (NUT_HEIGHT if self.inside else SCREW_HEIGHT)

    @property
    def reach_mm(self) -> float:
        """From this side's end to the last full thread."""
        return self.start_mm + self.length_mm

    @property
    def relief(self) -> ThreadRelief | None:
        """The relief that a drawing would show beside an outside thread of this pitch."""
        return None if self.inside else thread_relief(self.pitch_mm)


@dataclass(frozen=True, slots=True)
class Bench:
    """What else the floor offers a thread: a bench where somebody works, and the (diameter, pitch) of its dies."""

    there: bool
    dies: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Ends:
    """One side of the part for its threads.

    end_high: its end is the one with the largest coordinate. outside: its stretches from the end inwards.
    beyond_mm: free length behind the last of them (a groove to be parted off, or bar as thin as the part).
    """

    profile: Profile
    end_high: bool
    outside: tuple[Stretch, ...]
    beyond_mm: float
    bench: Bench


def hole_mm(diameter_mm: float, pitch_mm: float) -> float:
    """The hole for an inside thread: the printed tap drill, else diameter less pitch."""
    for thread in (*metric_threads(), *unified_threads()):
        if abs(thread.diameter_mm - diameter_mm) < 0.01 and abs(thread.pitch_mm - pitch_mm) < 0.001:
            return thread.tap_drill_mm
    return diameter_mm - pitch_mm


def bored(part: Part) -> Part:
    """The part as its holes are bored before they are threaded: a bore that is a thread at its tap drill's size.

    Args:
        part: with a profile or without.
    Returns: the part itself where no bore is a thread.
    """
    holes = {
        feature.id: hole_mm(diameter, pitch)
        for feature in part.features
        if feature.kind == "thread" and feature.inside
        and (diameter := sizes.value_mm(feature, "diameter_mm")) and (pitch := sizes.value_mm(feature, "pitch_mm"))
        and diameter > pitch
    }  # fmt: skip
    if part.profile is None or not any(s.feature in holes for s in part.profile.inside):
        return part
    inside = tuple(
        replace(s, diameter_from_mm=holes[s.feature], diameter_to_mm=holes[s.feature]) if s.feature in holes else s
        for s in part.profile.inside
    )
    return replace(part, profile=replace(part.profile, inside=inside))


def asked(feature: Feature, ends: Ends) -> Thread | Reason:
    """A thread feature as this side has to cut it.

    Args:
        feature: of kind "thread".
        ends: the side that it lies on.
    Returns: the thread, or why it is not known well enough to be cut.
    """
    diameter, pitch = feature.size("diameter_mm"), feature.size("pitch_mm")
    length = sizes.value_mm(feature, "length_mm")
    if diameter is None or pitch is None or not length or feature.along_mm is None:
        return because("thread.unknown", feature=feature.id)
    name = diameter.nominal.shown if diameter.nominal else ""
    if name.startswith(OTHER_FORMS):
        return because("thread.form", feature=feature.id, name=name)
    if any(size.nominal is None and size.uncertainty > 0 and size.reading is None for size in (diameter, pitch)):
        return because("thread.unsettled", feature=feature.id, pitch_mm=pitch.estimate)
    major = diameter.nominal.value if diameter.nominal else diameter.estimate
    pitch_mm = pitch.nominal.value if pitch.nominal else pitch.estimate
    if not 0.05 < pitch_mm < major / 2.0:
        return because("thread.unknown", feature=feature.id)
    wave = next((dict(reason.given) for reason in feature.why if reason.key == "threads.wave"), {})
    turns = wave.get("turns", 0.0)
    starts = max(round(length / (pitch_mm * turns)), 1) if isinstance(turns, float) and turns > 0 else 1
    low_mm, high_mm = ends.profile.outside[0].from_mm, ends.profile.outside[-1].to_mm
    # The profile's own stretch where it has one: what lies beside the thread is measured by the profile as well.
    own = [s for s in (*ends.profile.outside, *ends.profile.inside) if s.feature == feature.id]
    along = (min(s.from_mm for s in own), max(s.to_mm for s in own)) if own else feature.along_mm
    near, far = (high_mm - along[1], high_mm - along[0]) if ends.end_high else (along[0] - low_mm, along[1] - low_mm)
    near = max(near, 0.0)
    if far - near < pitch_mm:
        return because("thread.unknown", feature=feature.id)
    clear = _inside_clear(ends, hole_mm(major, pitch_mm)) if feature.inside else _outside_clear(ends, major)
    root_mm = major - 2.0 * SCREW_HEIGHT * pitch_mm
    behind = _outside_clear(ends, root_mm + SAME_MM) if not feature.inside else ()
    return Thread(
        feature=feature.id,
        name=name or f"{major:.2f} x {pitch_mm:g}",
        diameter_mm=major,
        pitch_mm=pitch_mm,
        starts=starts,
        left=wave.get("hand") == "left",
        inside=feature.inside,
        start_mm=near,
        length_mm=far - near,
        before_mm=_free_before(clear, near),
        after_mm=_free_after(clear, far),
        relieved=feature.inside or _free_after(behind, far) > 0.0,
    )


def _outside_clear(ends: Ends, diameter_mm: float) -> tuple[tuple[float, float], ...]:
    """Where on this side, measured from its end, nothing stands above a diameter; from minus infinity: open air."""
    found = [(-math.inf, 0.0)]
    at = 0.0
    for stretch in ends.outside:
        if stretch.largest_mm <= diameter_mm + SAME_MM:
            found.append((at, at + stretch.length_mm))
        at += stretch.length_mm
    if ends.beyond_mm > 0:
        found.append((at, at + ends.beyond_mm))
    return _joined(found)


def _inside_clear(ends: Ends, hole: float) -> tuple[tuple[float, float], ...]:
    """Where along the axis, measured from this side's end, there is a hole at least this wide."""
    low_mm, high_mm = ends.profile.outside[0].from_mm, ends.profile.outside[-1].to_mm
    found = [(-math.inf, 0.0), (high_mm - low_mm, math.inf)]
    wide = [s for s in ends.profile.inside if min(s.diameter_from_mm, s.diameter_to_mm) >= hole - SAME_MM]
    if ends.end_high:
        found.extend((high_mm - s.to_mm, high_mm - s.from_mm) for s in wide)
    else:
        found.extend((s.from_mm - low_mm, s.to_mm - low_mm) for s in wide)
    return _joined(sorted(found))


def _joined(stretches: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    found: list[tuple[float, float]] = []
    for low, high in stretches:
        if found and low <= found[-1][1] + SAME_MM:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return tuple(found)


def _free_before(clear: Sequence[tuple[float, float]], at: float) -> float:
    return max((at - low for low, high in clear if low - SAME_MM <= at <= high + SAME_MM), default=0.0)


def _free_after(clear: Sequence[tuple[float, float]], at: float) -> float:
    return max((high - at for low, high in clear if low - SAME_MM <= at < high), default=0.0)
