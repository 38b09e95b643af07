"""Shoulders that no plane patch tells: where a scan's line steps from one level to the next, a face stands there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from steadyrest.part.features.cut import Cut
from steadyrest.part.features.draft import Draft, feature_of
from steadyrest.part.features.profile import Piece
from steadyrest.shop.figure import because

LEAST_STEP_MM = 0.3  # less is a chamfer's rest or two fits of one surface, not a face


def shoulder_drafts(cut: Cut) -> Iterator[Draft]:
    """Faces for the steps of the line, outside and inside, at which no square face was found.

    Args:
        cut: the part as its line and cuts tell it.
    Returns: one draft a step.
    """
    for inside, pieces in ((False, cut.line.outside), (True, cut.line.inside)):
        for before, after in steps(pieces):
            at_mm = before.high.at_mm
            rises = after.low_radius_mm > before.high_radius_mm
            # Material lies on the larger side outside, on the smaller side inside; the face looks away from it.
            looks = -1.0 if rises != inside else 1.0
            inner, outer = sorted((before.high_radius_mm, after.low_radius_mm))
            axis = cut.frame.axis
            face = feature_of(
                "face",
                [],
                [],
                axis=(looks * axis[0], looks * axis[1], looks * axis[2]),
                at_mm=cut.frame.at(at_mm),
                frame=cut.frame,
                along_mm=(at_mm, at_mm),
                why=(because("features.shoulder"),),
            )
            yield Draft(replace(face, area_mm2=math.pi * (outer**2 - inner**2)), f"shoulder {inside} {at_mm:.3f}")


def steps(pieces: Sequence[Piece]) -> Iterator[tuple[Piece, Piece]]:
    """Neighbours of which each was found, that step by enough, with no face of their own between them."""
    for before, after in pairwise(pieces):
        if before.ring is None or after.ring is None or before.high.face or after.low.face:
            continue
        touch = abs(before.high.at_mm - after.low.at_mm) < 1e-6
        if touch and abs(before.high_radius_mm - after.low_radius_mm) > LEAST_STEP_MM:
            yield before, after
