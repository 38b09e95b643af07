"""The picture that can be turned, in a browser that paints with software, and in one that cannot paint it at all."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import NAMES, Served

pytestmark = pytest.mark.browser
PAINTS = ["--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
PAINTS_NOTHING = ["--no-sandbox", "--disable-3d-apis"]


def launched(browser: Browser, args: list[str]) -> Browser:
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    return browser.browser_type.launch(executable_path=found, args=args)


@pytest.fixture(scope="module")
def painting(browser: Browser) -> Iterator[Browser]:
    started = launched(browser, PAINTS)
    yield started
    started.close()


@pytest.fixture(scope="module")
def faults() -> list[str]:
    """What the browser complained of, on any of the pages."""
    return []


@pytest.fixture(scope="module", params=[(360, "light"), (1200, "dark")], ids=["phone", "wide and dark"])
def opened(request: pytest.FixtureRequest, painting: Browser, served: Served, faults: list[str]) -> Iterator[Page]:
    """The job's page with its turning picture up."""
    width, scheme = request.param
    context = painting.new_context(
        viewport={"width": width, "height": 800}, color_scheme=scheme, reduced_motion="reduce"
    )
    page = context.new_page()
    page.on("console", lambda message: faults.append(message.text) if message.type in ("error", "warning") else None)
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    page.goto(f"{served.at}/jobs/{served.goes}")
    yield page
    context.close()


@pytest.fixture
def page(opened: Page) -> Page:
    """That page, the part as at first."""
    expect(opened.locator(".turning")).to_be_visible()
    opened.locator(".turning canvas").press("0")
    expect(opened.locator(".numerals button:visible").first).to_be_visible()
    return opened


def pixels(page: Page) -> bytes:
    """The part as it is painted, without what lies over it and without the mark of the focus."""
    over = """shown => {
        for (const one of document.querySelectorAll('.turning .stage svg, .numerals'))
            one.style.visibility = shown ? '' : 'hidden';
        document.querySelector('.turning canvas').style.outline = shown ? '' : 'none';
        return new Promise(then => requestAnimationFrame(() => requestAnimationFrame(then)));
    }"""
    page.evaluate(over, False)
    seen = page.locator(".turning canvas").screenshot()
    page.evaluate(over, True)
    return seen


def test_it_comes_up_beside_the_flat_picture(page: Page) -> None:
    expect(page.locator("picture.part img")).to_be_visible()


def test_every_key_changes_what_is_seen_and_nought_brings_it_back(page: Page) -> None:
    canvas = page.locator(".turning canvas")
    first = pixels(page)
    canvas.press("ArrowUp")
    before = pixels(page)
    assert before != first
    for key in ("ArrowLeft", "ArrowRight", "ArrowUp", "+", "-", "Shift+ArrowLeft"):
        canvas.press(key)
        after = pixels(page)
        assert after != before, key
        before = after
    canvas.press("0")
    assert pixels(page) == first


def test_dragging_turns_it_and_the_page_stays_where_it_is(page: Page) -> None:
    page.locator(".turning canvas").scroll_into_view_if_needed()
    before, at = pixels(page), page.evaluate("() => scrollY")
    box = page.locator(".turning canvas").bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y + 10, steps=4)
    page.mouse.up()
    assert pixels(page) != before
    assert page.evaluate("() => scrollY") == at


def test_the_wheel_scrolls_the_page_until_the_picture_is_taken_in_hand(page: Page) -> None:
    canvas = page.locator(".turning canvas")
    canvas.evaluate("one => one.blur()")
    canvas.scroll_into_view_if_needed()
    canvas.hover()
    at, before = page.evaluate("() => scrollY"), pixels(page)
    page.mouse.wheel(0, -120)
    page.wait_for_function("at => scrollY !== at", arg=at)
    canvas.focus()
    canvas.hover()
    at = page.evaluate("() => scrollY")
    page.mouse.wheel(0, -120)
    page.wait_for_timeout(200)
    assert page.evaluate("() => scrollY") == at
    assert pixels(page) != before


def test_each_view_by_name_is_another_and_is_said(page: Page) -> None:
    seen = set()
    for name, words in (("Side", "From the side."), ("End on", "End on."), ("As at first", "As at first.")):
        page.locator(".turning").get_by_role("button", name=name, exact=True).click()
        expect(page.locator('.turning [aria-live="polite"]')).to_contain_text(words)
        seen.add(pixels(page))
    assert len(seen) == 3


def test_a_number_that_is_behind_is_not_shown(page: Page) -> None:
    numbers = page.locator(".numerals button:visible")
    page.locator(".turning").get_by_role("button", name="Side", exact=True).click()
    expect(page.locator('.turning [aria-live="polite"]')).to_contain_text("From the side.")
    beside = numbers.count()
    page.locator(".turning").get_by_role("button", name="End on", exact=True).click()
    expect(numbers).not_to_have_count(beside)
    assert 0 < numbers.count() < beside


def test_a_number_leads_to_its_sizes_and_back(page: Page) -> None:
    button = page.locator(".numerals button:visible").first
    numeral = button.inner_text()
    button.click()
    row = page.locator(f"#size-{numeral}")
    expect(row).to_be_focused()
    expect(row).to_be_in_viewport()
    row.get_by_role("button", name=f"Show no. {numeral} in the picture").click()
    expect(page.locator(".turning canvas")).to_be_focused()
    expect(page.locator(".turning canvas")).to_be_in_viewport()
    expect(page.locator(".numerals button.chosen")).to_have_text(numeral)


def test_numbers_are_large_enough_for_a_glove_and_lie_apart(page: Page) -> None:
    boxes = [one.bounding_box() for one in page.locator(".numerals button:visible").all()]
    assert all(box and box["width"] >= 47.5 and box["height"] >= 47.5 for box in boxes)
    for k, a in enumerate(boxes):
        for b in boxes[k + 1 :]:
            assert a
            assert b
            assert abs(a["x"] - b["x"]) >= 24 or abs(a["y"] - b["y"]) >= 47


def test_axe_finds_nothing_and_nothing_scrolls_sideways(page: Page) -> None:
    page.evaluate("() => document.querySelectorAll('details').forEach(one => { one.open = true })")
    found = Axe().run(page).response["violations"]
    assert [(one["id"], [node["html"][:120] for node in one["nodes"]]) for one in found] == []
    width = page.viewport_size
    assert width
    assert page.evaluate("() => document.documentElement.scrollWidth") <= width["width"]


def test_the_focus_is_seen(page: Page) -> None:
    page.locator(".turning canvas").press("ArrowUp")
    assert page.evaluate("() => parseFloat(getComputedStyle(document.activeElement).outlineWidth)") >= 3


def test_on_paper_the_flat_picture_stands_alone(page: Page) -> None:
    page.emulate_media(media="print")
    expect(page.locator(".turning")).to_be_hidden()
    expect(page.locator("picture.part img")).to_be_visible()
    page.emulate_media(media="screen")


def test_when_the_browser_takes_the_painting_away_the_flat_picture_is_left(page: Page) -> None:
    lose: Any = page.evaluate_handle(
        "() => document.querySelector('.turning canvas').getContext('webgl').getExtension('WEBGL_lose_context')"
    )
    lose.evaluate("one => one.loseContext()")
    expect(page.locator(".turning")).to_be_hidden()
    expect(page.locator("picture.part img")).to_be_visible()
    assert page.locator("button.show").count() == 0
    lose.evaluate("one => one.restoreContext()")
    expect(page.locator(".numerals button:visible").first).to_be_visible()


def test_a_browser_that_cannot_paint_it_shows_the_flat_picture(browser: Browser, served: Served) -> None:
    poor = launched(browser, PAINTS_NOTHING)
    page = poor.new_page(viewport={"width": 360, "height": 800})
    page.goto(f"{served.at}/jobs/{served.goes}")
    assert page.evaluate("() => document.createElement('canvas').getContext('webgl') === null")
    expect(page.locator("picture.part img")).to_be_visible()
    expect(page.locator(".turning")).to_be_hidden()
    assert page.locator("button.show").count() == 0
    poor.close()


def test_the_browser_complained_of_nothing(opened: Page, faults: list[str]) -> None:
    assert faults == []
