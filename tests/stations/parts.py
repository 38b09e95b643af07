"""Turned parts for tests: named ones by hand, and a strategy that builds any."""

from __future__ import annotations

from functools import cache
from importlib import resources

from hypothesis.strategies import DrawFn, booleans, composite, floats, integers, lists, sampled_from

from steadyrest.shop.figure import because
from steadyrest.shop.floor import Shop
from steadyrest.shop.part import Feature, FeatureKind, Limits, Nominal, Part, Profile, Size, Stretch, UnitSaid
from steadyrest.shop.shop_file import read_shop

WHY = because("limit.next", figure=0.0)


@cache
def demo_shop() -> Shop:
    return read_shop((resources.files("steadyrest.demo") / "shop.toml").read_text(encoding="utf-8"), "shop.toml")


def size(name: str, value: float, limits: tuple[float, float] | None = None) -> Size:
    allowed = Limits(limits[0], limits[1], (WHY,)) if limits else None
    return Size(name, value, value, 0.0, Nominal(value, f"{value:g} mm", 0.97, "metric preferred", allowed, ()))


def round_feature(
    name: str, kind: FeatureKind, diameter: float, along: tuple[float, float], limits: tuple[float, float] | None = None
) -> Feature:
    sizes = (size("diameter_mm", diameter, limits), size("length_mm", along[1] - along[0]))
    return Feature(name, kind, sizes, (0, 0, 1), (0, 0, sum(along) / 2), along, inside=kind == "bore")


def turned(
    steps: list[tuple[float, float, tuple[float, float] | None]],
    *,
    bores: tuple[tuple[float, float, float], ...] = (),
    others: tuple[Feature, ...] = (),
    name: str = "part",
) -> Part:
    """A turned part from (diameter, length, limits) steps and (diameter, from, to) bores."""
    features: list[Feature] = []
    outside: list[Stretch] = []
    z = 0.0
    for i, (diameter, length, limits) in enumerate(steps, 1):
        features.append(round_feature(f"S{i}", "shaft", diameter, (z, z + length), limits))
        outside.append(Stretch(z, z + length, diameter, diameter, f"S{i}"))
        z += length
    inside = tuple(Stretch(low, high, d, d, f"B{i}") for i, (d, low, high) in enumerate(bores, 1))
    features += [round_feature(f"B{i}", "bore", d, (low, high)) for i, (d, low, high) in enumerate(bores, 1)]
    largest = max(step[0] for step in steps)
    ends = (
        Feature("F1", "face", (), (0, 0, -1), (0, 0, 0)),
        Feature("F2", "face", (), (0, 0, 1), (0, 0, z)),
    )
    return Part(
        name, "solid", UnitSaid("mm", "sure", WHY), (z, largest, largest), None, (*features, *ends, *others), True,
        profile=Profile((0, 0, 0), (0, 0, 1), tuple(outside), inside),
    )  # fmt: skip


def keyway(
    width: float, depth: float, along: tuple[float, float], *, on: str, around: float, fit: bool = True
) -> Feature:
    limits = (width - 0.036, width) if fit else None
    sizes = (size("width_mm", width, limits), size("depth_mm", depth), size("length_mm", along[1] - along[0]))
    return Feature("K1", "keyway", sizes, (1, 0, 0), (around / 2, 0, sum(along) / 2), along, on=on)


def lift_shaft() -> Part:
    """The demo's shaft as the drawing would have shown it."""
    k6 = (36.5145, 36.5305)
    steps = [(31.75, 40.0, None), (36.5125, 45.0, k6), (44.45, 30.0, None), (38.1, 80.0, None), (36.5125, 35.0, k6)]
    key = keyway(9.525, 4.7625, (125.0, 175.0), on="S4", around=38.1)
    chamfer = Feature("C1", "chamfer", (size("width_mm", 1.0),), (0, 0, 1), (0, 0, 0.5), (0.0, 1.0), on="S1")
    return turned([*steps, (31.75, 30.0, None)], others=(key, chamfer), name="stage lift shaft")


def spindle() -> Part:
    """Long and slender: needs a centre."""
    return turned([(16.0, 120.0, None), (20.0, 30.0, None), (14.0, 150.0, (13.98, 14.0))], name="spindle")


def disc() -> Part:
    """Short and wide, bored."""
    return turned([(150.0, 25.0, None), (70.0, 20.0, None)], bores=((30.0, 0.0, 45.0),), name="disc")


def bush() -> Part:
    return turned([(40.0, 50.0, None)], bores=((25.0, 0.0, 50.0),), name="bush")


def long_shaft() -> Part:
    return turned([(40.0, 300.0, None), (45.0, 100.0, None), (40.0, 320.0, None)], name="long shaft")


def rod() -> Part:
    """Too slender for a centre alone: needs a steady."""
    return turned([(20.0, 420.0, None), (30.0, 40.0, None)], name="rod")


def pin() -> Part:
    return turned([(20.0, 60.0, (19.987, 20.0))], name="pin")


def cross_drilled() -> Part:
    hole = Feature("H1", "bore", (size("diameter_mm", 6.0),), (1, 0, 0), (0, 0, 20), (17.0, 23.0), through=True)
    flat = Feature(
        "P1", "flat", (size("width_mm", 12.0), size("length_mm", 15.0)), (0, 1, 0), (0, 14, 50), (42.5, 57.5)
    )
    return turned([(25.0, 40.0, None), (30.0, 45.0, None)], others=(hole, flat), name="cross drilled")


def bracket() -> Part:
    face = Feature("F1", "face", (), (0, 0, 1), (0, 0, 10))
    pocket = Feature("P1", "pocket", (size("depth_mm", 5.0),), (0, 0, 1), (20, 20, 5))
    return Part("bracket", "solid", UnitSaid("mm", "sure", WHY), (120, 80, 20), 150_000.0, (face, pocket), False)


NAMED = (lift_shaft, spindle, disc, bush, long_shaft, pin, cross_drilled, bracket)
STRANGE: tuple[FeatureKind, ...] = (
    "thread", "groove", "cone", "sphere", "slot", "keyway", "flat", "pocket", "boss", "hexagon", "free", "chamfer",
    "fillet", "face", "bore",
)  # fmt: skip


@composite
def parts(draw: DrawFn) -> Part:
    """Any turned part, sensible or not, with features of any kind at any place."""
    widths = sampled_from([None, 0.004, 0.016, 0.05, 0.3])
    steps: list[tuple[float, float, tuple[float, float] | None]] = []
    for _ in range(draw(integers(1, 5))):
        diameter, width = draw(floats(4, 260)), draw(widths)
        steps.append((diameter, draw(floats(1, 400)), (diameter, diameter + width) if width else None))
    length = sum(step[1] for step in steps)
    bores = ((draw(floats(2, 60)), 0.0, length * draw(floats(0.1, 1))),) if draw(booleans()) else ()
    others: list[Feature] = []
    for i, kind in enumerate(draw(lists(sampled_from(STRANGE), max_size=4))):
        names = draw(lists(sampled_from(["width_mm", "depth_mm", "length_mm", "diameter_mm"]), unique=True, max_size=4))
        sizes = tuple(size(name, draw(floats(0.5, 60))) for name in names)
        axis = draw(sampled_from([(0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)]))
        along = (0.2 * length, 0.4 * length) if draw(booleans()) else None
        on = draw(sampled_from(["S1", None]))
        others.append(Feature(f"X{i}", kind, sizes, axis, (draw(floats(0, 20)), 0.0, 0.3 * length), along, on=on))
    return turned(steps, bores=bores, others=tuple(others))
