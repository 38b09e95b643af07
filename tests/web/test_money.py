"""The pages of customers and of money: what is sent counts once, what is typed stays words, files are handed over."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from starlette.responses import Response

from steadyrest.desk.accounts import credit
from steadyrest.desk.place import open_place
from steadyrest.desk.plan import keeping
from steadyrest.wording.say import say
from tests.web import workshop
from tests.web.conftest import Open

NAME = 'the "tide" <mill>'


def send(app: Open, where: str, file: tuple[str, bytes] | None = None, **words: object) -> Response:
    form = {name: str(value) for name, value in ({"guard": app.guard, "by": "ambra"} | words).items()}
    return app.client.post(where, data=form, files={"file": file} if file else None)


def text(app: Open, where: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", app.client.get(where).text).split())


@pytest.fixture(scope="module")
def where(app: Open) -> str:
    """The address of a customer who was written down by the form."""
    answer = app.client.post("/customers", data={"guard": app.guard, "name": NAME})
    assert answer.status_code == 303
    return str(answer.headers["location"])


def test_what_is_told_of_a_customer_stands_on_the_page_and_script_in_it_stays_words(app: Open, where: str) -> None:
    told = {
        "contact": {"name": "<script>alert(1)</script>", "phone": "01 23", "mail": "a@b", "role": "=1+1"},
        "terms": {"days": 30, "discount": 2, "discount_days": 8, "deposit": 20}, "limit": {"amount": "1500.00"},
        "address": {"lines": "Quay 3\r\nHarbour", "called": "Tide Mill Trust"}, "note": {"words": "before noon"},
        "rounding": {"unit_h": "0.25", "mode": "up", "per": "day"},
    }  # fmt: skip
    for kind, words in told.items():
        for _ in range(2):  # a touch sent twice counts once
            assert send(app, where, kind=kind, touch=f"touch-{kind}", **words).status_code == 303
    page = text(app, where)
    for words in ("within 30 days, 2 % less within 8, 20 % before the work", "Tide Mill Trust", "Quay 3", "before noon",
                  "hours rounded up to 0.25 h, each person's day", "1500.00 EUR"):  # fmt: skip
        assert words.replace("'", "&#39;") in page
    assert "<script>alert" not in app.client.get(where).text
    assert page.count(": limit: amount 1500.00") == 1
    assert "&lt;mill&gt;" in app.client.get("/customers").text


def test_a_certificate_is_handed_over_inert_and_to_its_own_customer_alone(app: Open, where: str) -> None:
    paper = ("../../tc.pdf", b"%PDF-1.4 certificate")
    sent = send(app, where, paper, kind="certificate", number="TC 7", until="2026-12-31")
    assert sent.status_code == 303
    address = next(iter(re.findall(rf'href="({where}/file/[0-9a-f]{{64}})"', app.client.get(where).text)))
    got = app.client.get(address)
    assert (got.content, got.headers["content-type"]) == (paper[1], "application/octet-stream")
    assert got.headers["content-disposition"].startswith("attachment")
    assert app.client.get(address.replace(where, "/customers/1")).status_code == 404
    assert send(app, where, ("x.pdf", b"<html>"), kind="certificate", number="1", until="2026-12-31").status_code == 422


def test_money_goes_from_the_record_to_the_page_of_what_is_owed_and_back_to_the_record(app: Open, where: str) -> None:
    send(app, "/rack", shape="round", size="40", length="500", material="C45", place="r", cost="80", touch="touch-r-1")
    record = f"/record/{app.no}"
    label = re.findall(r'/rack/([^"]+)"', app.client.get("/rack?place=r").text)[0]
    send(app, f"/rack/{label}", what="cut", seen=1, length="", job=app.no, touch="touch-r-2")
    assert send(app, f"{record}/invoice", how="hours", touch="touch-i-1").status_code == 303
    assert "charges it already" in send(app, f"{record}/invoice", how="hours", touch="touch-i-2").text
    number = re.findall(r"Invoice (\d+)</a>", app.client.get(record).text)[-1]
    paid = {"kind": "received", "aim": f"invoice {number}", "amount": "1.50", "touch": "touch-p-1"}
    assert [send(app, "/owed", **paid).status_code for _ in range(2)] == [303, 303]
    assert app.client.get("/customers/1").text.count("<li>Fri 27 Nov 2026: 1.50 EUR came") == 1
    assert " open, due " in text(app, record)
    assert 'href="/customers/1"' in app.client.get(record).text
    assert f'href="{record}"' in app.client.get(f"/jobs/{app.no}").text
    assert "svg" in app.client.get("/owed/heaps/narrow-dark.svg").text
    assert app.client.get("/owed/heaps/wrong.svg").status_code == 404
    listed = app.client.get("/owed.csv")
    assert (listed.headers["content-type"], listed.content[:3]) == ("text/csv; charset=utf-8", b"\xef\xbb\xbf")
    assert app.client.get("/customers/1/account.pdf").content[:5] == b"%PDF-"
    assert "Nothing is late." in app.client.get("/customers/1/remind").text


def test_a_job_over_its_customers_credit_is_taken_if_the_sum_over_it_is_paid_first(app: Open) -> None:
    assert send(app, "/customers/1", kind="limit", amount="1.00", touch="touch-one-limit").status_code == 303
    place = open_place(app.folder, None)
    plan = keeping.kept_job(place.store, app.goes).answer
    plan = replace(plan, take=replace(plan.take, answer="yes", ifs=(), nearest_yes=None))
    found = credit.on_credit(plan, place.store, place.said, now=workshop.NOW, but=app.goes)
    place.close()
    assert found.take.answer == "yes if"
    assert [one.key for one in found.take.ifs] == ["credit.pays_first"]
    assert "owed (of it" in say(found.take.why[0])
    assert send(app, "/customers/1", kind="limit", amount="", touch="touch-no-limit").status_code == 303


@pytest.mark.parametrize(
    ("address", "words", "status"),
    [
        ("/customers", {"guard": "x"}, 403), ("/customers", {"name": ""}, 422), ("/customers/1", {"guard": "x"}, 403),
        ("/customers/1", {"kind": "<script>"}, 422), ("/customers/1", {"kind": "strike", "entry": "x"}, 422),
        ("/customers/99999", {"kind": "note", "words": "x"}, 404), ("/customers/1/remind", {"guard": "x"}, 403),
        ("/customers/1/remind", {}, 422), ("/owed", {"guard": "x"}, 403), ("/owed", {"kind": "received"}, 422),
        ("/owed", {"kind": "received", "aim": "invoice x"}, 422), ("/owed", {"kind": "?", "aim": "customer 1"}, 422),
        ("/owed", {"kind": "received", "aim": "customer 1", "amount": "1e9"}, 422),
    ],
)  # fmt: skip
def test_what_cannot_be_is_a_page_that_says_so(app: Open, address: str, words: dict[str, str], status: int) -> None:
    assert send(app, address, **words).status_code == status


@pytest.mark.parametrize(
    ("address", "status"),
    [("/customers/99999", 404), ("/customers/1/letter.pdf", 404), (f"/customers/{2**64}", 404),
     ("/customers/1/file/" + "0" * 64, 404), ("/customers/1/file/..%2fshop.toml", 404), ("/owed.csv?since=x", 422)],
)  # fmt: skip
def test_what_is_not_there_is_said(app: Open, address: str, status: int) -> None:
    assert app.client.get(address).status_code == status
