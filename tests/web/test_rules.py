"""The page of rules of thumb: a search that works without script, and never falls on what is typed."""

from __future__ import annotations

import re

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyrest.tables.practice import rules


def rows(page: str) -> int:
    return len(re.findall(r"<tr><th scope=\"row\">", page))


def test_everything_stands_there_until_something_is_asked(app) -> None:
    page = app.client.get("/rules")
    assert page.status_code == 200
    assert page.text.count("<h1>") == 1
    assert rows(page.text) == len(rules())


def test_words_machine_and_metal_narrow_it_and_are_kept_in_the_form(app) -> None:
    page = app.client.get("/rules", params={"words": "teeth", "machine": "saw", "metal": "C45"}).text
    assert 0 < rows(page) < 20
    assert 'value="teeth"' in page
    assert '<option value="saw" selected>' in page
    assert '<option value="C45" selected>' in page


def test_what_is_not_there_is_said_on_the_page(app) -> None:
    page = app.client.get("/rules", params={"machine": "lade"})
    assert page.status_code == 200
    assert "there is no machine" in page.text


@settings(deadline=None, max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(words=st.text(max_size=300), metal=st.text(max_size=20))
def test_nothing_typed_brings_it_down_or_stands_in_it_unescaped(app, words: str, metal: str) -> None:
    page = app.client.get("/rules", params={"words": f"<b>{words}", "metal": metal})
    assert page.status_code == 200
    assert "<b>" not in page.text


def test_much_stands_folded_under_its_machine_or_subject_and_little_stands_open(app) -> None:
    whole = app.client.get("/rules").text
    assert "<details open>" not in whole
    assert whole.index('<form class="row"') < whole.index("<details>")
    few = app.client.get("/rules", params={"words": "faceplate"}).text
    assert few.count("<details open>") == few.count("<summary>") > 0
    assert app.client.get("/rules", params={"metal": "C45"}).text.count("<details open>") == 1
