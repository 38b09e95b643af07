"""A part in two halves: which ends belong together, how much is missing between, and how the halves go together.

A taper that runs through the break tells the missing length; a plain cylinder tells only the least. Two breaks that
match tell that nothing is missing, and how the one half is turned on the other.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, hypot, sin

import numpy as np

from steadyrest.part.damage.ends import End, ends_of
from steadyrest.part.damage.rejoin import MATCH_LEAST, Fit, fitted
from steadyrest.part.damage.turned_scan import FloatArray, TurnedScan
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.part import LIKELY, SURE, Trust

TAPER_LEAST = 0.004  # slope of the radius from which a stretch is a taper and tells a length
SAME_SIZE_MM = 0.05  # how far two halves of one turned stretch may differ, besides what the scans do
SAME_SIZE_SHARE = 0.004
SURE_ALIKE = 0.9


@dataclass(frozen=True, slots=True)
class Missing:
    """The length that is gone between the two breaks, from mean height to mean height.

    least, most: the range at two sigma; most None where nothing tells it. best: None where there is only a range.
    """

    least: Figure
    most: Figure | None
    best: Figure | None


@dataclass(frozen=True, slots=True)
class Laid:
    """The second half laid on the first: file's points of the second become turn @ point + shift in the first's frame.

    turned: about the axis is meant by the match of the breaks; False leaves the turn open (0 is shown).
    """

    turn: tuple[tuple[float, float, float], ...]
    shift: tuple[float, float, float]
    turned: bool


@dataclass(frozen=True, slots=True)
class Halves:
    """Two halves of one part.

    ends: which end of each (-1 first, +1 last along its own axis), or None if no two ends go together. trust: of the
    rejoining. missing, length, laid, fit: None where they cannot be told. length: of the whole part, end to end.
    """

    ends: tuple[int, int] | None
    trust: Trust
    missing: Missing | None
    length: Figure | None
    laid: Laid | None
    fit: Fit | None
    why: tuple[Reason, ...]
    ask: tuple[Reason, ...]


def halves_of(first: TurnedScan, second: TurnedScan) -> Halves:
    """How two halves of a broken turned part belong together.

    Args:
        first, second: each about its own axis, both in mm.
    Returns: ends, missing length, rejoining; what cannot be told is None and `ask` says what would tell.
    """
    pair = _pair(first, second)
    if pair is None:
        return Halves(
            None, "ask", None, None, None, None, (because("damage.no_pair"),), (because("damage.ask_halves"),)
        )
    one, other = pair
    fit = fitted(first, one, second, other)
    by_sizes = _by_sizes(first, one, second, other)
    matched = fit is not None and _belong(fit) and not _sizes_object(by_sizes)
    missing = _by_match(fit) if matched and fit else by_sizes
    gap = fit.gap_mm if matched and fit else missing.best.value if missing.best else missing.least.value
    told = missing.best is not None
    laid = _laid(first, one, second, other, turn_rad=fit.turn_rad if matched and fit else 0.0, gap_mm=gap)
    why, ask = _said(one, fit, matched=matched)
    return Halves(
        ends=(one.sign, other.sign),
        trust=_trust(fit) if matched and fit else "ask",
        missing=missing,
        length=_length(first, one, second, other, gap, missing) if told else None,
        laid=replace(laid, turned=matched) if told else None,
        fit=fit,
        why=(*why, *missing.least.why),
        ask=ask if told else (*ask, because("damage.ask_length")),
    )


def _said(one: End, fit: Fit | None, *, matched: bool) -> tuple[tuple[Reason, ...], tuple[Reason, ...]]:
    """What the two breaks say of each other, and what to ask."""
    pair = because("damage.pair", radius_mm=one.radius_mm)
    if fit is None:
        return (pair, because("damage.no_breaks_seen")), (because("damage.ask_scan_breaks"),)
    misfit_mm, relief_mm = round(fit.misfit_mm, 3), round(fit.relief_mm, 2)
    if not matched and _belong(fit):
        return (pair, because("damage.sizes_object", misfit_mm=misfit_mm)), (because("damage.ask_halves"),)
    if not matched:
        return (pair, because("damage.breaks_differ", misfit_mm=misfit_mm, relief_mm=relief_mm)), (
            because("damage.ask_halves"),
        )
    match = because("damage.match", misfit_mm=misfit_mm, relief_mm=relief_mm, turn_odds=fit.odds)
    if fit.hills_alike is None:
        return (pair, match, because("damage.lean_only")), (because("damage.ask_halves"),)
    return (pair, match), ()


def _belong(fit: Fit) -> bool:
    """Whether two breaks match: their hills where they have any, else their lean."""
    alike = fit.alike if fit.hills_alike is None else fit.hills_alike
    return alike > MATCH_LEAST and fit.odds > LIKELY


def _sizes_object(by_sizes: Missing) -> bool:
    """Whether a taper says that something is missing, so that breaks which match by chance are not believed."""
    return by_sizes.best is not None and by_sizes.least.value > SAME_SIZE_MM


def _trust(fit: Fit) -> Trust:
    return "sure" if fit.odds >= SURE and (fit.hills_alike or 0.0) >= SURE_ALIKE else "likely"


def _pair(first: TurnedScan, second: TurnedScan) -> tuple[End, End] | None:
    """The two broken (or open) ends whose sizes go on into each other best."""
    ends, others = ends_of(first), ends_of(second)
    if ends is None or others is None:
        return None
    found: list[tuple[int, float, End, End]] = []
    for one in ends:
        for other in others:
            if one.state not in ("broken", "open") or other.state not in ("broken", "open"):
                continue
            if one.stretch is None or other.stretch is None:
                continue
            off = abs(one.radius_mm - other.radius_mm)
            tapered = abs(one.slope) > TAPER_LEAST or abs(other.slope) > TAPER_LEAST
            most = SAME_SIZE_MM + SAME_SIZE_SHARE * one.radius_mm + 3 * hypot(one.stretch.u_mm, other.stretch.u_mm)
            # Through a taper the sizes differ by what is missing; both must lean alike, one growing, one shrinking.
            fine = abs(one.slope + other.slope) < 0.01 + 0.1 * abs(one.slope) if tapered else off < most
            if fine:
                unseen = (one.state == "open") + (other.state == "open")
                found.append((unseen, off, one, other))
    if not found:
        return None
    best = min(found, key=lambda pair: (pair[0], pair[1]))
    return best[2], best[3]


def _by_match(fit: Fit) -> Missing:
    """Nothing is missing where the breaks match: what is left between them is crumbs."""
    why = because("damage.nothing_missing", touch_mm=round(fit.touch_mm, 2))
    best = Figure(0.0, "mm", (why,))
    return Missing(best, Figure(fit.touch_mm + 2 * fit.u_gap_mm, "mm", (why,)), best)


def _by_sizes(first: TurnedScan, one: End, second: TurnedScan, other: End) -> Missing:
    """The missing length from the stretches that run into the break."""
    assert one.stretch is not None
    assert other.stretch is not None
    slope = (one.slope - other.slope) / 2
    if abs(slope) < TAPER_LEAST:
        why = because("damage.only_a_range", radius_mm=one.radius_mm)
        return Missing(Figure(0.0, "mm", (why,)), None, None)
    gap = (other.radius_mm - one.radius_mm) / slope
    u_slope = hypot(one.stretch.u_slope, other.stretch.u_slope, abs(one.slope + other.slope) / 2)
    drift = 0.3 * hypot(first.noise_mm, second.noise_mm)
    u = hypot(hypot(one.stretch.u_mm, other.stretch.u_mm, drift) / slope, gap * u_slope / slope)
    why = because("damage.by_taper", gap_mm=round(gap, 2), u_mm=round(u, 2), taper_deg=float(np.degrees(abs(slope))))
    least, most = max(gap - 2 * u, 0.0), max(gap + 2 * u, 0.0)
    return Missing(Figure(least, "mm", (why,)), Figure(most, "mm", (why,)), Figure(max(gap, 0.0), "mm", (why,)))


def _length(first: TurnedScan, one: End, second: TurnedScan, other: End, gap_mm: float, missing: Missing) -> Figure:
    """From the sound end of one half to the sound end of the other."""
    a, b = _from_sound_end(first, one), _from_sound_end(second, other)
    why = because("damage.whole_length", a_mm=round(a, 2), b_mm=round(b, 2))
    return Figure(a + b + gap_mm, "mm", (why, *missing.least.why))


def _from_sound_end(scan: TurnedScan, broken: End) -> float:
    """From a half's other end, its face where it has one, to the middle of the break."""
    ends = ends_of(scan)
    assert ends is not None
    sound = ends[0] if broken.sign > 0 else ends[1]
    at = sound.at_mm if sound.state == "faced" else scan.reach_mm[0 if broken.sign > 0 else 1]
    return abs(broken.at_mm - at)


def _laid(first: TurnedScan, one: End, second: TurnedScan, other: End, *, turn_rad: float, gap_mm: float) -> Laid:
    """The second half's place in the first's frame."""
    ahead, behind = float(one.sign), float(-other.sign)
    to = np.stack((first.u, ahead * first.v, ahead * first.ahead), axis=1)
    frm = np.stack((second.u, behind * second.v, behind * second.ahead), axis=1)
    c, s = cos(turn_rad), sin(turn_rad)
    about: FloatArray = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    turn = to @ about @ frm.T
    there = second.origin + other.at_mm * second.ahead
    here = first.origin + one.at_mm * first.ahead + gap_mm * ahead * first.ahead
    shift = here - turn @ there
    rows = tuple((float(r[0]), float(r[1]), float(r[2])) for r in turn)
    return Laid(rows, (float(shift[0]), float(shift[1]), float(shift[2])), turned=True)
