"""The profile at its nominal sizes.

A size is nominal where its odds are better than "ask"; else it stays as estimated. Lengths are laid end to end; what
the overall length leaves over goes to the stretches that nobody named.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from steadyrest.shop.part import Feature, Part, Profile, Size, Stretch
from steadyrest.trouble import BadInput

JOINED_MM = 1e-3
UNEXPLAINED_MM = 0.5  # more than that between the sum and the overall length is not measuring error


def turned_profile(part: Part) -> Profile:
    """The part's profile. Raises: BadInput: it is not a turned part."""
    if part.profile is None:
        what = "this is not a turned part, so it has no profile to hand over."
        raise BadInput(where=part.name, what=what, do="Hand over the file as it is.")
    return part.profile


def nominal_profile(part: Part) -> Profile:
    """The profile of a turned part with nominal diameters and lengths.

    Args:
        part: with a profile; its sizes named or not.
    Returns: the profile, its stretches still without gaps outside.
    Raises: BadInput: the part is not a turned one.
    """
    profile = turned_profile(part)
    features = {feature.id: feature for feature in part.features}
    lengths = nominal_lengths(part, profile.outside, features)
    outside = joined(laid(profile.outside, profile.outside[0].from_mm, lengths), profile.outside, features)
    total = outside[-1].to_mm - outside[0].from_mm
    inside = [s for chain in chains(profile.inside) for s in laid_chain(chain, profile, total, features)]
    return replace(profile, outside=tuple(outside), inside=tuple(joined(inside, profile.inside, features)))


def named_mm(size: Size | None, otherwise: float) -> float:
    """A size as the drawing would show it, if that is likely at least."""
    if size is None or size.nominal is None or size.nominal.state == "ask":
        return otherwise
    return size.nominal.value


def is_named(size: Size | None) -> bool:
    return size is not None and size.nominal is not None and size.nominal.state != "ask"


def length_size(stretch: Stretch, features: dict[str, Feature]) -> Size | None:
    """The size that says how long a stretch is."""
    feature = features.get(stretch.feature or "")
    if feature is None:
        return None
    return feature.size("length_mm") if feature.kind not in ("groove", "chamfer") else feature.size("width_mm")


def nominal_lengths(part: Part, stretches: Sequence[Stretch], features: dict[str, Feature]) -> list[float]:
    """Lengths of the outside stretches; the rest of the overall length spread over those without a name."""
    sizes = [length_size(stretch, features) for stretch in stretches]
    lengths = [named_mm(size, s.length_mm) for size, s in zip(sizes, stretches, strict=True)]
    over_all = next(
        (s for f in part.features if f.kind == "face" for s in f.sizes if s.name == "length_mm" and is_named(s)), None
    )
    if over_all is None or over_all.nominal is None:
        return lengths
    rest = over_all.nominal.value - math.fsum(lengths)
    free = [i for i, size in enumerate(sizes) if not is_named(size)]
    spread = math.fsum(lengths[i] for i in free)
    if free and spread > 0 and abs(rest) <= UNEXPLAINED_MM and spread + rest > 0:
        for i in free:
            lengths[i] *= (spread + rest) / spread
    return lengths


def laid(stretches: Sequence[Stretch], start_mm: float, lengths: Sequence[float]) -> list[Stretch]:
    """Stretches end to end from a start."""
    done: list[Stretch] = []
    at = start_mm
    for stretch, length in zip(stretches, lengths, strict=True):
        done.append(replace(stretch, from_mm=at, to_mm=at + length))
        at += length
    return done


def chains(stretches: Sequence[Stretch]) -> list[list[Stretch]]:
    """Inside stretches that touch, together."""
    found: list[list[Stretch]] = []
    for stretch in stretches:
        if found and abs(found[-1][-1].to_mm - stretch.from_mm) < JOINED_MM:
            found[-1].append(stretch)
        else:
            found.append([stretch])
    return found


def laid_chain(
    chain: Sequence[Stretch], profile: Profile, total_mm: float, features: dict[str, Feature]
) -> list[Stretch]:
    """A bore's stretches, laid from the end that it opens to; one that goes through reaches both."""
    first, last = profile.outside[0].from_mm, profile.outside[-1].to_mm
    lengths = [named_mm(length_size(s, features), s.length_mm) for s in chain]
    opens_first, opens_last = abs(chain[0].from_mm - first) < JOINED_MM, abs(chain[-1].to_mm - last) < JOINED_MM
    if opens_first and opens_last:
        longest = max(range(len(chain)), key=lambda i: lengths[i])
        lengths[longest] += total_mm - math.fsum(lengths)
        return laid(chain, first, lengths)
    if opens_last:
        return laid(chain, first + total_mm - math.fsum(lengths), lengths)
    return laid(chain, chain[0].from_mm, lengths)


def joined(placed: Sequence[Stretch], measured: Sequence[Stretch], features: dict[str, Feature]) -> list[Stretch]:
    """Stretches with nominal diameters; a slope that ran into its neighbour still does."""
    widths = [named_mm(size_of(s, features), s.diameter_from_mm) for s in placed]
    done: list[Stretch] = []
    for i, (stretch, before) in enumerate(zip(placed, measured, strict=True)):
        if before.diameter_from_mm == before.diameter_to_mm:
            done.append(replace(stretch, diameter_from_mm=widths[i], diameter_to_mm=widths[i]))
            continue
        start, end = before.diameter_from_mm, before.diameter_to_mm
        from_met = i > 0 and level(measured[i - 1]) and abs(measured[i - 1].diameter_to_mm - start) < 2 * JOINED_MM
        to_met = (
            i + 1 < len(measured)
            and level(measured[i + 1])
            and abs(measured[i + 1].diameter_from_mm - end) < 2 * JOINED_MM
        )
        start = widths[i - 1] if from_met else start
        end = widths[i + 1] if to_met else end
        if from_met != to_met and (slope := nominal_slope(stretch, features)) is not None:
            rise = math.copysign(2 * slope * stretch.length_mm, before.diameter_to_mm - before.diameter_from_mm)
            start, end = (start, start + rise) if from_met else (end - rise, end)
        done.append(replace(stretch, diameter_from_mm=max(0.0, start), diameter_to_mm=max(0.0, end)))
    return done


def level(stretch: Stretch) -> bool:
    return stretch.diameter_from_mm == stretch.diameter_to_mm


def size_of(stretch: Stretch, features: dict[str, Feature]) -> Size | None:
    feature = features.get(stretch.feature or "")
    return feature.size("diameter_mm") if feature is not None and level(stretch) else None


def nominal_slope(stretch: Stretch, features: dict[str, Feature]) -> float | None:
    """How much the radius grows per length, by the angle: a chamfer's to the axis, half of a taper's."""
    feature = features.get(stretch.feature or "")
    angle = feature.size("angle_deg") if feature is not None else None
    if feature is None or angle is None or not is_named(angle):
        return None
    degrees = named_mm(angle, angle.estimate)
    return math.tan(math.radians(degrees if feature.kind == "chamfer" else degrees / 2))
