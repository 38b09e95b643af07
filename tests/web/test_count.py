"""Stocktake and labels at the screen: compared first, written when that is said, printed on the sheet chosen."""

from __future__ import annotations

from tests.web.conftest import Open
from tests.web.test_rack import come, send, text


def test_a_place_is_compared_first_and_the_book_set_right_when_that_is_said(app: Open) -> None:
    mine, gone = (come(app, place="bay 7", size="41", length="800").rsplit("/", 1)[1] for _ in range(2))
    other = come(app, place="bay 8", size="41", length="500").rsplit("/", 1)[1]
    assert f"{mine}: round 41 mm, 800 mm, C45" in text(app, "/count?place=bay+7")
    said = {"place": "bay 7", "seen": mine, f"length {mine}": "790", "others": f"{other}\nX9", "what": "compare"}
    page = " ".join(send(app, "/count", **said).text.split())
    for line in (f"{gone} was not seen", f"{other} lies here; the book has it at bay 8", "X9 is in no book",
                 f"{mine} is 790 mm long; the book has 800 mm"):  # fmt: skip
        assert line in page, line
    assert "counted" not in text(app, f"/rack/{mine}")
    assert "The book is set right" in send(app, "/count", **said | {"what": "write"}).text
    assert "counted" in text(app, f"/rack/{mine}")
    assert "not found when counted" in text(app, f"/rack/{gone}")
    assert send(app, "/count", place="bay 7", others=f"{mine}={mine}").status_code == 422


def test_labels_are_printed_on_the_sheet_chosen_and_what_cannot_be_is_told(app: Open) -> None:
    label = come(app, place="bay 9").rsplit("/", 1)[1]
    assert app.client.get(f"/labels?print=yes&sheet=99x38&skip=3&labels={label}").content.startswith(b"%PDF-")
    for wrong in ("sheet=none", "skip=-1", "skip=999", "labels=nothing", "place=nowhere"):
        assert app.client.get(f"/labels?print=yes&{wrong}").status_code == 422, wrong
