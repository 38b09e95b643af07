"""The leaving check in the app: a program goes in, the answer with its cautions comes out, that very file goes on."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from steadyrest.demo.programs import PROGRAMS, write_programs


@pytest.fixture(scope="module")
def programs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("programs")
    write_programs(folder)
    return folder


def hand_in(app, data: bytes, name: str, **words: str):
    form = {"guard": app.guard, "machine": "lathe", "unit": "", "blank": "", **words}
    return app.client.post("/leave", data=form, files={"file": (name, data)})


def done(app, answer) -> str:
    """Where a check that was handed in ended up: the page asks until it is done, as a browser does."""
    assert answer.status_code == 303, answer.text
    waits = answer.headers["location"]
    for _ in range(600):
        page = app.client.get(waits)
        if page.status_code == 303:
            return page.headers["location"]
        assert "progress" in page.text, page.text
        app.client.get(f"{waits}/watch")  # ends when the task does
    raise AssertionError(waits)


@pytest.fixture(scope="module")
def checked(app, programs: Path) -> dict[str, str]:
    """The demo's programs, handed in: the address of each answer."""
    found = {}
    for name in PROGRAMS:
        machine = "mill" if name == "keyway.nc" else "lathe"
        found[name] = done(app, hand_in(app, (programs / name).read_bytes(), name, machine=machine))
    return found


@pytest.mark.parametrize(("name", "said"), [("shaft-side-1.nc", "Yes"), ("spacers.nc", "Yes, if"), ("keyway.nc", "No")])
def test_the_answer_stands_first_and_its_cautions_beside_it(app, checked, name: str, said: str) -> None:
    page = app.client.get(checked[name])
    assert page.status_code == 200
    assert page.text.count("<h1>") == 1
    heading = re.search(r'<h2 id="may">([^<]*)</h2>', page.text)
    assert heading is not None
    assert heading[1] == said
    after = page.text[page.text.index("</section>") :]
    assert re.findall(r'class="(\w+)"', after)[:3] == ["caution"] * 3
    for word in ("clamping", "Fire", "door", "pressure switch", "manual"):
        assert word in page.text


def test_a_yes_if_says_what_to_do_before_leaving(app, checked) -> None:
    page = app.client.get(checked["spacers.nc"]).text
    assert 'id="before"' in page
    assert "change T1 before you leave" in page.replace("Change", "change")
    assert "nine nights in ten" in page


def test_a_no_names_the_line(app, checked) -> None:
    page = app.client.get(checked["keyway.nc"]).text
    assert "line 35" in page
    assert "waits till somebody comes" in page


@pytest.mark.parametrize("picture", ["path", "strip"])
@pytest.mark.parametrize("look", ["wide", "wide-dark", "narrow", "narrow-dark"])
def test_pictures_are_there_in_every_look(app, checked, picture: str, look: str) -> None:
    drawn = app.client.get(f"{checked['keyway.nc']}/{picture}/{look}.svg")
    assert drawn.headers["content-type"] == "image/svg+xml"
    ElementTree.fromstring(drawn.text)


def test_the_sheet_is_a_pdf(app, checked) -> None:
    pdf = app.client.get(f"{checked['spacers.nc']}/leaving-sheet.pdf")
    assert pdf.content.startswith(b"%PDF")


def test_what_was_handed_in_can_be_picked_again(app, checked) -> None:
    form = app.client.get("/leave").text
    number = re.search(r'<option value="(\d+)">spacers.nc', form)
    assert number is not None
    again = done(app, hand_in(app, b"", "", kept=number[1]))
    assert again.startswith("/leave/")
    assert again != checked["spacers.nc"]


def test_a_check_that_waits_can_be_stopped_and_nothing_is_written_down(app, programs: Path) -> None:
    before = app.client.get("/leave").text.count("/leave/")
    long = b"G21 G90 G54\nT1 M6\n#1=0\nWHILE [#1 LT 400000] DO1\n#1=#1+1\nG1 X[#1 MOD 7] F100\nEND1\nM30\n"
    waits = hand_in(app, long, "long.nc", machine="mill").headers["location"]
    assert app.client.post(f"{waits}/stop", data={"guard": app.guard}).status_code == 303
    app.client.get(f"{waits}/watch")
    assert "Stopped" in app.client.get(waits).text
    assert app.client.get("/leave").text.count("/leave/") == before


@pytest.mark.parametrize(
    ("data", "words", "said"),
    [
        (b"", {}, "empty"),
        (b"\x00\x01\x02" * 400, {}, "thing.nc"),
        (b"G21\nM30\n", {"machine": "planer"}, "planer"),
        (b"G21\nM30\n", {"blank": "a lump"}, "no blank"),
    ],
)
def test_what_cannot_be_judged_is_said_on_the_form(app, data: bytes, words: dict[str, str], said: str) -> None:
    answer = hand_in(app, data, "thing.nc", **words)
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert said in answer.text


def test_a_form_without_its_token_does_nothing(app, programs: Path) -> None:
    data = (programs / "spacers.nc").read_bytes()
    assert hand_in(app, data, "spacers.nc", guard="other").status_code == 403
    assert app.client.post("/leave/1/release", data={"by": "ambra", "guard": "other"}).status_code == 403


@pytest.mark.parametrize("address", ["/leave/99999", "/leave/99999999999999999999", "/leave/99999/path/wide.svg",
                                     "/leave/99999/leaving-sheet.pdf"])  # fmt: skip
def test_a_check_that_is_not_there_is_said(app, address: str) -> None:
    assert app.client.get(address).status_code == 404


def test_it_is_handed_over_once_the_folder_is_there_and_the_page_says_by_whom(app, checked) -> None:
    address = checked["shaft-side-1.nc"]
    send = {"guard": app.guard, "by": "ambra"}
    refused = app.client.post(f"{address}/release", data=send)
    assert refused.status_code == 422
    assert "cannot be put there" in refused.text
    folder = app.folder / "to-the-lathe"
    folder.mkdir()
    assert app.client.post(f"{address}/release", data=send).status_code == 303
    assert (folder / "shaft-side-1.nc").exists()
    assert "Last released by Ambra" in app.client.get(address).text


def test_a_no_is_not_handed_over_unless_somebody_stays(app, checked) -> None:
    (app.folder / "to-the-mill").mkdir()
    address = checked["keyway.nc"]
    assert app.client.post(f"{address}/release", data={"guard": app.guard, "by": "ines"}).status_code == 422
    stays = {"guard": app.guard, "by": "ines", "attended": "on"}
    assert app.client.post(f"{address}/release", data=stays).status_code == 303


def test_an_edge_written_down_teaches_the_answer(app, checked) -> None:
    address = checked["spacers.nc"]
    send = {"guard": app.guard, "tool": "9", "had_cut": "3 min", "how": "failed", "by": "ines"}
    before = app.client.get(address).text
    for _ in range(4):
        assert app.client.post(f"{address}/edges", data=send).status_code == 303
    assert odds_of(app.client.get(address).text, "T9") < odds_of(before, "T9")
    wrong = app.client.post(f"{address}/edges", data={**send, "had_cut": "a while"})
    assert wrong.status_code == 422
    assert 'role="alert"' in wrong.text


def odds_of(page: str, tool: str) -> int:
    row = re.search(rf'<th scope="row">{tool}</th>.*?lasts">(\d+) in 10', page, re.S)
    assert row is not None
    return int(row[1])
