"""How a helix shows itself: radius as a wave over z - lead * angle / 2 pi, found by its spectrum in z and angle.

A ring groove repeats along z alone (winding 0), a knurl or chatter has many waves in one turn; a thread of n starts has
just n, all leaning one way. So the winding number tells them apart, and its sign is the hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
ComplexArray = npt.NDArray[np.complex128]

LEAST_PITCH_MM, MOST_PITCH_MM = 0.35, 8.0
MOST_STARTS = 4
MOST_WINDING = 6
WINDINGS = tuple(range(-MOST_WINDING, MOST_WINDING + 1))
THREADLIKE = np.array([0 < abs(m) <= MOST_STARTS for m in WINDINGS])
BIN_MM = 0.06
TINY_MM2 = 1e-10
LEAST_TURNS = 3.0
LEAST_WINDOW_MM = 5.0
LEAST_POINTS = 150
LEAST_SHOWN = 0.3  # of the variance
MOST_SHOWN, MOST_SHOWN_BY_EDGES = 1.05, 1.6
OVERTONE = 0.15  # of an overtone's power: then the lower wave is the thread
LEAST_LEAD = 1.7  # over the next winding number
LEAST_SCORE = 25.0  # over what noise gives on average; its largest over all trials is about 12


@dataclass(frozen=True, slots=True)
class Helix:
    """A wave A cos(2 pi z / pitch - winding * angle - phase).

    along_mm: the window where it was found. shown: share of the variance there. score: power over that of noise.
    """

    pitch_mm: float
    winding: int
    phase_rad: float
    amplitude_mm: float
    along_mm: tuple[float, float]
    shown: float
    score: float


@dataclass(frozen=True, slots=True)
class Binned:
    """Points gathered in short bins along the axis.

    count, total, square: (b,) number of points, their off and off squared. waves, even: (MOST_WINDING + 1, b) sums of
    off * exp(i m angle), and of exp(i m angle) alone. low_mm: where the first bin begins.
    """

    count: FloatArray
    total: FloatArray
    square: FloatArray
    waves: ComplexArray
    even: ComplexArray
    low_mm: float


def strongest_helix(
    z_mm: FloatArray, angle_rad: FloatArray, off_mm: FloatArray, *, edges: bool = False
) -> Helix | None:
    """The thread-like wave that stands out most in any window along the axis; None if none does.

    Args:
        z_mm: (n,) along the axis.
        angle_rad: (n,) round it.
        off_mm: (n,) radius less its smooth course, noise of about zero mean.
        edges: the points lie on the edges of crest and root alone, as a solid's do.
    Returns: the wave, its pitch not yet refined.
    """
    binned = gathered(z_mm, angle_rad, off_mm)
    # More than all of the variance: the points themselves lie in rows, and nothing is known between them.
    most = MOST_SHOWN_BY_EDGES if edges else MOST_SHOWN
    tried = (in_window(binned, low, high, most) for low, high in windows(len(binned.count)))
    found = [helix for helix in tried if helix is not None]
    return max(found, key=lambda helix: helix.score, default=None)


def gathered(z_mm: FloatArray, angle_rad: FloatArray, off_mm: FloatArray) -> Binned:
    """Points (n,) gathered in bins along the axis."""
    low = float(z_mm.min())
    place = ((z_mm - low) / BIN_MM).astype(np.int64)
    bins = int(place.max()) + 1
    waves = np.empty((MOST_WINDING + 1, bins), dtype=np.complex128)
    even = np.empty_like(waves)
    turn, turned = np.exp(1j * angle_rad), np.ones(len(z_mm), dtype=np.complex128)
    for m in range(MOST_WINDING + 1):
        re, im = turned.real, turned.imag
        even[m] = np.bincount(place, re, bins) + 1j * np.bincount(place, im, bins)
        waves[m] = np.bincount(place, off_mm * re, bins) + 1j * np.bincount(place, off_mm * im, bins)
        turned = turned * turn
    return Binned(
        count=even[0].real.copy(),
        total=waves[0].real.copy(),
        square=np.bincount(place, off_mm**2, bins).astype(np.float64),
        waves=waves,
        even=even,
        low_mm=low,
    )


def windows(bins: int) -> Iterator[tuple[int, int]]:
    """The whole stretch, then half of it, a quarter, ..., each moved on by half of itself; as bins from and to."""
    length = bins
    while length * BIN_MM >= LEAST_WINDOW_MM:
        for start in range(0, bins - length + 1, max(1, length // 2)):
            yield start, start + length
        length //= 2


def in_window(binned: Binned, low: int, high: int, most: float) -> Helix | None:
    """The strongest thread-like wave in the bins from low to high, or None; `most`: its largest share of variance."""
    count = float(binned.count[low:high].sum())
    if count < LEAST_POINTS:
        return None
    mean = float(binned.total[low:high].sum()) / count
    variance = float(binned.square[low:high].sum()) / count - mean**2
    if variance <= TINY_MM2:
        return None
    per_mm, power = spectrum(binned.waves[:, low:high] - mean * binned.even[:, low:high])
    length = (high - low) * BIN_MM
    band = (per_mm >= max(1 / MOST_PITCH_MM, LEAST_TURNS / length)) & (per_mm <= 1 / LEAST_PITCH_MM)
    if not band.any():
        return None
    first = int(np.argmax(band))
    power = power[:, band]
    row, column = np.unravel_index(int(np.argmax(np.where(THREADLIKE[:, None], power, 0.0))), power.shape)
    winding, column = lowest(power, WINDINGS[int(row)], int(column) + first, first)
    best = float(power[winding + MOST_WINDING, column - first])
    beside = power[:, max(0, column - first - 3) : column - first + 4]
    rival = float(np.delete(beside, winding + MOST_WINDING, axis=0).max())
    all_of_it = best + overtones(power, winding, column, first)
    helix = Helix(
        pitch_mm=1 / float(per_mm[column]),
        winding=winding,
        phase_rad=0.0,
        amplitude_mm=2 * sqrt(best) / count,
        along_mm=(binned.low_mm + low * BIN_MM, binned.low_mm + high * BIN_MM),
        shown=2 * all_of_it / (count**2 * variance),
        score=all_of_it / (count * variance),
    )
    sound = 2 * best <= most * count**2 * variance
    stands_out = sound and helix.shown >= LEAST_SHOWN and best >= LEAST_LEAD * rival
    return helix if stands_out and helix.score >= LEAST_SCORE else None


def lowest(power: FloatArray, winding: int, column: int, first: int) -> tuple[int, int]:
    """The wave that a strong one is an overtone of, if any: sharp crests have strong overtones.

    Args:
        power: (w, f) by winding number and band. winding: of the strong one. column: its place among all frequencies.
        first: of the band's columns.
    Returns: winding number and place among all frequencies.
    """
    best = power[winding + MOST_WINDING, column - first]
    for divisor in (4, 3, 2):
        if winding % divisor:
            continue
        low, high = column // divisor - 2 - first, column // divisor + 3 - first
        if low < 0:
            continue
        near = power[winding // divisor + MOST_WINDING, low:high]
        if len(near) and float(near.max()) >= OVERTONE * best:
            return winding // divisor, low + first + int(np.argmax(near))
    return winding, column


def overtones(power: FloatArray, winding: int, column: int, first: int) -> float:
    """Power of a wave's overtones: twice its frequency at twice its winding number, three times, ..."""
    total = 0.0
    for times in range(2, MOST_WINDING // abs(winding) + 1):
        low, high = times * column - times - first, times * column + times + 1 - first
        near = power[times * winding + MOST_WINDING, low:high]
        total += float(near.max()) if len(near) else 0.0
    return total


def spectrum(waves: ComplexArray) -> tuple[FloatArray, FloatArray]:
    """Power of off * exp(-i (2 pi k z - m angle)) summed over all points, for each winding number m.

    Args:
        waves: (MOST_WINDING + 1, b) sums of off * exp(i m angle) in each bin.
    Returns: (f,) waves per mm; (len(WINDINGS), f) power.
    """
    size = 1 << (2 * waves.shape[1] - 1).bit_length()
    whole = np.abs(np.fft.fft(waves, size, axis=1)) ** 2
    up = whole[:, : size // 2]
    # The spectrum of the opposite winding is the conjugate of this one's at negative frequencies.
    down = np.concatenate([whole[1:, :1], whole[1:, : size // 2 : -1]], axis=1)
    return np.arange(size // 2) / (size * BIN_MM), np.concatenate([down[::-1], up])


def refined(helix: Helix, z_mm: FloatArray, angle_rad: FloatArray, off_mm: FloatArray) -> Helix:
    """The same wave with its pitch, phase and amplitude fitted to the given points (its own stretch only).

    Args:
        helix: as found. z_mm: (n,). angle_rad: (n,). off_mm: (n,) less their mean.
    Returns: the wave; its window is the points' reach.
    """
    length = float(np.ptp(z_mm))
    middle = float(z_mm.mean())
    per_mm, step = 1 / helix.pitch_mm, 0.6 / length
    turned = off_mm * np.exp(1j * helix.winding * angle_rad)
    for _ in range(7):
        tried = per_mm + step * np.linspace(-1, 1, 9)
        power = np.abs(np.exp(-2j * pi * np.outer(tried, z_mm - middle)) @ turned)
        per_mm, step = float(tried[int(np.argmax(power))]), step / 3
    total = complex((turned * np.exp(-2j * pi * per_mm * z_mm)).sum())
    count, variance = len(z_mm), float((off_mm**2).mean())
    return Helix(
        pitch_mm=1 / per_mm,
        winding=helix.winding,
        phase_rad=float(-np.angle(total)),
        amplitude_mm=2 * abs(total) / count,
        along_mm=(float(z_mm.min()), float(z_mm.max())),
        shown=2 * abs(total) ** 2 / (count**2 * variance),
        score=abs(total) ** 2 / (count * variance),
    )


def wave_phase(helix: Helix, z_mm: FloatArray, angle_rad: FloatArray) -> FloatArray:
    """(n,) where in the wave each point lies, 0 to 1, the wave's crest at 0."""
    return ((2 * pi * z_mm / helix.pitch_mm - helix.winding * angle_rad - helix.phase_rad) / (2 * pi)) % 1.0
