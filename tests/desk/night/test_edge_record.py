"""Edges written down: kept as told, corrected like every entry, and learned from."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from steadyrest.desk.night.edge_record import ends, ends_in, write_edge, write_edge_in
from steadyrest.program.night.tool_life import EdgeEnd
from steadyrest.store import ledger
from steadyrest.store.opening import open_store
from steadyrest.trouble import BadInput

NOW = datetime(2026, 11, 27, 18, 40, tzinfo=UTC)


@pytest.fixture
def store(tmp_path: Path):
    opened = open_store(tmp_path / "data")
    yield opened
    opened.close()


def write(store, **words):
    said = {"machine": "lathe", "tool": "T4", "had_cut": "25 min", "failed": False, "by": "ines", **words}
    return write_edge(store, **said, now=NOW)


def test_ends_come_back_by_machine_and_tool(store) -> None:
    write(store)
    write(store, tool="9", had_cut="90 s", failed=True)
    write(store, had_cut="20 min", failed=True)
    write(store, machine="mill", tool="t09")
    assert ends(store, "lathe") == {
        4: (EdgeEnd(1500.0, failed=False), EdgeEnd(1200.0, failed=True)),
        9: (EdgeEnd(90.0, failed=True),),
    }
    assert list(ends(store, "mill")) == [9]
    assert ends(store, "planer") == {}


def test_a_corrected_entry_no_longer_counts(store) -> None:
    write(store)
    with store.writing() as session:
        (old,) = ledger.entries(session, None)
        ledger.write_down(
            session, job_id=None, kind="edge not ended", who="ines", happened=NOW, told=NOW, replaces=old.id
        )
    assert ends(store, "lathe") == {}


@pytest.mark.parametrize(
    "wrong", [{"tool": "the drill"}, {"tool": "T0"}, {"had_cut": "a while"}, {"had_cut": "0 s"}, {"had_cut": "25"},
              {"by": " "}],
)  # fmt: skip
def test_what_says_nothing_is_refused_and_not_kept(store, wrong: dict[str, str]) -> None:
    with pytest.raises(BadInput):
        write(store, **wrong)
    assert ends(store, "lathe") == {}


def test_without_a_folder_nothing_was_seen_and_nothing_can_be_written(tmp_path: Path) -> None:
    assert ends_in(None, "lathe") == {}
    assert ends_in(tmp_path / "none", "lathe") == {}
    assert not (tmp_path / "none").exists()
    with pytest.raises(BadInput, match="no data folder"):
        write_edge_in(None, machine="lathe", tool="T4", had_cut="25 min", failed=False, by="ines", now=NOW)
