"""The constrained fit: relations imposed one after another, each kept if the evidence speaks for it.

With each patch's numbers known as `C` (covariance) and a relation's rows A x = b, the fit of least squares that keeps
it is x = C A' (A C A' + P)^-1 b, and it costs b' (A C A' + P)^-1 b more than the free fit; P is the play that the shop
leaves a row, nought for geometry. It has as many numbers fewer as there are rows. By BIC it is kept if the cost is
less than that many times the logarithm of the independent points.
Source: least squares with linear restraints, e.g. C. R. Rao, Linear Statistical Inference (1973), section 4a; the
criterion: Schwarz 1978.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import log

import numpy as np
import numpy.typing as npt

from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.part.relations.candidates import directions, rounds
from steadyrest.part.relations.relation import Proposal, RelationKind, Row, as_arrays
from steadyrest.part.relations.spacing import circles, rows_of_holes, symmetric_pairs
from steadyrest.part.relations.standing import Standing, moved, standings_of

FloatArray = npt.NDArray[np.float64]

IMPLIED = 1e-6  # share of its free variance below which a row already holds


@dataclass(frozen=True, slots=True)
class Relation:
    """A relation that was looked at.

    patches: ids. imposed: the evidence was for it. misfit_mm: farthest that it moved a surface of its patches.
    cost: rise of the sum of squares over the noise. rows: numbers saved. odds: chance of it by BIC, 0 to 1.
    """

    kind: RelationKind
    patches: tuple[int, ...]
    imposed: bool
    misfit_mm: float
    cost: float
    rows: int
    odds: float


@dataclass(slots=True)
class Fit:
    """The fit under way: numbers (n,), their covariance (n, n), and their variance (n,) before any relation."""

    standings: tuple[Standing, ...]
    numbers: FloatArray
    covariance: FloatArray
    free_variance: FloatArray

    def cost_of(self, rows: Sequence[Row]) -> tuple[float, int, FloatArray, FloatArray]:
        """What a relation would cost; how many numbers it saves; the gain matrix and what is missing.

        Rows that the relations kept so far already imply save nothing.
        """
        left, right, play = as_arrays(rows, len(self.numbers))
        missing = right - left @ self.numbers
        spread = self.covariance @ left.T
        scale = np.sqrt(np.maximum(np.square(left) @ self.free_variance, 1e-300))
        between = left @ spread + np.diag(play)
        values, vectors = np.linalg.eigh(between / np.outer(scale, scale))
        kept = values > IMPLIED
        inverse = (vectors[:, kept] / values[kept]) @ vectors[:, kept].T / np.outer(scale, scale)
        return float(missing @ inverse @ missing), int(np.count_nonzero(kept)), spread @ inverse, missing

    def keep(self, rows: Sequence[Row]) -> None:
        """Impose a relation."""
        left, _, _ = as_arrays(rows, len(self.numbers))
        _, _, gain, missing = self.cost_of(rows)
        self.numbers = self.numbers + gain @ missing
        covariance = self.covariance - gain @ (left @ self.covariance)
        self.covariance = (covariance + covariance.T) / 2


def imposed(graph: PatchGraph) -> tuple[PatchGraph, tuple[Relation, ...]]:
    """The patches of a scan after the relations that its evidence is for.

    Args:
        graph: patches with their points. An exact one, and one with an axis of its own, come back as they are.
    Returns: the graph with planes and cylinders refitted together; what was looked at.
    """
    standings = standings_of(graph) if graph.scan and graph.noise_mm > 0 and graph.axis is None else ()
    if len(standings) < 2:
        return graph, ()
    count = standings[-1].at + standings[-1].size
    covariance = np.zeros((count, count))
    for one in standings:
        own = slice(one.at, one.at + one.size)
        covariance[own, own] = one.covariance
    fit = Fit(standings, np.zeros(count), covariance, np.diag(covariance).copy())
    stages: tuple[Callable[[Sequence[Standing]], Iterable[Proposal]], ...] = (
        directions, rounds, circles, rows_of_holes, symmetric_pairs,
    )  # fmt: skip
    looked_at = tuple(judged(fit, proposal) for stage in stages for proposal in stage(standings))
    return refitted(graph, fit), looked_at


def judged(fit: Fit, proposal: Proposal) -> Relation:
    """Look at one relation and impose it if BIC is for it."""
    cost, saved, gain, missing = fit.cost_of(proposal.rows)
    points = sum(fit.standings[k].independent for k in proposal.members)
    gain_bic = saved * log(max(points, 2.0)) - cost
    good = saved > 0 and gain_bic > 0
    change = gain @ missing
    misfit = max(farthest(fit.standings[k], change) for k in proposal.members)
    if good:
        fit.keep(proposal.rows)
    odds = 1.0 / (1.0 + float(np.exp(np.clip(-gain_bic / 2, -50, 50))))
    ids = tuple(fit.standings[k].patch.id for k in proposal.members)
    return Relation(proposal.kind, ids, good, misfit, cost, saved, odds)


def farthest(standing: Standing, change: FloatArray) -> float:
    """How far a change moves a patch's surface at most, mm."""
    own = np.abs(change[standing.at : standing.at + standing.size])
    first = standing.tilts[0] - standing.at
    tilt = float(np.hypot(own[first], own[first + 1])) * standing.reach_mm
    shift = float(own[0]) if standing.size == 3 else float(np.hypot(own[0], own[1])) + float(own[4])
    return shift + tilt


def refitted(graph: PatchGraph, fit: Fit) -> PatchGraph:
    """The graph with its patches as the fit has them now."""
    u = np.sqrt(np.maximum(np.diag(fit.covariance), 0.0))
    new: dict[int, Patch] = {}
    for one in fit.standings:
        own = slice(one.at, one.at + one.size)
        new[one.patch.id] = moved(one, fit.numbers[own], u[own])
    return replace(graph, patches=tuple(new.get(p.id, p) for p in graph.patches))
