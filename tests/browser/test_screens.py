"""What a person meets: on a phone and a wide screen, in light and dark, without script, by keyboard, on paper.

Targets of 48 px: design.md, for gloves; WCAG 2.2 asks 24 (success criterion 2.5.8). Axe's rules are WCAG's.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Served

pytestmark = pytest.mark.browser
PAGES = (
    "/",
    "/new",
    "/jobs/{goes}",
    "/jobs/{no}",
    "/leave",
    "/leave/{check}",
    "/clock?person=ambra",
    "/week",
    "/today",
    "/true",
    "/rules",
    "/find?q=shaft",
    "/cut",
    "/nest",
    "/scrap",
    "/count?place=plate+stand",
    "/labels",
    "/carry?metal=C45&section=20&length=40&count=10&tip=0.1&due=4+2026-12-04%0A6+2026-12-09",
    "/keep",
    "/lift?how=hook&mass=100&points=0 0;2000 0&centre=800 0&hook=500&rated=60",
    "/owed",
    "/customers",
    "/customers/1",
    "/customers/1/remind",
    "/alone",
    "/people",
    "/things",
    "/spent",
    "/import",
    "/jobs/{goes}/revisions",
    "/jobs/{goes}/theirs",
    "/jobs/{goes}/plates",
    "/jobs/{goes}/beside/{no}",
    "/nowhere",
)
SLOWEST_MS = 60_000
OPEN_ALL = "() => document.querySelectorAll('details').forEach(one => { one.open = true })"


def address(served: Served, path: str) -> str:
    return served.at + path.format(goes=served.goes, no=served.no, check=served.check)


def put_in(page: Page, served: Served) -> None:
    page.goto(f"{served.at}/new")
    page.set_input_files("[name=file]", served.step)
    page.fill("[name=what]", "capstan shaft")
    page.fill("[name=material]", "C45")
    page.click("text=Read it and plan it")
    page.wait_for_url(re.compile("/reading/"))


def test_a_file_goes_in_is_watched_and_becomes_a_job(phone: Page, served: Served, said: list[str]) -> None:
    put_in(phone, served)
    expect(phone.get_by_role("progressbar")).to_be_visible()
    phone.wait_for_url(re.compile("/jobs/"), timeout=SLOWEST_MS)
    expect(phone.get_by_role("heading", level=1)).to_contain_text("capstan shaft")
    assert said == []


def test_without_script_the_page_asks_again_by_itself(browser: Browser, served: Served) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    put_in(page, served)
    page.wait_for_url(re.compile("/jobs/"), timeout=SLOWEST_MS)
    page.locator("summary", has_text="Every size").click()
    expect(page.locator("table.features")).to_be_visible()
    context.close()


def test_a_reading_is_stopped_at_once(phone: Page, served: Served) -> None:
    put_in(phone, served)
    phone.click("text=Stop it")
    expect(phone.get_by_text("Stopped.")).to_be_visible(timeout=5000)


def test_a_hand_reading_says_what_it_changed(phone: Page, served: Served, said: list[str]) -> None:
    phone.goto(address(served, "/jobs/{goes}"))
    phone.get_by_label("Reading", exact=False).first.fill("29.991")
    phone.get_by_role("button", name="Write it down").first.click()
    expect(phone.locator("#changed")).to_contain_text("29.991 mm", timeout=60_000)  # it waits its turn in the queue
    expect(phone.locator("#changed")).to_be_in_viewport()
    expect(phone.get_by_role("heading", name="Measured by hand")).to_be_visible()
    assert said == []


@pytest.fixture(scope="module", params=PAGES)
def opened(request: pytest.FixtureRequest, browser: Browser, served: Served) -> Iterator[Page]:
    """One page after the other on a phone, everything on it unfolded."""
    context = browser.new_context(viewport={"width": 360, "height": 800})
    page = context.new_page()
    page.goto(address(served, request.param))
    page.evaluate(OPEN_ALL)
    yield page
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(opened: Page, scheme: Any) -> None:
    opened.emulate_media(color_scheme=scheme)
    found = Axe().run(opened).response["violations"]
    assert [(one["id"], [node["html"][:120] for node in one["nodes"]]) for one in found] == []


def test_nothing_scrolls_sideways_on_a_phone(opened: Page) -> None:
    assert opened.evaluate("() => document.documentElement.scrollWidth") <= 360


def test_what_is_pressed_is_large_enough_for_a_glove(opened: Page) -> None:
    small = opened.evaluate("""() => [...document.querySelectorAll('a, button, input, select, summary')]
        .filter(one => one.type !== 'hidden' && !one.matches('.skip') && one.checkVisibility())
        .map(one => [one.outerHTML.slice(0, 80), one.getBoundingClientRect()])
        .filter(([, box]) => box.height < 47.5 || box.width < 47.5)
        .map(([html, box]) => `${html}: ${box.width} x ${box.height}`)""")
    assert small == []


def test_the_answer_and_the_figures_stand_on_the_first_screen_of_a_phone(phone: Page, served: Served) -> None:
    phone.goto(address(served, "/jobs/{goes}"))
    expect(phone.locator("#take")).to_be_in_viewport()
    for words in ("Promise,", "Ask", "Piece"):
        expect(phone.locator("dl.facts dt", has_text=words).first).to_be_in_viewport()
    expect(phone.get_by_role("navigation", name="The questions")).to_be_in_viewport()


def test_the_keyboard_reaches_everything_and_sees_where_it_is(browser: Browser, served: Served) -> None:
    context = browser.new_context(viewport={"width": 1200, "height": 900}, reduced_motion="reduce")
    page = context.new_page()
    page.goto(address(served, "/jobs/{goes}"))
    page.keyboard.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    expect(page.locator(".skip")).to_be_in_viewport()
    wanted = page.evaluate("""() => [...document.querySelectorAll('a, button, input, select, summary')]
        .filter(one => one.type !== 'hidden' && one.checkVisibility()).length""")
    seen = 1
    for _ in range(wanted - 1):
        page.keyboard.press("Tab")
        state = page.evaluate("""() => {
            const one = document.activeElement, box = one.getBoundingClientRect();
            const over = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
            return [one.tagName, parseFloat(getComputedStyle(one).outlineWidth), one === over || one.contains(over),
                    one.outerHTML.slice(0, 80)];
        }""")
        assert state[0] != "BODY", "the keyboard fell off the page"
        assert state[1] >= 3, f"no outline: {state[3]}"
        assert state[2], f"hidden behind something: {state[3]}"
        seen += 1
    assert seen == wanted
    context.close()


@pytest.mark.parametrize(
    ("width", "scheme", "look"),
    [(360, "light", "narrow"), (360, "dark", "narrow-dark"), (1200, "light", "wide"), (1200, "dark", "wide-dark")],
)
def test_the_picture_is_drawn_for_the_screen_it_is_on(
    browser: Browser, served: Served, width: int, scheme: Any, look: str
) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
    page = context.new_page()
    page.goto(address(served, "/jobs/{goes}"))
    for name in ("part", "night"):
        assert page.locator(f"picture.{name} img").evaluate("one => one.currentSrc").endswith(f"/{name}/{look}.svg")
        assert page.locator(f"picture.{name} img").evaluate("one => one.complete && one.naturalWidth > 0")
    context.close()


def test_the_night_sheet_is_folded_on_a_job_s_page_and_stands_on_paper(browser: Browser, served: Served) -> None:
    context = browser.new_context(viewport={"width": 1200, "height": 900})
    page = context.new_page()
    page.goto(address(served, "/jobs/{goes}"))
    shown = (
        "one => one.checkVisibility({contentVisibilityAuto: true, visibilityProperty: true}) && one.clientHeight > 99"
    )
    assert not page.locator("picture.night img").evaluate(shown)
    page.emulate_media(media="print")
    assert page.locator("picture.night img").evaluate(shown)
    context.close()


def test_on_paper_there_is_nothing_to_press(browser: Browser, served: Served) -> None:
    context = browser.new_context(viewport={"width": 1200, "height": 900}, color_scheme="dark")
    page = context.new_page()
    page.goto(address(served, "/jobs/{goes}"))
    page.emulate_media(media="print", color_scheme="light")
    visible = page.evaluate("""() => [...document.querySelectorAll('nav, form, button, summary, .skip')]
        .filter(one => one.checkVisibility()).length""")
    assert visible == 0
    assert page.locator("#take").is_visible()
    assert page.pdf(format="A4").startswith(b"%PDF-")
    context.close()
