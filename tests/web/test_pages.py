"""Every page's fields are used by its template, and every template uses only fields that its page has."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from jinja2 import nodes

from steadyrest.web import show
from steadyrest.web.pages.bench import BenchPage
from steadyrest.web.pages.job import JobPage
from steadyrest.web.pages.new import NewPage
from steadyrest.web.pages.reading import ReadingPage
from steadyrest.web.pages.top import Top
from steadyrest.web.pages.trouble import TroublePage

TEMPLATES = Path(show.__file__).parent / "templates"
PAGES = {
    "bench.html": BenchPage, "new.html": NewPage, "reading.html": ReadingPage, "job.html": JobPage,
    "trouble.html": TroublePage,
}  # fmt: skip


def used(template: str, of: str) -> set[str]:
    """The fields of `page` (or of `page.top`) that a template uses."""
    tree = show.sheets().parse((TEMPLATES / template).read_text(encoding="utf-8"))
    found: set[str] = set()
    for node in tree.find_all(nodes.Getattr):
        inner = node.node
        plain = isinstance(inner, nodes.Name) and inner.name == "page" and of == "page"
        top = isinstance(inner, nodes.Getattr) and inner.attr == "top" and of == "top"
        if plain or top:
            found.add(node.attr)
    return found


@pytest.mark.parametrize("template", PAGES)
def test_a_template_uses_all_of_its_page_and_nothing_else(template: str) -> None:
    fields = {field.name for field in dataclasses.fields(PAGES[template])} - {"top"}
    assert used(template, "page") - {"top"} == fields


def test_the_sheet_uses_all_of_the_top_and_nothing_else() -> None:
    assert used("sheet.html", "top") == {field.name for field in dataclasses.fields(Top)}


def test_every_template_is_a_page_or_the_sheet() -> None:
    assert {file.name for file in TEMPLATES.iterdir()} == {*PAGES, "sheet.html"}


def test_no_template_carries_a_style_of_its_own() -> None:
    assert not [file.name for file in TEMPLATES.iterdir() if "style=" in file.read_text(encoding="utf-8")]
