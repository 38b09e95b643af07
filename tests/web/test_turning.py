"""The turning picture on the page: its data, and that what the browser expects is what the page carries."""

from __future__ import annotations

import dataclasses
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from steadyrest.papers.drawing import ink, turning_data
from steadyrest.papers.drawing.turning_cuts import Cut
from steadyrest.web import show
from steadyrest.web.showing.to_turn import besides
from tests.web import workshop

WEB = Path(show.__file__).parent
TYPED = (WEB / "front" / "src" / "turning_shape.ts").read_text(encoding="utf-8")
LARGEST_BUNDLE = 30_000


def data_on(page: str) -> dict[str, object]:
    found = re.search(r'<script type="application/json">(.*?)</script>', page, re.S)
    assert found, "the page carries no shape"
    return json.loads(found[1])


@pytest.mark.parametrize(
    "value", [turning_data.Turning, turning_data.Ring, turning_data.Mark, turning_data.Colours, Cut]
)
def test_the_browsers_types_have_the_same_fields_as_the_pages_values(value: type) -> None:
    body = re.search(rf"export interface {value.__name__} {{(.*?)\n}}", TYPED, re.S)
    assert body, f"{value.__name__} is not in turning_shape.ts"
    typed = re.findall(r"readonly (\w+):", body[1])
    assert typed == [field.name for field in dataclasses.fields(value)]


def test_a_job_carries_its_shape_as_data_and_each_mark_has_its_row(app) -> None:
    page = app.client.get(f"/jobs/{app.goes}").text
    shape = data_on(page)
    assert shape["rings"]
    for mark in shape["marks"]:
        assert f'id="size-{mark["numeral"]}"' in page


def test_without_script_the_picture_stays_out_of_sight_and_the_flat_one_is_there(app) -> None:
    page = app.client.get(f"/jobs/{app.goes}").text
    section = re.search(r"<section class=\"turning[^>]*>", page)
    assert section
    assert " hidden" in section[0]
    assert '/part/wide.svg" alt="' in page


def test_nothing_in_the_data_ends_its_tag(app) -> None:
    shape = turning_data.turning(workshop.shaft())
    assert shape is not None
    bad = replace(shape, undrawn=("</script><script>alert(1)</script>",))
    assert "<" not in show.data(bad)
    assert json.loads(show.data(bad))["undrawn"] == list(bad.undrawn)


def test_what_the_picture_leaves_out_is_said() -> None:
    part = workshop.shaft()
    shape = turning_data.turning(part)
    assert shape is not None
    said = list(besides(replace(part, broken=True), replace(shape, undrawn=("7", "9"))))
    assert said == ["The broken end is drawn as if cut straight", "Not in this picture, but in the list of sizes: 7, 9"]
    assert next(iter(besides(part, replace(shape, rings=())))).startswith("The body is drawn as its box")


def test_the_shades_of_the_list_are_those_of_the_pictures() -> None:
    css = (WEB / "static" / "css" / "turning.css").read_text(encoding="utf-8")
    light, dark = css.split("@media (prefers-color-scheme: dark)")
    for palette, sheet in ((ink.LIGHT, light), (ink.DARK, dark)):
        for step in range(1, 6):
            assert f".shade-{step} {{ background: {palette.wear(step)}; color: {palette.on_wear(step)}; }}" in sheet


def test_the_bundle_stays_small() -> None:
    assert (WEB / "static" / "bundle.js").stat().st_size < LARGEST_BUNDLE
