"""What every picture of a part keeps to."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.numerals import RADIUS, Mark, row
from steadyrest.papers.drawing.part_picture import part_svg
from steadyrest.papers.drawing.pegs import pegs_svg, word
from steadyrest.part.nominal.name import name_sizes
from steadyrest.shop.part import Feature, Part
from tests.part.nominal.parts import UNKNOWN, part_of, round_feature, size, worn_shaft

SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]


def bush() -> Part:
    return part_of(
        round_feature("F1", 80.0, 0, 14),
        round_feature("F2", 50.0, 14, 60),
        round_feature("F3", 30.0, 0, 60, kind="bore", wear=0.3, worn=(5.0, 40.0)),
        broken=True,
    )


def plate() -> Part:
    def face(name: str, axis: tuple[float, float, float], at: tuple[float, float, float]) -> Feature:
        return Feature(name, "face", (), axis, at, area_mm2=1000.0)

    faces = (face("F1", (0.0, 0.0, 1.0), (50.0, 30.0, 12.0)), face("F2", (1.0, 0.0, 0.0), (100.0, 30.0, 6.0)))
    holes = tuple(
        Feature(
            f"F{k}", "bore", (size("diameter_mm", 9.0, 0.0),), (0.0, 0.0, 1.0), (x, y, 6.0), through=True, pattern="P1"
        )
        for k, (x, y) in enumerate(((10.0, 10.0), (90.0, 10.0), (10.0, 50.0), (90.0, 50.0)), 3)
    )
    return replace(part_of(*faces, *holes, kind="solid"), size_mm=(100.0, 60.0, 12.0), axisymmetric=False)


PARTS = {
    "shaft": lambda: name_sizes(worn_shaft()),
    "bush": lambda: name_sizes(bush()),
    "plate": lambda: name_sizes(plate()),
    "no unit": lambda: name_sizes(replace(worn_shaft(), unit=UNKNOWN)),
    "unnamed": worn_shaft,
}


@pytest.mark.parametrize("name", PARTS)
@pytest.mark.parametrize("width_mm", [95.0, 180.0])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_picture_is_valid_svg_with_title_and_description_and_needs_nothing_from_outside(
    name: str, width_mm: float, unit: str
) -> None:
    svg = part_svg(PARTS[name](), unit=unit, width_mm=width_mm)
    root = ElementTree.fromstring(svg)
    assert [child.tag for child in root][:2] == [SVG + "title", SVG + "desc"]
    assert all(child.text for child in list(root)[:2])
    for node in root.iter():
        assert node.tag not in (SVG + "style", SVG + "script", SVG + "image", SVG + "use")
        assert not {"style", "href", "id"} & set(node.attrib)
    assert "NaN" not in svg
    assert "inf" not in svg.replace("inform", "")


@pytest.mark.parametrize("name", PARTS)
@pytest.mark.parametrize("width_mm", [95.0, 180.0])
def test_nothing_is_drawn_or_written_outside_of_the_picture(name: str, width_mm: float) -> None:
    root = ElementTree.fromstring(part_svg(PARTS[name](), width_mm=width_mm))
    height = float(root.attrib["viewBox"].split()[3])
    turned = {id(text) for group in root.iter(SVG + "g") for text in group.iter(SVG + "text")}
    for node in root.iter(SVG + "text"):
        if id(node) in turned:
            continue
        x, y, said = float(node.attrib["x"]), float(node.attrib["y"]), node.text or ""
        wide = len(said) * 0.58 * float(node.attrib["font-size"])
        start = {"start": x, "middle": x - wide / 2, "end": x - wide}[node.attrib["text-anchor"]]
        assert start >= -0.5, said
        assert start + wide <= width_mm + 1.0, said
        assert 0 <= y <= height
    for node in root.iter(SVG + "circle"):
        assert 0 <= float(node.attrib["cx"]) <= width_mm
        assert 0 <= float(node.attrib["cy"]) <= height


def test_text_can_be_read_at_arms_length_and_on_a_telephone() -> None:
    # 3.4 mm is about 10 points on paper; at 95 mm over 360 pixels, 3.4 mm are 13 pixels.
    for width_mm in (95.0, 180.0):
        root = ElementTree.fromstring(part_svg(PARTS["shaft"](), width_mm=width_mm))
        main = [float(node.attrib["font-size"]) for node in root.iter(SVG + "text") if len(node.text or "") > 2]
        assert min(main) >= 3.4


def test_trust_and_wear_are_said_in_words_and_numbers_not_by_shade_alone() -> None:
    named = PARTS["shaft"]()
    svg = part_svg(named)
    root = ElementTree.fromstring(svg)
    words = [node.text for node in root.iter(SVG + "text")]
    states = [f.sizes[0].nominal.state for f in named.features if f.sizes and f.sizes[0].nominal is not None]
    for state in ("sure", "likely", "ask"):
        assert words.count(state) == states.count(state)
    assert any("worn 0.21 mm deep" in (text or "") for text in words)
    assert words.count(str(ink.wear_step(0.21))) >= 2


def test_the_same_part_gives_the_same_bytes() -> None:
    assert part_svg(PARTS["bush"]()) == part_svg(PARTS["bush"]())


def test_every_listed_feature_has_its_numeral() -> None:
    named = PARTS["shaft"]()
    words = [node.text for node in ElementTree.fromstring(part_svg(named)).iter(SVG + "text")]
    for feature in named.features:
        assert words.count(feature.id.removeprefix("F")) >= 2, feature.id


def test_deeper_wear_is_never_lighter_and_a_bright_page_has_the_same_hue() -> None:
    for palette, way in ((ink.LIGHT, 1), (ink.DARK, -1)):
        lightness = [sum(int(palette.wear(step)[k : k + 2], 16) for k in (1, 3, 5)) for step in range(1, 6)]
        assert lightness == sorted(lightness, reverse=way == 1)


def cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two segments meet."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) <= 1e-12 and side(c, d, a) * side(c, d, b) <= 1e-12


places = st.tuples(st.floats(6, 170), st.floats(0, 30), st.floats(10, 60))


@settings(deadline=None, max_examples=150, derandomize=True)
@given(places=st.lists(places, min_size=1, max_size=50))
def test_leaders_never_cross_and_circles_never_touch(places: list[tuple[float, float, float]]) -> None:
    marks = [Mark(str(k), x, min(x + wide, 176.0), 20 + y) for k, (x, wide, y) in enumerate(places)]
    drawn = row(marks, level=15.0, up=True, left=2.0, right=178.0, colours=ink.LIGHT)
    segments = [list(pairwise(points)) for points in drawn.leaders]
    for one, other in combinations(segments, 2):
        assert not any(cross(*a, *b) for a in one for b in other)
    circles = [points[-1] for points in drawn.leaders]
    rows = {round(y, 3) for _, y in circles}
    for y in rows:
        xs = sorted(x for x, other in circles if round(other, 3) == y)
        assert all(b - a >= 2 * RADIUS for a, b in pairwise(xs))
    assert len(drawn.leaders) + len(drawn.left_out) == len(marks)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(
    diameters=st.lists(st.floats(0.5, 400.0), min_size=1, max_size=14),
    lengths=st.lists(st.floats(0.05, 300.0), min_size=14, max_size=14),
    bored=st.booleans(),
    broken=st.booleans(),
    width_mm=st.sampled_from([80.0, 120.0, 210.0]),
)
def test_every_turned_part_can_be_drawn(
    diameters: list[float], lengths: list[float], bored: bool, broken: bool, width_mm: float
) -> None:
    at = 0.0
    features: list[Feature] = []
    for k, (diameter, length) in enumerate(zip(diameters, lengths, strict=False), 1):
        features.append(round_feature(f"F{k}", diameter, at, at + length, wear=0.1 * (k % 3)))
        at += length
    if bored:
        features.append(round_feature("F99", 0.4 * min(diameters), 0.0, 0.6 * at, kind="bore", wear=0.2))
    root = ElementTree.fromstring(part_svg(part_of(*features, broken=broken), width_mm=width_mm))
    width, height = (float(v) for v in root.attrib["viewBox"].split()[2:])
    assert width == width_mm
    for node in root.iter(SVG + "polygon"):
        for pair in node.attrib["points"].split():
            x, y = (float(v) for v in pair.split(","))
            assert -1 <= x <= width + 1
            assert -1 <= y <= height + 1


@pytest.mark.parametrize(
    ("odds", "filled", "said"),
    [(1.0, 10, "holds"), (0.9, 9, "holds"), (0.899, 8, "thin"), (0.5, 5, "thin"), (0.49, 4, "gone"), (0.0, 0, "gone")],
)
def test_pegs_round_down_and_say_their_word(odds: float, filled: int, said: str) -> None:
    root = ElementTree.fromstring(pegs_svg(odds))
    full = [node for node in root.iter(SVG + "circle") if node.attrib["fill"] == ink.LIGHT.ink]
    rings = [node for node in root.iter(SVG + "circle") if node.attrib["fill"] == "none"]
    assert (len(full), len(rings)) == (filled, 10 - filled)
    assert word(odds) == said
    assert said in [node.text for node in root.iter(SVG + "text")]


def test_pegs_refuse_what_are_no_odds() -> None:
    with pytest.raises(ValueError, match="odds"):
        pegs_svg(1.2)


def test_a_picture_too_narrow_for_its_text_is_refused() -> None:
    with pytest.raises(ValueError, match="width_mm"):
        part_svg(worn_shaft(), width_mm=40.0)
