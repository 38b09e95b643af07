"""What is different between two readings of a part in words, the same on page, paper and at the terminal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from steadyrest.part.compared.difference import Change, Difference, Kind, SizeChange
from steadyrest.shop.part import Feature, Vec3
from steadyrest.store.revisions import Stop
from steadyrest.units import LengthUnit, show_length
from steadyrest.wording.moments import moment
from steadyrest.wording.say import SIZE_WORDS

TOGETHER_MM = 0.02  # what moved by the same, within this, moved together
CC = 1000.0


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that is different. numeral: in the newer picture, in the older one for what is gone; "" for the whole.

    before, after: in words; "" where there is none.
    """

    kind: Kind | None
    numeral: str
    what: str
    before: str
    after: str


def lines(one: Difference, unit: LengthUnit) -> tuple[Line, ...]:
    """What is different, line by line.

    Args:
        one: the difference.
        unit: the reader's.
    Returns: the whole first, then changed sizes, what moved, what is new, what is gone.
    """
    return (*whole(one, unit), *features(one, unit))


def whole(one: Difference, unit: LengthUnit) -> Iterator[Line]:
    """The unit, the box and the volume."""
    if one.units[0] != one.units[1]:
        yield Line(None, "", "unit of the file", one.units[0] or "not said", one.units[1] or "not said")
    if one.box_changed:
        was, now = (" × ".join(length(mm, unit) for mm in box if mm > 0) for box in one.box_mm)
        yield Line(None, "", "size over all", was, now)
    if one.volume_mm3 is not None and one.volume_changed:
        was_mm3, now_mm3 = one.volume_mm3
        share = f"{100 * (now_mm3 - was_mm3) / was_mm3:+.2g} %" if was_mm3 else ""
        yield Line(None, "", "volume", volume(was_mm3, unit), f"{volume(now_mm3, unit)} ({share})")


def volume(mm3: float, unit: LengthUnit) -> str:
    """A volume in cubic centimetres or cubic inches."""
    return f"{mm3 / 25.4**3:.4g} cu in" if unit == "in" else f"{mm3 / CC:.4g} cm³"


def features(one: Difference, unit: LengthUnit) -> Iterator[Line]:
    """What became of each feature; those that moved together in one line."""
    said: set[int] = set()
    for k, change in enumerate(one.changes):
        feature = change.after or change.before
        assert feature is not None
        numeral = feature.id.lstrip("F") or feature.id
        if change.kind == "new":
            yield Line("new", numeral, f"{name(feature)} is new", "", sizes_of(feature, unit))
        elif change.kind == "gone":
            yield Line("gone", numeral, f"{name(feature)} is gone", sizes_of(feature, unit), "")
        for size in change.sizes:
            what = f"{name(feature)}: {SIZE_WORDS.get(size.name, size.name)}"
            yield Line("size", numeral, what, *both(size, unit))
        if change.moved is not None and k not in said:
            group = [n for n, other in enumerate(one.changes) if together(change, other)]
            said.update(group)
            yield moved([one.changes[n] for n in group], unit)


def together(one: Change, other: Change) -> bool:
    """Whether two features moved by the same."""
    if one.moved is None or other.moved is None:
        return False
    return max(abs(a - b) for a, b in zip(one.moved, other.moved, strict=True)) <= TOGETHER_MM


def moved(group: list[Change], unit: LengthUnit) -> Line:
    """What moved together, how far and along which way of the newer file."""
    found = [one.after for one in group if one.after is not None]
    numerals = ", ".join(one.id.lstrip("F") or one.id for one in found)
    names = ", ".join(dict.fromkeys(one.kind for one in found))
    way = group[0].moved or (0.0, 0.0, 0.0)
    what = f"{names} moved" if len(found) == 1 else f"{names}: moved together"
    return Line("moved", numerals, what, "", f"by {length(group[0].moved_mm, unit)}{along(way, unit)}")


def along(way: Vec3, unit: LengthUnit) -> str:
    """The way in the file's own directions, where it is not along one of them alone."""
    parts = [(axis, mm) for axis, mm in zip("xyz", way, strict=True) if abs(mm) > TOGETHER_MM]
    if len(parts) == 1:
        return f" along {'-' if parts[0][1] < 0 else ''}{parts[0][0]}"
    return " (" + ", ".join(f"{axis} {'-' if mm < 0 else ''}{length(abs(mm), unit)}" for axis, mm in parts) + ")"


def name(feature: Feature) -> str:
    """What a feature is called."""
    return f"{'inside ' if feature.inside and feature.kind not in ('bore', 'pocket') else ''}{feature.kind}"


def both(size: SizeChange, unit: LengthUnit) -> tuple[str, str]:
    """A size before and after; with more digits where the usual ones do not tell them apart."""
    if size.name.endswith("_deg"):
        return f"{size.before:.2f}°", f"{size.after:.2f}°"
    was, now = length(size.before, unit), length(size.after, unit)
    if was != now:
        return was, now
    places = 5 if unit == "in" else 4
    scale = 25.4 if unit == "in" else 1.0
    return f"{size.before / scale:.{places}f} {unit}", f"{size.after / scale:.{places}f} {unit}"


def sizes_of(feature: Feature, unit: LengthUnit) -> str:
    """A feature's sizes in one line."""
    return ", ".join(
        f"{SIZE_WORDS.get(size.name, size.name)} "
        + (f"{size.estimate:.1f}°" if size.name.endswith("_deg") else length(size.estimate, unit))
        for size in feature.sizes
    )


def length(mm: float, unit: LengthUnit) -> str:
    """A length to the hundredth."""
    return show_length(round(mm, 2), unit)


def summary(one: Difference) -> str:
    """How much is different, in one line."""
    if one.nothing:
        return "nothing that was read is different"
    counts = (
        (len(one.of("size")), "with other sizes"), (len(one.of("moved")), "moved"), (len(one.of("new")), "new"),
        (len(one.of("gone")), "gone"),
    )  # fmt: skip
    said = [f"{count} {words}" for count, words in counts if count]
    return ", ".join([*said, f"{len(one.same)} as they were"]) if said else "only the whole is different"


def stopped(stop: Stop, timezone: str) -> str:
    """Why nobody goes on by a plan, in one line."""
    return (
        f"Stop: the drawing has changed. This plan is of {called(stop.planned_from)}, the newest is "
        f"{called(stop.revision)} since {moment(stop.since, timezone)}. Make nothing by it until it is planned "
        "anew."
    )


def called(name: str) -> str:
    """A revision by its name."""
    return f"the drawing {name}" if name.startswith("as ") else f"revision {name}"
