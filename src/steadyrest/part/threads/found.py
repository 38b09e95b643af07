"""A thread as found, and what it may be called."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from steadyrest.shop.figure import Reason
from steadyrest.shop.part import Doubt, Trust, Vec3, trust

Hand = Literal["right", "left"]


@dataclass(frozen=True, slots=True)
class ThreadName:
    """One thread of the tables that this may be. odds: 0 to 1, of this one against the others and none of them."""

    name: str
    diameter_mm: float
    pitch_mm: float
    odds: float
    source: str


@dataclass(frozen=True, slots=True)
class ThreadFound:
    """A thread on a turned stretch.

    patches: ids of the patches that lie on it. point, axis: of the cylinder that it winds round.
    along_mm: from and to along `axis`, measured from `point`. inside: cut into a bore.
    pitch_mm: from crest to next crest; the lead is pitch times starts. u_pitch_mm, u_major_mm: one sigma.
    major_mm, minor_mm: largest and smallest diameter as seen; the scanner rounds both off a little.
    depth_share: depth seen, over 5/8 of the height of a 60 degree triangle of this pitch; 0.6 and less means that
        the valleys (or crests) were not seen.
    shows: share of the roughness of this stretch that one helix explains, 0 to 1.
    names: what it may be, best first; empty if nothing in the tables is near. odds sum to 1 with "none of them".
    """

    patches: tuple[int, ...]
    point: Vec3
    axis: Vec3
    along_mm: tuple[float, float]
    inside: bool
    hand: Hand
    starts: int
    pitch_mm: float
    u_pitch_mm: float
    major_mm: float
    minor_mm: float
    u_major_mm: float
    depth_share: float
    shows: float
    names: tuple[ThreadName, ...] = ()
    why: tuple[Reason, ...] = ()
    doubts: tuple[Doubt, ...] = ()

    @property
    def state(self) -> Trust:
        """How far the first name may be trusted; never more than likely where a valley was not seen."""
        if not self.names:
            return "ask"
        told = trust(self.names[0].odds)
        return "ask" if self.depth_share <= CRESTS_ONLY else told


CRESTS_ONLY = 0.6
