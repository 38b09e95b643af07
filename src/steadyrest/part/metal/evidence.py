"""What is known of a piece of unknown metal, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.part import Trust
from steadyrest.tables.metal_tests import TEST_NAMES, TestName, outcomes
from steadyrest.trouble import BadInput


@dataclass(frozen=True, slots=True)
class MetalEvidence:
    """What was weighed and tried; None where it was not.

    volume_mm3, mass_kg: value and one sigma. in_water_kg: what the same scale says with the part hung in clean water.
    magnet: strong, weak, none. file: bites, hardly, skates. colour: of a bright spot: grey, silver-white, yellow, red,
    dark, pale. spark: long lines, forks, bursts, orange lines, short red, white, none.
    """

    volume_mm3: tuple[float, float] | None = None
    mass_kg: tuple[float, float] | None = None
    in_water_kg: float | None = None
    magnet: str | None = None
    file: str | None = None
    colour: str | None = None
    spark: str | None = None

    def outcome(self, test: TestName) -> str | None:
        """What a test said, or None."""
        return {"magnet": self.magnet, "file": self.file, "colour": self.colour, "spark": self.spark}[test]


@dataclass(frozen=True, slots=True)
class Named:
    """A kind, or several that go by one name. kinds: those within. odds: that it is one of them."""

    name: str
    kinds: tuple[str, ...]
    odds: Figure


@dataclass(frozen=True, slots=True)
class NextTest:
    """The test that tells most for its time.

    takes: s. gain: bits of what is not known yet that it takes away on average. cautions: before it is tried.
    """

    test: str
    takes: Figure
    gain: Figure
    cautions: tuple[Reason, ...]
    why: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class MetalAnswer:
    """Which metal it is, as far as the tests tell.

    sure: the narrowest name that reaches the odds of "sure"; likely: the narrowest that reaches "likely", if narrower.
        Both None: cannot be told. kinds: every kind with its odds, likeliest first; "none of these" is one of them.
    materials: ids of the materials table with their odds, likeliest first; their sum is what is not "none of these" nor
        a kind without rows. density_kg_m3: what the scale says. next_test: None where nothing left is worth trying.
    withheld: tests that are not to be tried yet, and why.
    """

    sure: Named | None
    likely: Named | None
    kinds: tuple[Named, ...]
    materials: tuple[tuple[str, float], ...]
    density_kg_m3: Figure | None
    next_test: NextTest | None
    withheld: tuple[Reason, ...]
    why: tuple[Reason, ...]

    @property
    def state(self) -> Trust:
        return "sure" if self.sure else "likely" if self.likely else "ask"


def checked(evidence: MetalEvidence) -> MetalEvidence:
    """The evidence, if it can be.

    Args:
        evidence: as given.
    Returns: the same.
    Raises: BadInput: a weight or volume that is none, a weight in water above that in air, an unknown outcome.
    """
    for test in TEST_NAMES:
        said = evidence.outcome(test)
        if said is not None and said not in outcomes(test):
            raise BadInput(where=test, what=f"“{said}” is no outcome.", do=f"One of: {', '.join(outcomes(test))}.")
    for where, pair in (("volume", evidence.volume_mm3), ("weight", evidence.mass_kg)):
        if pair is None:
            continue
        if not (isfinite(pair[0]) and isfinite(pair[1])) or pair[0] <= 0 or pair[1] < 0:
            raise BadInput(where=where, what=f"{pair[0]:g}, give or take {pair[1]:g}, cannot be.", do="Weigh it again.")
    if evidence.in_water_kg is not None:
        if evidence.mass_kg is None:
            raise BadInput(where="weight in water", what="the weight in air is missing.", do="Give both.")
        if not 0 <= evidence.in_water_kg < evidence.mass_kg[0]:
            raise BadInput(
                where="weight in water",
                what=f"{evidence.in_water_kg:g} kg is not between nothing and the weight in air.",
                do="Hang it wholly under water, not on the ground; what floats cannot be weighed so.",
            )
    return evidence
