"""Measuring on the page: without script, once, in plain words, and no markup from outside."""

from __future__ import annotations

import re

from tests.web.conftest import Open

READING = {"feature": "S2", "size": "diameter_mm", "piece": "21", "reading": "29.991", "gauge": "micrometer_50"}


def sent(app: Open, **words: str) -> tuple[int, str]:
    answer = app.client.post(f"/jobs/{app.goes}/measure", data={"guard": app.guard, **READING, **words})
    return answer.status_code, answer.headers.get("location", "") or answer.text


def page(app: Open, piece: int) -> str:
    answer = app.client.get(f"/jobs/{app.goes}/measure?piece={piece}")
    assert answer.status_code == 200
    return answer.text


def test_every_limit_has_a_field_and_the_planned_gauge_is_chosen(app: Open) -> None:
    text = page(app, 20)
    assert text.count('name="reading"') == text.count("<p>Limits ")
    assert re.search(r'<option value="micrometer_50" selected>', text)
    assert "Not measured yet" in text


def test_a_reading_is_decided_and_shown_on_its_piece_and_on_the_job(app: Open) -> None:
    status, where = sent(app)
    assert (status, where) == (303, f"/jobs/{app.goes}/measure?piece=21#S2-diameter_mm")
    text = page(app, 21)
    assert "Right: 29.991" in text
    assert "1 right" in app.client.get(f"/jobs/{app.goes}").text


def test_the_same_form_sent_twice_counts_once(app: Open) -> None:
    mark = "one-mark-for-two-touches"
    for _ in range(2):
        assert sent(app, piece="22", touch=mark)[0] == 303
    assert page(app, 22).count("29.991 with micrometer 25-50") == 1


def test_what_is_undecided_says_what_next_and_takes_a_decision(app: Open) -> None:
    assert sent(app, piece="23", reading="29.9812")[0] == 303
    text = page(app, 23)
    assert "What now" in text
    assert 'name="becomes"' in text
    decided = {"what": "decide", "piece": "23", "becomes": "ask", "words": "<b>they said</b> yes"}
    assert sent(app, **decided)[0] == 303
    text = page(app, 23)
    assert "The customer is asked" in text
    assert "<b>they said</b>" not in text


def test_what_is_no_reading_stays_in_its_field_with_one_line(app: Open) -> None:
    status, text = sent(app, piece="24", reading="thirty<i>")
    assert status == 422
    assert 'value="thirty&lt;i&gt;"' in text
    assert 'role="alert"' in text
    for wrong in ({"piece": "0"}, {"piece": "x"}, {"feature": "S9"}, {"gauge": "hammer"}, {"part_c": "900"},
                  {"replaces": "999999"}, {"who": "nobody"}, {"piece": "61"}):  # fmt: skip
        assert sent(app, **wrong)[0] == 422


def test_a_form_without_its_token_writes_nothing(app: Open) -> None:
    assert sent(app, piece="25", guard="x")[0] == 403
    assert "Right: " not in page(app, 25)


def test_a_piece_that_is_not_in_the_lot_is_said(app: Open) -> None:
    assert app.client.get(f"/jobs/{app.goes}/measure?piece=0").status_code == 422
    assert app.client.get(f"/jobs/{app.goes}/measure?piece=99999").status_code in (404, 422)
    assert app.client.get("/jobs/99999/measure").status_code == 404


def test_the_report_is_a_pdf(app: Open) -> None:
    assert sent(app, piece="26")[0] == 303
    answer = app.client.get(f"/jobs/{app.goes}/measuring-report.pdf")
    assert answer.content.startswith(b"%PDF")
