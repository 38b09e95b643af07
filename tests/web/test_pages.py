"""Every page's fields are used by its template, and every template uses only fields that its page has."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path

import pytest
from jinja2 import nodes
from starlette.routing import Route

from steadyrest.web import show
from steadyrest.web.pages import job
from steadyrest.web.pages.alone import AlonePage
from steadyrest.web.pages.before import BeforePage
from steadyrest.web.pages.bench import BenchPage
from steadyrest.web.pages.carry import CarryPage
from steadyrest.web.pages.changes import ChangesPage
from steadyrest.web.pages.clock import ClockPage
from steadyrest.web.pages.count import CountPage, LabelsPage
from steadyrest.web.pages.customers import CustomerPage, CustomersPage, RemindPage
from steadyrest.web.pages.cut import CutPage
from steadyrest.web.pages.find import FindPage
from steadyrest.web.pages.how_true import HowTruePage
from steadyrest.web.pages.joined import Parts
from steadyrest.web.pages.keep import KeepPage
from steadyrest.web.pages.leave import LeavePage, LeavingPage
from steadyrest.web.pages.lift import LiftPage
from steadyrest.web.pages.lists import ListsPage
from steadyrest.web.pages.measure import MeasurePage
from steadyrest.web.pages.nest import NestedPage, NestPage
from steadyrest.web.pages.new import NewPage
from steadyrest.web.pages.owed import OwedPage
from steadyrest.web.pages.people import PeoplePage
from steadyrest.web.pages.plates import PlatesPage
from steadyrest.web.pages.rack import PiecePage, RackPage
from steadyrest.web.pages.reading import ReadingPage
from steadyrest.web.pages.record import RecordPage
from steadyrest.web.pages.revisions import RevisionsPage, StopMark
from steadyrest.web.pages.rules import RulesPage
from steadyrest.web.pages.scrap import ScrapPage
from steadyrest.web.pages.several import SeveralPage
from steadyrest.web.pages.signin import SignInPage
from steadyrest.web.pages.spent import SpentPage
from steadyrest.web.pages.theirs import TheirsPage
from steadyrest.web.pages.then_and_now import ThenAndNowPage
from steadyrest.web.pages.things import ThingPage, ThingsPage
from steadyrest.web.pages.today import TodayPage
from steadyrest.web.pages.top import Top
from steadyrest.web.pages.trouble import TroublePage
from steadyrest.web.pages.week import WeekPage
from tests.web.conftest import Open

TEMPLATES = Path(show.__file__).parent / "templates"
PAGES = {
    "customers.html": CustomersPage, "customer.html": CustomerPage, "remind.html": RemindPage, "owed.html": OwedPage,
    "find.html": FindPage,
    "clock.html": ClockPage, "record.html": RecordPage, "rack.html": RackPage, "piece.html": PiecePage,
    "bench.html": BenchPage, "new.html": NewPage, "reading.html": ReadingPage, "job.html": job.JobPage,
    "trouble.html": TroublePage, "leave.html": LeavePage, "leaving.html": LeavingPage, "before.html": BeforePage,
    "rules.html": RulesPage, "week.html": WeekPage, "today.html": TodayPage,
    "alone.html": AlonePage, "changes.html": ChangesPage, "people.html": PeoplePage, "signin.html": SignInPage,
    "how_true.html": HowTruePage, "measure.html": MeasurePage, "several.html": SeveralPage,
    "revisions.html": RevisionsPage, "lists.html": ListsPage, "things.html": ThingsPage, "thing.html": ThingPage,
    "theirs.html": TheirsPage, "spent.html": SpentPage, "then_and_now.html": ThenAndNowPage, "lift.html": LiftPage,
    "cut.html": CutPage, "nest.html": NestPage, "nested.html": NestedPage,
    "plates.html": PlatesPage, "scrap.html": ScrapPage, "count.html": CountPage, "labels.html": LabelsPage,
    "carry.html": CarryPage, "keep.html": KeepPage,
}  # fmt: skip
# The answers on the job's page: each a part of it, filled from what stands in `here`.
PARTS = {
    "job/take.html": job.TakeIt, "job/said.html": job.YesOrNo, "job/what.html": job.WhatIsIt,
    "job/how.html": job.HowMade,
    "job/when.html": job.ByWhen, "job/price.html": job.HowMuch, "job/right.html": job.IsItRight,
    "job/parts.html": Parts, "stop.html": StopMark,
}  # fmt: skip


def used(template: str, of: str) -> set[str]:
    """The fields of `page` (or of `page.top`, or of `here`) that a template uses."""
    tree = show.sheets().parse((TEMPLATES / template).read_text(encoding="utf-8"))
    found: set[str] = set()
    for node in tree.find_all(nodes.Getattr):
        inner = node.node
        plain = isinstance(inner, nodes.Name) and inner.name == of
        top = isinstance(inner, nodes.Getattr) and inner.attr == "top" and of == "top"
        if plain or top:
            found.add(node.attr)
    return found


def fields(page: type) -> set[str]:
    return {field.name for field in dataclasses.fields(page)} - {"top"}


@pytest.mark.parametrize("template", PAGES)
def test_a_template_uses_all_of_its_page_and_nothing_else(template: str) -> None:
    assert used(template, "page") - {"top"} == fields(PAGES[template])


@pytest.mark.parametrize("template", PARTS)
def test_a_part_uses_all_of_its_answer_and_nothing_else(template: str) -> None:
    # What the sheet's head shows of an answer, the page takes from it: nothing is carried twice.
    whole = (TEMPLATES / "job.html").read_text(encoding="utf-8")
    shown_by_the_page = {name for name in fields(PARTS[template]) if f".{name} " in whole or f".{name})" in whole}
    assert used(template, "here") <= fields(PARTS[template])
    assert fields(PARTS[template]) - used(template, "here") <= shown_by_the_page


def test_the_sheet_uses_all_of_the_top_and_nothing_else() -> None:
    assert used("sheet.html", "top") == fields(Top)


def test_every_template_is_a_page_a_part_or_the_sheet() -> None:
    there = {file.relative_to(TEMPLATES).as_posix() for file in TEMPLATES.rglob("*.html")}
    assert there == {*PAGES, *PARTS, "sheet.html", "macros.html", "who.html"}


def test_no_template_carries_a_style_or_a_script_of_its_own() -> None:
    # The page's policy forbids both.
    for file in TEMPLATES.rglob("*.html"):
        text = file.read_text(encoding="utf-8")
        assert "style=" not in text
        assert "<style" not in text
        assert "<script>" not in text
        assert " on" + "click=" not in text


def test_nothing_comes_from_outside() -> None:
    here = Path(show.__file__).parent
    for file in (*TEMPLATES.rglob("*.html"), *(here / "static").rglob("*.css"), here / "static" / "bundle.js"):
        text = file.read_text(encoding="utf-8")
        assert "http://" not in text.replace("http://www.w3.org/", "")
        assert "https://" not in text


def test_every_page_that_a_person_can_open_stands_in_the_docs(app: Open) -> None:
    listed = (Path(__file__).parents[2] / "docs" / "pages.md").read_text(encoding="utf-8")
    routes = [route for route in app.client.app.routes if isinstance(route, Route) and "GET" in (route.methods or ())]
    seen = [route.path for route in routes if not route.path.endswith((".svg", ".pdf"))]
    pages = {re.sub(r"/{[^}]*}.*", "", path) or "/" for path in seen} - {"/fonts"}
    assert [path for path in sorted(pages) if f"`{path}" not in listed] == []
