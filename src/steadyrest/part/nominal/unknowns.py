"""From a part's sizes to the unknowns: what was observed, how well, what may have been lost, what hangs on what.

Sizes that one pattern repeats (the holes of a bolt circle) are one unknown, observed several times. A keyway, a groove
and a seat's length hang on their shaft's diameter: their unknowns name it as `parent`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from steadyrest.part.nominal.habits import habits
from steadyrest.shop.part import Feature, Part, Size

Role = Literal["diameter", "length", "keyway width", "keyway depth", "groove diameter", "groove width", "thread",
               "hexagon", "other"]  # fmt: skip
NAMED = ("diameter_mm", "width_mm", "depth_mm", "length_mm", "radius_mm")
LENGTHS = ("length", "other")
TOUCH_MM = 0.5
TWIN_MM = 0.15
SHOULDER_MM = 1.0
WEAR_MM = 0.03
ALL_OVER = 0.75  # of a seat: with more of it worn than this, what is left may be worn too
SEAL_BAND_MM, SEAL_BAND_SHARE = 8.0, 0.5


@dataclass(frozen=True, slots=True)
class Unknown:
    """One size to be named.

    feature, name: of the first size that it stands for; members: (feature id, size name) of all of them.
    kind: the feature's kind. inside: a bore, a slot: film makes it smaller, wear makes it larger.
    observed_mm, u_mm: estimate of the size before wear and its sigma, over all members.
    worn: +1 if the true size can only be larger than seen (a shaft), -1 only smaller (a bore), 0 no wear.
    worn_share, worn_mm: odds that something is still missing, and its mean.
    below: (mm, sigma) if what seems unworn was built up smoothly, or None.
    even_share: odds that a seat on which something runs is worn evenly, end to end, which no scan shows.
    reading: (mm, sigma) by hand, or None. parent: index of the unknown it hangs on, or None.
    outermost: the part's largest outside diameter. twin: a bore with another of its size in the part. seat_share: how
    often a shaft that lies like this one is a bearing seat, before its size is looked at.
    """

    feature: str
    name: str
    members: tuple[tuple[str, str], ...]
    kind: str
    role: Role
    inside: bool
    observed_mm: float
    u_mm: float
    worn: int
    worn_share: float
    worn_mm: float
    reading: tuple[float, float] | None
    parent: int | None
    outermost: bool
    seat_share: float = 0.0
    seal_share: float = 0.0
    in_bore: bool = False
    stepped: bool = False
    below: tuple[float, float] | None = None
    even_share: float = 0.0
    twin: bool = False

    @property
    def along(self) -> bool:
        """A length, a depth, a broken edge: laid out apart from what a tool or a mate makes as wide as it is."""
        return self.role in LENGTHS and not (self.kind == "slot" and self.name == "width_mm")


def unknowns(part: Part) -> tuple[Unknown, ...]:
    """Every length of the part that a drawing would have shown, parents before their children.

    Args:
        part: as the feature finder left it.
    Returns: one unknown for each size, or for each size of a pattern.
    """
    rows: list[Unknown] = []
    index: dict[tuple[str, str], int] = {}
    done: set[tuple[str, str]] = set()
    largest = max((d.estimate for d in (outside_diameter(f) for f in part.features) if d is not None), default=0.0)
    features = sorted(
        part.features, key=lambda f: (f.kind not in ("shaft", "bore"), f.kind in ("keyway", "groove"), f.on is not None)
    )
    for feature in features:
        for size in feature.sizes:
            if size.name not in NAMED or size.estimate <= 0 or (feature.id, size.name) in done:
                continue
            same = repeats(part, feature, size)
            done.update((f.id, s.name) for f, s in same)
            parent = parent_of(part, feature, size, index)
            if parent is not None and rows[parent].parent is not None:
                parent = None  # a step on a step: what hangs on something carries nothing itself
            index.update({(f.id, s.name): len(rows) for f, s in same})
            rows.append(unknown(part, same, parent=parent, outermost=size.estimate == largest))
    return tuple(rows)


def modelled(part: Part) -> bool:
    """Whether the sizes come out of a model, as a solid or as its mesh: nothing uncertain, nothing scanned."""
    exact = any(size.uncertainty == 0.0 for feature in part.features for size in feature.sizes)
    return part.kind != "scan" or (part.noise_mm == 0.0 and exact)


def outside_diameter(feature: Feature) -> Size | None:
    """The diameter of an outside round feature, or None."""
    return feature.size("diameter_mm") if feature.kind in ("shaft", "thread") and not feature.inside else None


def repeats(part: Part, feature: Feature, size: Size) -> tuple[tuple[Feature, Size], ...]:
    """The same size on every feature of the pattern; the feature itself first. Without a pattern, only itself."""
    group = repeated_with(part, feature)
    others = (f for f in part.features if f.id in group and f.id != feature.id and f.kind == feature.kind)
    found = [(f, s) for f in others if (s := f.size(size.name)) is not None]
    near = [(f, s) for f, s in found if abs(s.estimate - size.estimate) < 0.5 + 3 * (s.uncertainty + size.uncertainty)]
    return ((feature, size), *near)


def repeated_with(part: Part, feature: Feature) -> frozenset[str]:
    """Ids of the features that one pattern makes alike; none for a feature that stands alone."""
    circles = (pattern.features for pattern in part.patterns if feature.id in pattern.features)
    named = (f.id for f in part.features if feature.pattern is not None and f.pattern == feature.pattern)
    return frozenset(next(circles, ())) | frozenset(named)


def parent_of(part: Part, feature: Feature, size: Size, index: dict[tuple[str, str], int]) -> int | None:
    """Index of the diameter that this size hangs on, or None."""
    if feature.kind in ("keyway", "groove") and size.name != "length_mm":
        carrier = feature.on if feature.on is not None else carrier_of(part, feature)
        return index.get((carrier, "diameter_mm")) if carrier is not None else None
    if is_stepped(part, feature) and feature.on is not None:
        return index.get((feature.on, "diameter_mm")) if size.name in ("diameter_mm", "depth_mm") else None
    # Of a bore, the drawing shows the depth from its mouth where there is one.
    long = "depth_mm" if feature.kind == "bore" and feature.size("depth_mm") is not None else "length_mm"
    if feature.kind in ("shaft", "bore") and size.name == long:
        return index.get((feature.id, "diameter_mm"))
    return None


def is_stepped(part: Part, feature: Feature) -> bool:
    """Whether a bore is the wider step over another one: a counterbore or a spotface."""
    if feature.kind != "bore" or feature.on is None:
        return False
    return any(f.id == feature.on and f.kind == "bore" for f in part.features)


def carrier_of(part: Part, feature: Feature) -> str | None:
    """The shaft that a groove is cut into, the thinner of those that touch it; inside, the wider bore."""
    if feature.kind != "groove" or feature.along_mm is None:
        return None
    low, high = feature.along_mm
    own = feature.size("diameter_mm")
    touching: list[tuple[float, str]] = []
    for other in part.features:
        diameter = bore_diameter(other) if feature.inside else outside_diameter(other)
        if diameter is None or other.along_mm is None:
            continue
        size = -diameter.estimate if feature.inside else diameter.estimate
        if own is not None and size <= (-own.estimate if feature.inside else own.estimate):
            continue
        if other.along_mm[0] <= high + TOUCH_MM and other.along_mm[1] >= low - TOUCH_MM:
            touching.append((size, other.id))
    return min(touching)[1] if touching else None


def bore_diameter(feature: Feature) -> Size | None:
    """The diameter of a bore along the part's axis, or None."""
    return feature.size("diameter_mm") if feature.kind == "bore" and feature.along_mm is not None else None


def unknown(part: Part, same: tuple[tuple[Feature, Size], ...], *, parent: int | None, outermost: bool) -> Unknown:
    """One unknown from the size of one feature, or of the features of a pattern."""
    feature, size = same[0]
    weights = [1 / max(s.uncertainty, 1e-6) ** 2 for _, s in same]
    observed = sum(w * s.estimate for w, (_, s) in zip(weights, same, strict=True)) / sum(weights)
    worn, share, mean = wear_left(part, feature, size)
    return Unknown(
        feature=feature.id,
        name=size.name,
        members=tuple((f.id, s.name) for f, s in same),
        kind=feature.kind,
        role=role_of(feature, size),
        inside=feature.inside or feature.kind in ("bore", "keyway", "slot", "pocket"),
        observed_mm=observed,
        u_mm=float(sum(weights) ** -0.5),
        worn=worn,
        worn_share=share,
        worn_mm=mean,
        reading=size.reading,
        parent=parent,
        outermost=outermost and feature.kind == "shaft" and size.name == "diameter_mm",
        seat_share=seat_share(part, feature),
        seal_share=seal_share(part, feature),
        in_bore=feature.inside,
        stepped=is_stepped(part, feature),
        below=size.below if worn else None,
        even_share=even_share(part, feature, worn),
        twin=has_twin(part, feature, size),
    )


def has_twin(part: Part, feature: Feature, size: Size) -> bool:
    """Whether another bore of the part is as wide: several alike are there for bolts more often than one alone."""
    if feature.kind != "bore" or size.name != "diameter_mm":
        return False
    others = (f.size(size.name) for f in part.features if f.kind == "bore" and f.id != feature.id)
    return any(s is not None and abs(s.estimate - size.estimate) < TWIN_MM for s in others)


def seat_share(part: Part, feature: Feature) -> float:
    """How often a shaft that lies like this is a bearing seat: against a shoulder, worn, or one of two alike."""
    standard = habits().standard
    own = outside_diameter(feature)
    if own is None or feature.along_mm is None:
        return standard["bearing_bore"]
    shafts = [
        (other, d) for other in part.features if other.id != feature.id and (d := outside_diameter(other)) is not None
    ]
    beside = [(other, d) for other, d in shafts if touches(other, feature)]
    shoulders = [d for _, d in beside if d.estimate > own.estimate + SHOULDER_MM]
    keyed = any(other.kind == "keyway" and other.on == feature.id for other in part.features)
    if keyed or len(shoulders) != 1:
        return standard["bearing_no_shoulder"]
    twin = any(
        abs(d.estimate - own.estimate) < TWIN_MM and other.kind == "shaft" and not touches(other, feature)
        for other, d in shafts
    )
    return standard["bearing_twin_or_worn"] if twin or is_worn(part, feature) else standard["bearing_bore"]


def seal_share(part: Part, feature: Feature) -> float:
    """How often a lip seal runs on a shaft like this: it wears a narrow band into it, never the whole length."""
    standard = habits().standard
    own = outside_diameter(feature)
    if own is None or feature.along_mm is None:
        return 0.0
    if not is_worn(part, feature) or feature.wear_along_mm is None:
        return standard["seal_seat"]
    band = feature.wear_along_mm[1] - feature.wear_along_mm[0]
    long = feature.along_mm[1] - feature.along_mm[0]
    narrow = band <= SEAL_BAND_MM and band < SEAL_BAND_SHARE * long
    return standard["seal_band"] if narrow else standard["seal_seat"]


def touches(a: Feature, b: Feature) -> bool:
    """Whether two turned features follow each other along the axis."""
    if a.along_mm is None or b.along_mm is None:
        return False
    return abs(a.along_mm[0] - b.along_mm[1]) < TOUCH_MM or abs(a.along_mm[1] - b.along_mm[0]) < TOUCH_MM


def role_of(feature: Feature, size: Size) -> Role:
    """What the size is on a drawing; decides which standard parts it may belong to."""
    match feature.kind, size.name:
        case "keyway", "width_mm":
            return "keyway width"
        case "keyway", "depth_mm":
            return "keyway depth"
        case "groove", "diameter_mm":
            return "groove diameter"
        case "groove", "width_mm":
            return "groove width"
        case "thread", "diameter_mm":
            return "thread"
        case "hexagon", "width_mm":
            return "hexagon"
        case (("shaft" | "bore" | "boss"), "diameter_mm"):
            return "diameter"
        case _, ("length_mm" | "depth_mm"):
            return "length"
        case _:
            return "other"


def even_share(part: Part, feature: Feature, worn: int) -> float:
    """How often a seat that looks sound is worn evenly all round and from end to end; 0 where wear was seen."""
    return habits().wear["even_share"] if worn and not is_worn(part, feature) else 0.0


def is_worn(part: Part, feature: Feature) -> bool:
    """Whether wear was found that noise does not explain."""
    return (feature.wear_mm or 0.0) > max(3 * part.noise_mm, WEAR_MM)


def wear_left(part: Part, feature: Feature, size: Size) -> tuple[int, float, float]:
    """Which way the true size can differ from what is left, how likely it still does, and by how much on average.

    Returns: (+1 larger, -1 smaller, 0 not; share; mean in mm of the size).
    """
    wear = habits().wear
    round_size = feature.kind in ("shaft", "bore") and size.name == "diameter_mm"
    if modelled(part) or not (round_size or (feature.kind == "keyway" and size.name == "width_mm")):
        return 0, 0.0, 0.0
    way = -1 if feature.inside or feature.kind in ("bore", "keyway") else 1
    found = feature.wear_mm or 0.0
    if not is_worn(part, feature):
        return way, wear["unseen_share"], wear["unseen_mm"]
    if worn_all_over(feature, size):
        return way, wear["whole_share"], 2 * found
    return way, wear["found_share"], max(wear["unseen_mm"], 2 * found * wear["found_left"])


def worn_all_over(feature: Feature, size: Size) -> bool:
    """Wear was found, yet the estimate is no larger than the plain fit: nothing unworn was there to compare with.

    A narrow band of wear hardly moves the plain fit either: where most of the seat is sound, that is what was compared.
    """
    found = feature.wear_mm or 0.0
    sound = 0 < feature.worn_share < ALL_OVER
    return found > 0 and not sound and abs(size.estimate - size.measured) < 0.1 * found
