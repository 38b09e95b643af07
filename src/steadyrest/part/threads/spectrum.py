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

LEAST_PITCH_MM, MOST_PITCH_MM = 0.35, 8.0
MOST_STARTS = 4
WINDINGS = tuple(range(-8, 9))
BIN_MM = 0.04
LEAST_TURNS = 3.0
LEAST_WINDOW_MM = 5.0
LEAST_POINTS = 150
LEAST_SHOWN = 0.3  # of the variance
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


def strongest_helix(z_mm: FloatArray, angle_rad: FloatArray, off_mm: FloatArray) -> Helix | None:
    """The thread-like wave that stands out most in any window along the axis; None if none does.

    Args:
        z_mm: (n,) along the axis.
        angle_rad: (n,) round it.
        off_mm: (n,) radius less its smooth course, noise of about zero mean.
    Returns: the wave, its pitch not yet refined.
    """
    low, high = float(z_mm.min()), float(z_mm.max())
    found = [
        helix for window in windows(low, high) if (helix := in_window(z_mm, angle_rad, off_mm, window)) is not None
    ]
    return max(found, key=lambda helix: helix.score, default=None)


def windows(low_mm: float, high_mm: float) -> Iterator[tuple[float, float]]:
    """The whole stretch, then half of it, a quarter, ..., each moved on by half of itself."""
    length = high_mm - low_mm
    while length >= LEAST_WINDOW_MM:
        start = low_mm
        while start + length <= high_mm + 1e-9:
            yield start, start + length
            start += length / 2
        length /= 2


def in_window(
    z_mm: FloatArray, angle_rad: FloatArray, off_mm: FloatArray, window_mm: tuple[float, float]
) -> Helix | None:
    """The strongest thread-like wave in one window, or None."""
    here = (z_mm >= window_mm[0]) & (z_mm <= window_mm[1])
    count = int(here.sum())
    if count < LEAST_POINTS:
        return None
    z, angle, off = z_mm[here] - window_mm[0], angle_rad[here], off_mm[here]
    off = off - off.mean()
    variance = float((off**2).mean())
    if variance <= 0.0:
        return None
    length = window_mm[1] - window_mm[0]
    per_mm, sums = spectrum(z, angle, off, length)
    most = min(MOST_PITCH_MM, length / LEAST_TURNS)
    band = (per_mm >= 1 / most) & (per_mm <= 1 / LEAST_PITCH_MM)
    if not band.any():
        return None
    power = np.abs(sums[:, band]) ** 2
    threadlike = np.array([0 < abs(m) <= MOST_STARTS for m in WINDINGS])
    row, column = np.unravel_index(int(np.argmax(np.where(threadlike[:, None], power, 0.0))), power.shape)
    best = float(power[row, column])
    rival = float(np.delete(power[:, max(0, column - 3) : column + 4], row, axis=0).max())
    helix = Helix(
        pitch_mm=1 / float(per_mm[band][column]),
        winding=WINDINGS[int(row)],
        phase_rad=0.0,
        amplitude_mm=2 * sqrt(best) / count,
        along_mm=window_mm,
        shown=2 * best / (count**2 * variance),
        score=best / (count * variance),
    )
    stands_out = helix.shown >= LEAST_SHOWN and best >= LEAST_LEAD * rival and helix.score >= LEAST_SCORE
    return helix if stands_out else None


def spectrum(
    z_mm: FloatArray, angle_rad: FloatArray, off_mm: FloatArray, length_mm: float
) -> tuple[FloatArray, npt.NDArray[np.complex128]]:
    """Sums of off * exp(-i (2 pi k z - m angle)) for each winding number m.

    Args:
        z_mm: (n,) from 0 to length. angle_rad: (n,). off_mm: (n,). length_mm: of the window.
    Returns: (f,) waves per mm; (len(WINDINGS), f) sums.
    """
    bins = int(length_mm / BIN_MM) + 1
    place = np.minimum((z_mm / BIN_MM).astype(np.int64), bins - 1)
    size = 1 << (4 * bins - 1).bit_length()
    sums = np.empty((len(WINDINGS), size // 2), dtype=np.complex128)
    for row, m in enumerate(WINDINGS):
        turned = off_mm * np.exp(1j * m * angle_rad)
        binned = np.bincount(place, turned.real, bins) + 1j * np.bincount(place, turned.imag, bins)
        sums[row] = np.fft.fft(binned, size)[: size // 2]
    return np.arange(size // 2) / (size * BIN_MM), sums


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
