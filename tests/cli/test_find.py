"""The verb `find`: streams, exit codes, keys; and the index made anew at a person's word."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadyrest.store import rack
from steadyrest.store.opening import open_store
from tests.cli.test_contract import answered, refused
from tests.store import sample
from tests.store.test_found import BODY


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("find") / "data"
    store = open_store(folder)
    with store.writing() as session:
        sample.job(session)
        rack.make(session, "P7", BODY, who="ambra", happened=sample.NOW, told=sample.NOW)
    store.close()
    return folder


def test_what_is_found_is_one_document_and_nothing_is_an_answer(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    document = answered(capsys, "find", "88412", "boat", "--data", data, "--json")
    assert set(document) == {"asked", "groups", "instead", "alone"}
    assert document["alone"] == ["88412"]
    document = answered(capsys, "find", "heat", "88412", "--data", data, "--json", "--only", "pieces")
    (group,) = document["groups"]  # type: ignore[misc]
    assert group["kind"] == "pieces"
    assert group["hits"][0] == {
        "title": "P7: round 36.5 mm 42CrMo4", "address": "/rack/P7",
        "where": [{"what": "heat number", "words": "88412-A"}],
    }  # fmt: skip
    assert answered(capsys, "find", "zzz", "--data", data, "--json")["groups"] == []


def test_an_index_that_was_harmed_is_told_by_verify_and_made_anew(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from steadyrest.store import damage

    store = open_store(data)
    with store.writing() as session:
        session.exec_driver_sql("DELETE FROM found")
    store.close()
    assert all("find --anew" in one.what for one in damage.verify(data))
    assert damage.verify(data)
    assert answered(capsys, "find", "shaft", "--anew", "--data", data, "--json")["groups"]
    assert damage.verify(data) == ()


def test_a_question_without_words_or_folder_is_refused_in_one_line(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "--data" in refused(capsys, "find", "shaft")
    assert "no word" in refused(capsys, "find", "--data", data)
    assert "no kind" in refused(capsys, "find", "shaft", "--only", "boats", "--data", data)
