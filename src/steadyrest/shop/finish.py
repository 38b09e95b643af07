"""What is asked of a part besides its shape: plated, hardened, ground; as values, and as a person types it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from steadyrest.trouble import BadInput

FinishWay = Literal["Ra", "stress relieved", "hardened", "case hardened", "ground", "lapped", "plated"]
# The order in which a shop has them done; a roughness is a wish, and how it is met is the route's to say.
TYPED: tuple[FinishWay, ...] = get_args(FinishWay)
WAYS: tuple[FinishWay, ...] = TYPED[1:]
ON_FEATURES = ("Ra", "ground", "lapped")
NUMBER = re.compile(r"(\d+(?:[.,]\d+)?)\s*(um|µm|mm|hrc)", re.IGNORECASE)
FEATURE = re.compile(r"[A-Z]{1,2}\d+")
MOST_UM = 2000.0
MOST_HRC = 70.0
MOST_RA_UM = 100.0
MOST_CASE_MM = 5.0
EXAMPLE_CASE = "case hardened 0.8 mm 60 HRC"


@dataclass(frozen=True, slots=True)
class Finish:
    """One treatment.

    thickness_um: of plating. ra_um: mean roughness that is wished for. hardness_hrc: at least. case_mm: depth of the
    hard case on the finished part.
    features: ids of what is ground, lapped or wished so smooth; none: all that can be.
    """

    way: FinishWay
    thickness_um: float = 0.0
    hardness_hrc: float = 0.0
    case_mm: float = 0.0
    features: tuple[str, ...] = ()
    ra_um: float = 0.0

    @property
    def shown(self) -> str:
        """As a person writes it."""
        said = [
            self.way,
            f"{self.case_mm:g} mm" if self.case_mm else "",
            f"{self.thickness_um:g} µm" if self.thickness_um else "",
            f"{self.hardness_hrc:g} HRC" if self.hardness_hrc else "",
            f"{self.ra_um:g} µm" if self.ra_um else "",
            ", ".join(self.features),
        ]
        return " ".join(text for text in said if text)


def finishes(texts: Sequence[str]) -> tuple[Finish, ...]:
    """Treatments as typed, in the order in which they are done.

    Args:
        texts: such as "Ra 0.8", "Ra 0.4 S2", "plated 8 um", "hardened 58 HRC", "case hardened 0.8 mm 60 HRC",
            "ground S2, S5", "stress relieved".
    Returns: each once.
    Raises: BadInput: not understood, out of range, or two that exclude each other.
    """
    found = [_one(text) for text in texts]
    ways = [finish.way for finish in found]
    for way in ways:
        if ways.count(way) > 1:
            raise _wrong(way, "stands twice.", "Give each treatment once.")
    if "hardened" in ways and "case hardened" in ways:
        raise _wrong("hardened", "and 'case hardened' exclude each other.", "Give one of them.")
    return tuple(sorted(found, key=lambda finish: TYPED.index(finish.way)))


def _one(text: str) -> Finish:
    plain = " ".join(text.split())
    way: FinishWay | None = next((way for way in TYPED if plain.lower().startswith(way.lower())), None)
    if way is None:
        raise _wrong(text, "is no treatment that is known.", f"Known: {', '.join(TYPED)}.")
    rest = plain[len(way) :].strip()
    if way == "Ra" and not NUMBER.search(rest):
        rest = re.sub(r"^(\d+(?:[.,]\d+)?)(?!\S)", r"\1 um", rest)
    numbers = {unit.lower().replace("µ", "u"): float(number.replace(",", ".")) for number, unit in NUMBER.findall(rest)}
    left = NUMBER.sub("", rest)
    names = tuple(dict.fromkeys(FEATURE.findall(left))) if way in ON_FEATURES else ()
    if re.sub(r"[\s,]|and", "", FEATURE.sub("", left) if way in ON_FEATURES else left):
        raise _wrong(
            text,
            f"has {left.strip()!r} in it, which is not understood.",
            'Write it as "plated 8 um" or "hardened 58 HRC".',
        )
    thickness_um = hardness_hrc = case_mm = ra_um = 0.0
    if way == "Ra":
        ra_um = _within(text, numbers.pop("um", 0.0), MOST_RA_UM, "its roughness in µm", "Ra 0.8")
    if way == "plated":
        um = numbers.pop("um", 0.0) or 1000.0 * numbers.pop("mm", 0.0)
        thickness_um = _within(text, um, MOST_UM, "its thickness", "plated 8 um")
    if way == "case hardened":
        case_mm = _within(text, numbers.pop("mm", 0.0), MOST_CASE_MM, "the depth of its case", EXAMPLE_CASE)
    if way in ("hardened", "case hardened"):
        example = "hardened 58 HRC" if way == "hardened" else EXAMPLE_CASE
        hardness_hrc = _within(text, numbers.pop("hrc", 0.0), MOST_HRC, "its hardness", example)
    if numbers:
        raise _wrong(
            text, f"has {', '.join(numbers)} in it, which does not belong there.", 'Write it as "plated 8 um".'
        )
    return Finish(way, thickness_um, hardness_hrc, case_mm, names, ra_um)


def _within(text: str, value: float, most: float, what: str, example: str) -> float:
    if not 0.0 < value <= most:
        raise _wrong(text, f"lacks {what}, or it is out of range (up to {most:g}).", f'Write it as "{example}".')
    return value


def _wrong(text: str, what: str, do: str) -> BadInput:
    return BadInput(where="--finish", what=f"{text!r} {what}", do=do)
