"""The rack's and the record's pages: forms that count once, stale pages that are told, words that stay words."""

from __future__ import annotations

import re

import pytest
from starlette.responses import Response

from tests.web.conftest import Open


def send(app: Open, where: str, **words: object) -> Response:
    form = {name: str(value) for name, value in ({"guard": app.guard, "by": "ines"} | words).items()}
    return app.client.post(where, data=form)


def come(app: Open, **more: object) -> str:
    words = {"shape": "round", "size": "40", "length": "1000", "material": "C45", "place": "rack 2", "cost": "10"}
    answer = send(app, "/rack", **(words | more))
    assert answer.status_code == 303
    return str(answer.headers["location"])


def text(app: Open, where: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", app.client.get(where).text).split())


def test_a_piece_comes_by_the_form_and_is_found_by_what_could_come_out_of_it(app: Open) -> None:
    where = come(app, damage="<b>rust</b>", owner="the ferry <office>")
    page = app.client.get(where)
    assert "&lt;b&gt;rust&lt;/b&gt;" in page.text.lower()
    label = where.rsplit("/", 1)[1]
    assert label in text(app, "/rack?yields=39+x+900")
    assert f"{label} round 40 mm: 1 mm too thin" in text(app, "/rack?yields=41+x+900")
    assert f"{label} round 40 mm: " not in text(app, "/rack?yields=39+x+900")
    assert app.client.get("/rack?yields=huge").status_code == 422


def test_a_page_that_is_stale_is_told_what_happened_and_a_touch_sent_twice_cuts_once(app: Open) -> None:
    where = come(app)
    cut = {"what": "cut", "seen": 1, "length": "300", "job": app.goes}
    assert send(app, where, touch="touch-cut-1", **cut).status_code == 303
    assert send(app, where, touch="touch-cut-1", **cut).status_code == 303
    stale = send(app, where, touch="touch-cut-2", **cut)
    assert stale.status_code == 422
    assert "is not as you saw it: cut, Ines" in stale.text
    assert text(app, where).count("cut, 300 mm") == 1
    assert "round 40, 300 mm" in text(app, f"/record/{app.goes}")


@pytest.mark.parametrize(
    ("where", "words", "status"),
    [
        ("/rack", {"guard": "x"}, 403),
        ("/rack", {"shape": "<script>"}, 422),
        ("/rack/R1", {"what": "cut", "seen": "x"}, 422),
        ("/rack/R1", {"what": "", "seen": "0"}, 422),
        ("/rack/R1", {"what": "cut", "seen": "0", "length": "-1"}, 422),
        ("/rack/R1", {"guard": "x"}, 403),
        ("/rack/..%2f..", {"what": "gone", "seen": "0"}, 404),
        ("/record/1/invoice", {"guard": "x"}, 403),
        ("/record/999999/invoice", {}, 404),
    ],
)
def test_what_cannot_be_meant_is_refused(app: Open, where: str, words: dict[str, str], status: int) -> None:
    answer = send(app, where, **words)
    assert answer.status_code in (status, 404)
    assert "<script>" not in answer.text.replace('<script src="/static/bundle.js" defer></script>', "")


def invoices(app: Open, record: str) -> set[str]:
    """The numbers of the invoices that the record names; other tests over the same folder may have written some."""
    return set(re.findall(r"Invoice (\d+) ", text(app, record)))


def test_the_record_its_paper_and_an_invoice_at_the_price_offered(app: Open) -> None:
    record = f"/record/{app.goes}"
    assert "Work record" in text(app, record)
    assert app.client.get(f"{record}.pdf").content.startswith(b"%PDF")
    before = invoices(app, record)
    asked = {"how": "offer", "by": "ambra", "touch": "touch-invoice-1"} | ({"again": "yes"} if before else {})
    for _ in range(2):
        assert send(app, f"{record}/invoice", **asked).status_code == 303
    (new,) = invoices(app, record) - before
    assert app.client.get(f"{record}/invoice/{new}.pdf").content.startswith(b"%PDF")
    for missing in (f"{record}/invoice/77.pdf", f"{record}/photo/{'0' * 64}", f"{record}/photo/x", "/record/999999"):
        assert app.client.get(missing).status_code == 404
    assert app.client.get("/rack/no-such-piece").status_code == 404
