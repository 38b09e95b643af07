"""One box on every page: what it finds leads to a page that is there, and what is typed is never more than words."""

from __future__ import annotations

import html
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyrest.desk.books import find
from steadyrest.desk.place import Place, open_place
from steadyrest.trouble import BadInput
from tests.web.conftest import Open

BOX = '<form class="find" role="search" method="get" action="/find">'


@pytest.fixture(scope="module")
def place(app: Open):
    opened = open_place(app.folder, None)
    yield opened
    opened.close()


def test_the_box_stands_once_on_every_page_and_asks_without_script(app: Open) -> None:
    for path in ("/", "/rules", "/rack", f"/jobs/{app.goes}", "/nowhere"):
        assert app.client.get(path).text.count(BOX) == 1
    page = app.client.get("/find", params={"q": "winch"}).text
    assert page.count('role="search"') == 1
    assert 'value="winch"' in page


def test_what_is_found_says_where_the_words_stand_and_leads_to_a_page_that_is_there(app: Open) -> None:
    page = app.client.get("/find", params={"q": "FÉRRY winch"}).text
    assert f'href="/jobs/{app.goes}"' in page
    assert "what: <mark>winch</mark>" in page
    assert "customer: the <mark>ferry</mark> &lt;office&gt;" in page
    for words in ("30", "winch", "R1", "drill", "ferry"):
        page = app.client.get("/find", params={"q": words}).text
        main = page[page.index("<main") : page.index("</main")]
        links = {html.unescape(one) for one in re.findall(r'href="([^"]+)"', main)}
        assert links
        for link in links - {one for one in links if one.startswith("/customers/")}:
            assert app.client.get(link).status_code == 200, link


def test_a_slip_of_the_hand_is_told_and_mended_and_a_number_is_not(app: Open) -> None:
    page = app.client.get("/find", params={"q": "wicnh"}).text
    assert "looks for winch instead of wicnh" in page
    assert f'href="/jobs/{app.goes}"' in page
    assert "Nothing has that" in app.client.get("/find", params={"q": "98765"}).text
    alone = app.client.get("/find", params={"q": "winch 98765 column"}).text
    assert "Nothing has all of these words" in alone
    assert 'href="/find?q=column"' in alone


def test_a_kind_that_there_is_not_is_refused(app: Open, place: Place) -> None:
    assert app.client.get("/find", params={"q": "winch", "only": "boats"}).status_code == 422
    with pytest.raises(BadInput, match="no kind"):
        find.find(place.store, place.said.shop, "winch", only="customers", owner=False)


def test_a_hand_finds_no_customer_and_no_invoice_and_is_led_to_no_page_with_prices(place: Place) -> None:
    found = find.find(place.store, place.said.shop, "ferry", owner=False)
    assert [group.kind for group in found.groups] == ["jobs"]
    assert not any(row.address.startswith("/record/") for group in found.groups for row in group.rows)


def test_a_piece_is_found_by_any_name_of_its_metal(place: Place) -> None:
    shop = place.said.shop
    names = find.names_of_metals(shop)
    known = {one.material for one in shop.pieces}
    word = next(word for word, kept in sorted(names.items()) if any(m.casefold() in kept for m in known))
    found = find.find(place.store, shop, word, only="pieces")
    assert found.groups


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(typed=st.text(max_size=30))
def test_whatever_is_typed_is_answered(place: Place, typed: str) -> None:
    found = find.find(place.store, place.said.shop, typed)
    for group in found.groups:
        for row in group.rows:
            assert row.title
            for where in row.where:
                assert any(on for _, on in where.bits)
