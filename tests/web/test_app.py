"""The app by its addresses: what each shows, what it refuses, and that nothing a browser sends brings it down."""

from __future__ import annotations

import json
import re
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyrest.desk.plan import keeping
from steadyrest.shop.figure import because
from steadyrest.web.showing.words import OLD, Words
from tests.web import workshop

SMALL = st.text(max_size=20)
FORM = {
    "what": "a thing", "customer": "", "material": "C45", "quantity": "1", "unit": "mm",
    "due": (workshop.NOW + timedelta(days=2)).strftime("%Y-%m-%dT%H:%M"),
}  # fmt: skip
LAW = settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])


def put_in(app, data: bytes | None = b"solid", name: str = "part.stl", **changed: str):
    files = {} if data is None else {"file": (name, data)}
    return app.client.post("/new", data={"guard": app.guard, **FORM, **changed}, files=files)


def waited(app, address: str) -> str:
    """The page of a reading once it has ended."""
    for line in app.client.get(f"{address}/watch").iter_lines():
        if '"failed"' in line or '"stopped"' in line or '"done"' in line:
            break
    return app.client.get(address).text


@pytest.mark.parametrize("address", ["/", "/new", "/jobs/{goes}", "/jobs/{no}"])
def test_every_page_answers(app, address: str) -> None:
    page = app.client.get(address.format(goes=app.goes, no=app.no))
    assert page.status_code == 200
    assert page.text.startswith("<!doctype html>")
    assert page.text.count("<h1>") == 1


@pytest.mark.parametrize("address", ["/jobs/999", "/reading/999", "/reading/999/watch", "/nowhere", "/fonts/none.ttf",
                                     "/static/none.css", "/jobs/99999999999999999999", "/jobs/999/job-sheet.pdf",
                                     "/jobs/999/part/wide.svg"])  # fmt: skip
def test_what_is_not_there_is_said_with_the_way_back(app, address: str) -> None:
    page = app.client.get(address)
    assert page.status_code == 404
    assert 'href="/"' in page.text


def test_the_bench_shows_the_soonest_due_first(app) -> None:
    page = app.client.get("/").text
    assert page.index(f"/jobs/{app.goes}") < page.index(f"/jobs/{app.no}")


def test_a_job_answers_first_and_says_all_six(app) -> None:
    page = app.client.get(f"/jobs/{app.goes}").text
    order = [
        page.index(mark) for mark in ('id="take"', 'id="what"', 'id="how"', 'id="when"', 'id="price"', 'id="right"')
    ]
    assert order == sorted(order)


def test_what_a_person_typed_is_text_and_never_markup(app) -> None:
    page = app.client.get(f"/jobs/{app.goes}").text
    assert "winch shaft &#34;two&#34; &amp; more" in page
    assert "&lt;office&gt;" in page


def test_a_no_shows_its_reasons_and_the_nearest_yes(app) -> None:
    page = app.client.get(f"/jobs/{app.no}").text
    assert "Do not take it." in page
    reasons = page[page.index('class="answer"') : page.index("</section>")]
    assert reasons.count("<li>") >= 1
    assert 'id="when"' not in page
    assert "Not on this floor." in page


def test_every_reason_has_its_sentence(app) -> None:
    for number in (app.goes, app.no):
        assert OLD not in app.client.get(f"/jobs/{number}").text


def test_a_reason_of_an_older_version_is_said_so_and_the_page_stands(app) -> None:
    place = app.client.app.state.house.place
    words = Words(keeping.kept_job(place.store, app.goes).answer)
    assert OLD in words.say(because("limit.no_longer_worded"))


def test_no_id_stands_twice_on_a_page(app) -> None:
    for address in ("/", "/new", f"/jobs/{app.goes}", f"/jobs/{app.no}"):
        ids = re.findall(r'\sid="([^"]+)"', app.client.get(address).text)
        assert len(ids) == len(set(ids))


@pytest.mark.parametrize("picture", ["part", "night"])
@pytest.mark.parametrize("look", ["wide", "wide-dark", "narrow", "narrow-dark"])
def test_pictures_are_svg_without_styles(app, picture: str, look: str) -> None:
    drawn = app.client.get(f"/jobs/{app.goes}/{picture}/{look}.svg")
    assert drawn.status_code == 200
    assert drawn.headers["content-type"].startswith("image/svg+xml")
    assert "<style" not in drawn.text
    assert "style=" not in drawn.text
    assert app.client.get(f"/jobs/{app.goes}/{picture}/other.svg").status_code == 404


@pytest.mark.parametrize("paper", ["job-sheet", "measuring-sheet", "quote", "quote-by-the-hour"])
def test_papers_are_pdfs(app, paper: str) -> None:
    got = app.client.get(f"/jobs/{app.goes}/{paper}.pdf")
    assert got.status_code == 200
    assert got.content.startswith(b"%PDF-")
    assert got.headers["content-type"] == "application/pdf"


def test_a_no_has_no_quote_and_says_so(app) -> None:
    page = app.client.get(f"/jobs/{app.no}/quote.pdf")
    assert page.status_code == 422
    assert "there is no quote" in page.text


def test_fonts_and_styles_are_our_own(app) -> None:
    page = app.client.get("/").text
    for address in re.findall(r'(?:href|src)="(/static/[^"]+)"', page):
        assert app.client.get(address).status_code == 200
    font = app.client.get("/fonts/AtkinsonHyperlegibleNext-Regular.ttf")
    assert font.headers["content-type"] == "font/ttf"


def test_every_answer_forbids_styles_and_scripts_of_others(app) -> None:
    for address in ("/", "/nowhere", f"/jobs/{app.goes}", "/static/bundle.js"):
        policy = app.client.get(address).headers["content-security-policy"]
        assert "unsafe" not in policy
        assert "default-src 'none'" in policy


def test_another_host_is_refused(app) -> None:
    # DNS rebinding: a name of somebody else's that leads to this machine.
    assert app.client.get("/", headers={"host": "elsewhere.example"}).status_code == 421


@pytest.mark.parametrize("address", ["/new", "/jobs/{goes}/readings", "/reading/1/stop"])
def test_a_form_from_another_page_is_refused(app, address: str) -> None:
    address = address.format(goes=app.goes)
    data = {"guard": app.guard, **FORM}
    assert app.client.post(address, data=data, headers={"origin": "http://elsewhere.example"}).status_code == 403
    assert app.client.post(address, data=data, headers={"origin": "null"}).status_code == 403


@pytest.mark.parametrize("address", ["/new", "/jobs/{goes}/readings", "/reading/1/stop", "/reading/1/unit"])
@pytest.mark.parametrize("guard", [None, "", "another", "ünï"])
def test_a_form_without_its_token_is_refused(app, address: str, guard: str | None) -> None:
    data = FORM if guard is None else {"guard": guard, **FORM}
    page = app.client.post(address.format(goes=app.goes), data=data)
    assert page.status_code == 403
    assert "too old" in page.text


@pytest.mark.parametrize(
    ("changed", "says"),
    [({"material": "cheese"}, "cheese"), ({"quantity": "none"}, "none"), ({"quantity": "-3"}, "-3"),
     ({"due": "2020-01-01T10:00"}, "later"), ({"due": "soon"}, "soon"),
     ({"unit": "ell"}, "ell"), ({"due": "0001-01-01T00:00"}, "later")],
)  # fmt: skip
def test_a_form_at_fault_says_why_and_keeps_what_was_typed(app, changed: dict[str, str], says: str) -> None:
    typed = {"what": "bell crank", "customer": "mill by the weir", **changed}
    page = put_in(app, **typed)
    assert page.status_code == 422
    main = page.text[page.text.index('role="alert"') :]
    alert = main[: main.index("<form")]
    assert says in alert
    assert "Choose the file once more" in alert
    assert 'value="bell crank"' in page.text
    assert 'value="mill by the weir"' in page.text
    assert "--" not in alert, "a page has fields, not flags"


def test_no_file_is_said(app) -> None:
    page = put_in(app, data=None)
    assert page.status_code == 422
    assert "empty" in page.text


@pytest.mark.parametrize(
    ("name", "data"),
    [("notes.stl", b"this is not a part\n" * 9),
     ("cut.ply", b"ply\nformat binary_little_endian 1.0\nelement vertex 900\nproperty float x\nproperty float y\n"
                 b"property float z\nelement face 900\nproperty list uchar int vertex_indices\nend_header\n"
                 + b"\0" * 50)],
)  # fmt: skip
def test_a_bad_file_ends_with_one_line_and_the_app_goes_on(app, name: str, data: bytes) -> None:
    sent = put_in(app, data, name)
    assert sent.status_code == 303
    page = waited(app, sent.headers["location"])
    alert = re.search(r'role="alert">([^<]+)<', page)
    assert alert is not None
    assert name in alert[1]
    assert "our fault" not in alert[1]
    # Whoever put it in may have gone on: the bench says it, too.
    assert alert[1] in app.client.get("/").text
    assert app.client.get("/").status_code == 200


def test_a_bad_reading_is_said_on_the_job_and_kept_in_its_field(app) -> None:
    for typed in ("not a size", "-3", "0", ""):
        sent = {"guard": app.guard, "of": "S2 diameter_mm", "reading": typed}
        page = app.client.post(f"/jobs/{app.goes}/readings", data=sent)
        assert page.status_code == 422
        assert f'name="reading" value="{typed}"' in page.text
        assert 'role="alert"' in page.text


def test_a_reading_of_nothing_is_said(app) -> None:
    sent = {"guard": app.guard, "of": "F99 diameter_mm", "reading": "30"}
    assert app.client.post(f"/jobs/{app.goes}/readings", data=sent).status_code == 422


@LAW
@given(
    st.dictionaries(st.sampled_from([*FORM, "guard", "of", "reading", "other"]), SMALL), st.binary(max_size=30), SMALL
)
def test_nothing_a_form_brings_is_our_fault(app, fields: dict[str, str], data: bytes, name: str) -> None:
    fields = {"guard": app.guard, **fields}
    sent = app.client.post("/new", data={**fields, "material": "cheese"}, files={"file": (name or "x", data)})
    assert sent.status_code < 500
    assert app.client.post(f"/jobs/{app.goes}/readings", data={**fields, "of": "F99 x"}).status_code < 500
    assert app.client.post("/reading/77/stop", data=fields).status_code < 500


@LAW
@given(due=st.one_of(SMALL, st.datetimes().map(lambda at: at.isoformat())), quantity=SMALL, unit=SMALL)
def test_no_due_time_or_number_is_our_fault(app, due: str, quantity: str, unit: str) -> None:
    assert put_in(app, due=due, quantity=quantity, unit=f"{unit}?").status_code < 500


@LAW
@given(st.text(alphabet='abc/.%0123456789\u00fc<>"', max_size=30))
def test_no_address_is_our_fault(app, address: str) -> None:
    # Two slashes at the start would name a host to the test's own client.
    assert app.client.get(f"/{address.lstrip('/')}").status_code < 500


def test_a_reading_far_from_what_was_read_is_asked_about(app) -> None:
    # A slip of the comma or another unit: 3.0 mm on a seat of 30 mm must not become a shaft of 3 mm.
    sent = {"guard": app.guard, "of": "S2 diameter_mm", "reading": "3.0"}
    page = app.client.post(f"/jobs/{app.goes}/readings", data=sent)
    assert page.status_code == 422
    assert "far from" in page.text


def test_a_hand_reading_is_kept_and_what_it_changed_is_shown(app) -> None:
    sent = {"guard": app.guard, "of": "S1 diameter_mm", "reading": "25.2"}
    answer = app.client.post(f"/jobs/{app.goes}/readings", data=sent)
    assert answer.status_code == 303
    waited(app, answer.headers["location"])
    done = app.client.get(answer.headers["location"])
    assert done.headers["location"] == f"/jobs/{app.goes}#changed"
    page = app.client.get(f"/jobs/{app.goes}").text
    assert 'id="changed"' in page
    assert "25.2 mm" in page


def test_a_watched_reading_tells_its_end(app) -> None:
    sent = put_in(app, b"solid nothing\n" * 20, "nothing.stl")
    told = app.client.get(f"{sent.headers['location']}/watch")
    assert told.headers["content-type"].startswith("text/event-stream")
    events = [json.loads(line.removeprefix("data: ")) for line in told.text.splitlines() if line]
    assert events[-1]["state"] == "failed"
    assert all(0 <= event["tenths"] <= 10 for event in events)


def test_a_body_larger_than_any_file_is_refused_before_it_is_read(app) -> None:
    page = app.client.post("/new", content=b"", headers={"content-length": str(10**12)})
    assert page.status_code == 413


def test_an_answer_of_the_visitor_is_kept_and_not_asked_again(app) -> None:
    address = f"/jobs/{app.goes}/before"
    page = app.client.get(address)
    assert "Which metal" in page.text or "metal known" in page.text
    asks = re.findall(r'name="ask" value="([^"]*)"', page.text)
    rank = next(k for k, ask in enumerate(asks) if ask.startswith("count and date"))
    sent = {"guard": app.guard, "rank": str(rank), "ask": asks[rank], "said": "two, by <Saturday> noon"}
    assert app.client.post(address, data=sent).status_code == 303
    after = app.client.get(address).text
    assert "two, by &lt;Saturday&gt; noon" in after
    assert asks[rank] not in re.findall(r'name="ask" value="([^"]*)"', after)
    again = app.client.post(address, data=sent)
    assert again.status_code == 422
    assert "not open any more" in again.text


def test_an_empty_answer_is_refused_and_a_long_one_kept_in_its_field(app) -> None:
    address = f"/jobs/{app.goes}/before"
    ask = re.findall(r'name="ask" value="([^"]*)"', app.client.get(address).text)[0]
    for said in ("", "   ", "x" * 501):
        page = app.client.post(address, data={"guard": app.guard, "rank": "0", "ask": ask, "said": said})
        assert page.status_code == 422
        assert 'role="alert"' in page.text
    assert "the answer" in page.text


def test_the_job_says_how_many_questions_are_open(app) -> None:
    count = app.client.get(f"/jobs/{app.goes}/before").text.count('name="ask"')
    assert f"{count} question" in app.client.get(f"/jobs/{app.goes}").text
