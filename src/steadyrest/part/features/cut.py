"""All that is known of a turned part before its features are named."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.part.features.axis import across, coaxial
from steadyrest.part.features.flats import Flats
from steadyrest.part.features.frame import Frame
from steadyrest.part.features.holes import Hole
from steadyrest.part.features.keyway import Keyway
from steadyrest.part.features.profile import Line, Piece
from steadyrest.part.features.turned import Slack, SquareFace, loose_angle
from steadyrest.part.patch import Patch, PatchGraph


@dataclass(frozen=True, slots=True)
class Cut:
    """All that is known of a turned part before its features are named."""

    graph: PatchGraph
    frame: Frame
    slack: Slack
    line: Line
    faces: tuple[SquareFace, ...]
    keyways: tuple[Keyway, ...]
    flats: tuple[Flats, ...]
    holes: tuple[Hole, ...]

    def is_square(self, patch: Patch) -> bool:
        return across(patch, self.frame.axis, angle_rad=loose_angle(patch, self.slack))

    def is_coaxial(self, patch: Patch) -> bool:
        angle = loose_angle(patch, self.slack)
        return coaxial(patch, self.frame.origin, self.frame.axis, angle_rad=angle, distance_mm=self.slack.distance_mm)


def tag_of(piece: Piece, *, inside: bool) -> str:
    return f"{'in' if inside else 'out'} {piece.low.at_mm:.9f}"
