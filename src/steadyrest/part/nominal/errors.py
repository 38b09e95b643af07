"""What all sizes of a scan have wrong together: film and scale of the scan, and how closely the part was made."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from steadyrest.part.nominal.habits import FloatArray, habits

GRID_SD = 2.4
SCALE_POINTS = 7
FILM_POINTS = 11


@dataclass(frozen=True, slots=True)
class Errors:
    """The grid of shared errors. film_mm, scale, made_mm: (a,) one value a state; log_odds: (a,) prior.

    film_step_mm, scale_step: how far neighbouring states lie apart; what lies between is left to each size's own sigma.
    own_mm: what is left to each surface by itself.
    """

    film_mm: FloatArray
    scale: FloatArray
    made_mm: FloatArray
    log_odds: FloatArray
    film_step_mm: float
    scale_step: float
    own_mm: float


def scan_errors() -> Errors:
    """The error grid of a hand-held scan: film (spray makes it one-sided), scale, three habits of work."""
    scan, made = habits().scan, habits().made
    # Spray only adds; what makes a scan too thin is the scanner's own, and less.
    film_mm = np.linspace(-GRID_SD * scan["thin_mm"], scan["spray_mm"], FILM_POINTS)
    bare = np.exp(-((film_mm / np.where(film_mm < 0, scan["thin_mm"], scan["film_mm"])) ** 2) / 2)
    sprayed = (film_mm >= 0).astype(np.float64)
    film_odds = (1 - scan["spray_share"]) * bare / bare.sum() + scan["spray_share"] * sprayed / sprayed.sum()
    steps = np.linspace(-GRID_SD, GRID_SD, SCALE_POINTS)
    scale_odds = np.exp(-(steps**2) / 2)
    scale_odds /= scale_odds.sum()
    film, scale, work = np.meshgrid(film_mm, steps * scan["scale"], np.arange(len(made)), indexing="ij")
    shares = np.array([share for _, share in made])
    odds = film_odds[:, None, None] * scale_odds[None, :, None] * shares[None, None, :]
    return Errors(
        film_mm=film.ravel(),
        scale=scale.ravel(),
        made_mm=np.array([sd for sd, _ in made])[work.ravel()],
        log_odds=np.log(odds).ravel(),
        film_step_mm=float(film_mm[1] - film_mm[0]),
        scale_step=float(steps[1] - steps[0]) * scan["scale"],
        own_mm=scan["own_mm"],
    )


def exact_errors(own_mm: float) -> Errors:
    """A model is exact: one state without error, and what rounding in the file leaves to each size."""
    zero = np.zeros(1)
    return Errors(zero, zero, zero, zero, film_step_mm=0.0, scale_step=0.0, own_mm=own_mm)
