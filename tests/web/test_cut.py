"""The pages of cut list, carry blank, keep or scrap: a list is drawn, printed, booked once; a stale one is told."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import Open
from tests.web.test_rack import come, send, text


def made(app: Open, lines: str, **more: object) -> str:
    answer = send(app, "/cut", bars="square 33, C45, not known", lines=lines, **more)
    assert answer.status_code == 303, answer.text[:2000]
    return str(answer.headers["location"])


@pytest.fixture(scope="module")
def label(app: Open) -> str:
    return come(app, shape="square", size="33", length="1000").rsplit("/", 1)[1]


def test_a_list_is_drawn_printed_booked_in_one_touch_and_the_other_person_is_told(app: Open, label: str) -> None:
    mine, theirs = made(app, "2 x 300 leg"), made(app, "1 x 700 rail")
    page = text(app, mine)
    assert f"{label} was cut" in page
    assert "Nothing is cheaper, proven" in page
    svg = app.client.get(f"{mine}/0/narrow-dark.svg")
    assert svg.headers["content-type"] == "image/svg+xml"
    assert "leg" in svg.text
    assert app.client.get(f"{mine}/9/wide.svg").status_code == 404
    paper = app.client.get(f"{mine}/cut-list.pdf")
    assert paper.content.startswith(b"%PDF-")
    assert send(app, mine, job=app.goes, touch="cut-mine-1").status_code == 303
    told = send(app, theirs, touch="cut-theirs-1")
    assert told.status_code == 422
    assert "is not as you saw it: cut, Ines" in told.text
    assert "Written down as cut" in text(app, mine)
    story = text(app, f"/rack/{label}")
    assert "cut, 600 mm for job" in story
    assert story.count("cut, 600 mm") == 1
    assert "By 2 cuts of such bar in the shop" in story
    assert re.search(rf"square 33, C45 *, 300 mm, 2 times: {label}", text(app, "/keep"))


@pytest.mark.parametrize(
    ("words", "status"),
    [
        ({"guard": "x"}, 403),
        ({"bars": "round 1, gold, new"}, 422),
        ({"lines": "<script>"}, 422),
        ({"lines": "1 x 10 a", "seconds": "-1"}, 422),
        ({"lines": "1 x 10 a", "kerf": "wide"}, 422),
        ({"lines": "1 x 10 a", "new_length": "3000", "new_many": "1e9"}, 422),
    ],
)
def test_a_list_that_says_nothing_is_told_and_typed_words_stay(app: Open, label: str, words, status: int) -> None:
    sent = {"bars": "square 33, C45, not known", **words}
    answer = send(app, "/cut", **sent)
    assert answer.status_code == status
    assert "<script>" not in answer.text
    assert app.client.get("/cut/none").status_code == 404


def test_a_carry_blank_names_what_speaks_against_each_number_of_links_and_is_drawn(app: Open) -> None:
    asked = "metal=C45&section=20&length=40&count=10&tip=0.1&due=4+2026-12-04%0A6+2026-12-09"
    page = text(app, f"/carry?{asked}")
    assert "4 blanks of up to 3 links, 161.5 mm long" in page
    assert "more than the 0.1 mm allowed" in page
    assert "4 by 2026-12-04: 3 of blank 1, 1 of blank 2; 2 over for the next" in page
    assert app.client.get(f"/carry/narrow.svg?{asked}").headers["content-type"] == "image/svg+xml"
    assert app.client.get(f"/carry/carry-blank.pdf?{asked}").content.startswith(b"%PDF-")
    for wrong in ("section=0", "length=-3", "count=0", "count=1.5", "tip=soft", "metal=cheese", "due=4+friday"):
        name = wrong.split("=")[0]
        kept = "&".join(one for one in asked.split("&") if not one.startswith(name + "="))
        answer = app.client.get(f"/carry?{kept}&{wrong}")
        assert answer.status_code == 422, wrong
        assert 'role="alert"' in answer.text
