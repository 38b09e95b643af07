"""Lengths that follow each other along the axis share their faces: where one is seen too long, the next is too short.

Each length alone knows nothing of that. Here every chain of touching lengths is judged once more as a whole: a face
that the scan, or the lathe, put a tenth too far makes one length longer and its neighbour shorter by as much, and the
sum of all of them, the overall length, stays known as well as its two end faces. Candidates are followed from face to
face, the likeliest combinations kept; each combination's odds follow exactly (normal errors of faces, wide tails as two
widths). How the lathe worked, each length from its neighbour or all from one face, is not known: both are weighed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.judged import Judged
from steadyrest.part.nominal.likelihood import likelihood
from steadyrest.part.nominal.unknowns import Unknown
from steadyrest.shop.part import Part

IntArray = npt.NDArray[np.int64]

TOUCH_MM = 1e-3  # faces closer than this are one face
LEAST_ODDS = 1e-5  # of a candidate alone, to be followed
MOST = 300  # combinations kept
# A groove's width has limits and film of its own: it is left to its family.
ALONG = {"shaft": "length_mm", "bore": "length_mm", "cone": "length_mm", "chamfer": "width_mm"}


@dataclass(frozen=True, slots=True)
class Link:
    """One length of a chain. row: its index. at: (c,) its candidates that are followed, the free one (last) among them.

    off_mm: (c,) seen less expected. log_prior: (c,) odds of each before it was seen. own_var, faces_var: what is its
    own, and what each of its faces may be off by, mm2.
    """

    row: int
    at: IntArray
    off_mm: FloatArray
    log_prior: FloatArray
    own_var: float
    faces_var: tuple[float, float]


def chained(judged: Judged, part: Part) -> Judged:
    """What was weighed, with the lengths of every chain judged as a whole.

    Args:
        judged: each size judged. part: as scanned, for what touches what.
    Returns: the same with other odds of such lengths; a model's as it is, since nothing of it is uncertain.
    """
    if judged.exact:
        return judged
    odds = list(judged.posterior.odds)
    for rows in chains(judged, part):
        for k, found in whole(judged, rows).items():
            odds[k] = found
    return replace(judged, posterior=replace(judged.posterior, odds=tuple(odds)))


def chains(judged: Judged, part: Part) -> Iterator[tuple[int, ...]]:
    """Indices of lengths that touch each other in a row, two or more, outside and inside apart."""
    for inside in (False, True):
        found: list[tuple[float, float, int]] = []
        for k, row in enumerate(judged.rows):
            feature = part.feature(row.feature)
            along = feature.along_mm
            bored = feature.inside or feature.kind == "bore"
            if along is None or bored != inside or ALONG.get(row.kind) != row.name or len(row.members) > 1:
                continue
            # A length that was not taken between these two faces says nothing of them.
            if row.reading is None and abs(along[1] - along[0] - row.observed_mm) < TOUCH_MM:
                found.append((*along, k))
        run: list[tuple[float, float, int]] = []
        for one in [*sorted(found), (np.inf, np.inf, -1)]:
            if run and abs(run[-1][1] - one[0]) > TOUCH_MM:
                if len(run) > 1:
                    yield tuple(k for *_, k in run)
                run = []
            run.append(one)


def whole(judged: Judged, rows: Sequence[int]) -> dict[int, FloatArray]:
    """Odds of the candidates of each length of one chain.

    Args:
        judged: each size judged. rows: indices of the chain's lengths, in order along the axis.
    Returns: index to (c,) odds.
    """
    chain = links_of(judged, rows)
    found = {k: np.zeros(len(judged.choices[k].fits)) for k in rows}
    for made_mm, share in made_levels(judged):
        made_var = (habits().length_times * made_mm) ** 2
        ways = [followed(chain, made_var, shared=shared) for shared in (True, False)]
        top = max(log for _, log in ways)
        weights = [float(np.exp(log - top)) for _, log in ways]
        for (told, _), weight in zip(ways, weights, strict=True):
            for k, odds in told.items():
                found[k][: len(odds)] += share * weight / sum(weights) * odds
    return {k: odds / odds.sum() for k, odds in found.items()}


def made_levels(judged: Judged) -> list[tuple[float, float]]:
    """How closely the part may have been made, mm of a diameter, and the odds of each."""
    levels: dict[float, float] = {}
    for made_mm, odds in zip(judged.errors.made_mm, judged.posterior.errors, strict=True):
        levels[float(made_mm)] = levels.get(float(made_mm), 0.0) + float(odds)
    return list(levels.items())


def links_of(judged: Judged, rows: Sequence[int]) -> list[Link]:
    """The lengths of a chain with their candidates."""
    scan = [scan_var(judged, judged.rows[k]) for k in rows]
    faces = faces_var(scan)
    return [
        link(judged, k, own_var=max(0.0, scan[i] - faces[i] - faces[i + 1]), faces=(faces[i], faces[i + 1]))
        for i, k in enumerate(rows)
    ]


def faces_var(scan: Sequence[float]) -> list[float]:
    """What each face may be off by, from what each length may be, mm2: one more faces than lengths.

    A face is seen as well as the better of the two lengths that it ends; what two neighbours both leave over is the
    fault of the face between them, and what an outer length leaves over that of the outer face.
    """
    faces = [scan[0] / 2, *(min(a, b) / 2 for a, b in pairwise(scan)), scan[-1] / 2]
    faces[0], faces[-1] = min(faces[:2]), min(faces[-2:])
    left = [var - a - b for var, (a, b) in zip(scan, pairwise(faces), strict=True)]
    for i in range(1, len(scan)):
        both = max(0.0, min(left[i - 1], left[i]))
        faces[i] += both
        left[i - 1] -= both
        left[i] -= both
    faces[0] += max(0.0, left[0])
    faces[-1] += max(0.0, left[-1])
    return faces


def scan_var(judged: Judged, row: Unknown) -> float:
    """Variance of one length as scanned, mm2."""
    scale = (judged.errors.scale_step * row.observed_mm) ** 2 / 12
    return row.u_mm**2 + judged.errors.own_mm**2 + scale


def link(judged: Judged, k: int, *, own_var: float, faces: tuple[float, float]) -> Link:
    """One length: which candidates are followed, and their odds without what this length was seen at."""
    row, choice, odds = judged.rows[k], judged.choices[k], judged.posterior.odds[k]
    like = likelihood(row, choice, judged.errors) @ judged.posterior.errors
    at = np.flatnonzero((odds > LEAST_ODDS) | (np.arange(len(odds)) == len(odds) - 1))
    expected = (choice.value_mm[at] + choice.offset_mm[at]) * (1 + judged.posterior.scale)
    prior = np.log(np.maximum(odds[at], 1e-12)) - np.log(np.maximum(like[at], 1e-300))
    return Link(k, at, row.observed_mm - expected, prior, own_var, faces)


def followed(chain: Sequence[Link], made_var: float, *, shared: bool) -> tuple[dict[int, FloatArray], float]:
    """Candidates followed from face to face.

    Args:
        chain: lengths in order. made_var: variance of a length as made, mm2. shared: it was made face by face, so that
            neighbours share its error too; else each length by itself.
    Returns: for each length's index the odds of all its candidates up to the last one followed, and the log evidence.
    """
    share, times = habits().worse
    widths = np.array([1.0, times**2])
    log_share = np.log(np.array([1 - share, share]))
    face = made_var / 2 if shared else 0.0
    first = chain[0].faces_var[0] + face
    log, mean, var = log_share.copy(), np.zeros(2), first * widths
    path = np.zeros((2, 0), dtype=np.int64)
    for one in chain:
        prior = (one.faces_var[1] + face) * widths
        own = one.own_var + (0.0 if shared else made_var)
        spread = var[:, None, None] + own + prior[None, None, :]
        off = one.off_mm[None, :, None] + mean[:, None, None]
        seen = -0.5 * off**2 / spread - 0.5 * np.log(2 * np.pi * spread)
        gain = prior[None, None, :] / spread
        after, left = gain * off, prior[None, None, :] * (1 - gain) * np.ones_like(off)
        # The free candidate is as likely anywhere, and tells nothing of where its far face is.
        seen[:, -1, :], after[:, -1, :], left[:, -1, :] = 0.0, 0.0, prior
        score = (log[:, None, None] + one.log_prior[None, :, None] + log_share[None, None, :] + seen).ravel()
        best = np.argsort(-score, kind="stable")[:MOST]
        log, mean, var = score[best], after.ravel()[best], left.ravel()[best]
        came, which = best // (len(one.at) * 2), best // 2 % len(one.at)
        path = np.column_stack([path[came], which])
    top = float(log.max())
    weight = np.exp(log - top)
    total = float(weight.sum())
    found: dict[int, FloatArray] = {}
    for i, one in enumerate(chain):
        shares = np.bincount(path[:, i], weights=weight, minlength=len(one.at)) / total
        found[one.row] = np.zeros(int(one.at[-1]) + 1)
        found[one.row][one.at] = shares
    return found, top + float(np.log(total))
