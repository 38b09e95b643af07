"""The night sheet: time runs down, columns stand side by side, and everything lies where its time says."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.papers.drawing.night_columns import columns_of, window
from steadyrest.papers.drawing.night_sheet import night_sheet_svg
from steadyrest.papers.drawing.night_time import scale
from steadyrest.promise.answer import PlanRow
from steadyrest.promise.promise import promise
from steadyrest.shop.draws import Luck
from tests.promise.sample_shop import DUE, NOW, route, shop

ZONE = ZoneInfo("Europe/Vienna")
SVG = "{http://www.w3.org/2000/svg}"
SHOP = shop()
PLAN = promise(route(), job_id="300", due=DUE, now=NOW, shop=SHOP, luck=Luck(200, 1))[0].plan


def drawn(rows=PLAN, **more) -> ElementTree.Element:
    given_more = {"now": NOW, "due": DUE, "timezone": SHOP.timezone, **more}
    return ElementTree.fromstring(night_sheet_svg(rows, SHOP.people, SHOP.machines, **given_more))


def texts(svg: ElementTree.Element) -> list[str]:
    return [each.text or "" for each in svg.iter(f"{SVG}text")]


@settings(deadline=None, max_examples=80)
@given(
    spans=st.lists(st.tuples(st.integers(0, 5000), st.integers(1, 900)), max_size=12),
    minutes=st.integers(60, 6000),
    height=st.sampled_from((None, 120.0, 260.0)),
)
def test_time_only_runs_down_and_an_hour_is_as_long_everywhere_it_is_not_folded(spans, minutes: int, height) -> None:
    end = NOW + timedelta(minutes=minutes)
    busy = [(NOW + timedelta(minutes=a), NOW + timedelta(minutes=a + b)) for a, b in spans]
    time = scale(busy, start=NOW, end=end, zone=ZONE, top=10, height_mm=height, hour_mm=7.5)
    assert (time.segments[0].start, time.segments[-1].end) == (NOW, end)
    assert all(a.end == b.start and a.bottom <= b.top for a, b in pairwise(time.segments))
    for segment in time.segments:
        if not segment.folded:
            hours = (segment.end - segment.start).total_seconds() / 3600
            assert segment.bottom - segment.top == pytest.approx(hours * time.hour_mm)
        else:
            assert not any(a < segment.end and b > segment.start for a, b in busy)
    down = [time.down(NOW + timedelta(minutes=k)) for k in range(0, minutes + 1, 7)]
    assert down == sorted(down)


def test_every_day_shown_has_its_heading() -> None:
    said = texts(drawn())
    assert [text for text in said if text.endswith("Nov")] == ["Fri 27 Nov", "Sat 28 Nov", "Sun 29 Nov"]


def test_the_due_time_the_finish_and_the_new_job_are_said_in_words() -> None:
    said = texts(drawn())
    assert "due Sun 14:00" in said
    assert any(text.startswith("done ") for text in said)
    assert "new" in said
    assert {"231", "232", "300"} <= set(said)


def test_every_person_has_a_column_and_only_machines_with_work() -> None:
    only = [row for row in PLAN if row.machine in (None, "lathe")]
    start, end = window(only, NOW, DUE)
    heads = [column.head for column in columns_of(only, SHOP.people, SHOP.machines, start, end, SHOP.timezone)]
    assert heads == ["Ada", "Bo", "Cy", "lathe"]


def test_a_due_time_far_off_does_not_stretch_the_sheet() -> None:
    _, end = window(PLAN, NOW, NOW + timedelta(days=40))
    assert end < NOW + timedelta(days=4)


def test_a_machine_is_held_from_its_steps_first_row_to_its_last() -> None:
    at = datetime(2026, 11, 27, 12, tzinfo=UTC)
    hour = timedelta(hours=1)
    rows = (
        PlanRow("9", "2", 0, "load", "ada", "lathe", at, at + hour, True),
        PlanRow("9", "2", 1, "run", None, "lathe", at + hour, at + 3 * hour, True),
        PlanRow("9", "2", 2, "unload", "ada", "lathe", at + 5 * hour, at + 6 * hour, True),
    )
    columns = columns_of(rows, SHOP.people, SHOP.machines, NOW, at + 9 * hour, SHOP.timezone)
    (block,) = columns[-1].blocks
    assert (block.start, block.end) == (at, at + 6 * hour)
    assert [attended for _, _, attended in block.parts] == [True, False, True]
    assert len(columns[0].blocks) == 2


@pytest.mark.parametrize("width_mm", [95.0, 180.0])
@pytest.mark.parametrize("dark", [False, True])
def test_nothing_stands_outside_the_drawing_and_no_style_or_script_is_in_it(width_mm: float, dark: bool) -> None:
    svg = drawn(width_mm=width_mm, dark=dark)
    _, _, wide, high = map(float, svg.attrib["viewBox"].split())
    assert wide == width_mm
    for rect in svg.iter(f"{SVG}rect"):
        assert float(rect.attrib["x"]) >= -0.01
        assert float(rect.attrib["x"]) + float(rect.attrib["width"]) <= wide + 0.01
        assert float(rect.attrib["y"]) + float(rect.attrib["height"]) <= high + 0.01
        assert float(rect.attrib["height"]) >= 0
    assert not list(svg.iter(f"{SVG}script"))
    assert all("style" not in each.attrib for each in svg.iter())


def test_a_given_height_is_kept() -> None:
    assert float(drawn(width_mm=180.0, height_mm=170.0).attrib["viewBox"].split()[3]) <= 170.5


def test_the_same_is_said_for_someone_who_cannot_see_it() -> None:
    words = drawn().find(f"{SVG}desc")
    assert words is not None
    assert "Due Sun 29 Nov 14:00" in (words.text or "")
    assert "keyway from" in (words.text or "")


def test_an_empty_plan_is_a_sheet_with_hours() -> None:
    assert "due Sun 14:00" in texts(drawn(()))


def test_a_name_with_markup_in_it_stays_a_name() -> None:
    nasty = PlanRow("<b>&", "1", 0, "<i>", "ada", None, NOW, NOW + timedelta(hours=2), True)
    assert "<b>&" in texts(drawn((nasty,)))


def test_words_that_would_be_too_small_to_read_are_left_out() -> None:
    long = PlanRow("a very long name of a job", "1", 0, "turn", "ada", None, NOW, NOW + timedelta(hours=2), True)
    assert "a very long name of a job" not in texts(drawn((long,)))
    assert "new" in texts(drawn((long,)))
