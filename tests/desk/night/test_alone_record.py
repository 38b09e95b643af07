"""Runs alone written down: counted by machine, and fewer good parts are expected where it often stopped."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from steadyrest.desk.night.alone_record import stops_seen, stops_seen_in, write_alone, write_alone_in
from steadyrest.store.opening import open_store
from steadyrest.trouble import BadInput

NOW = datetime(2026, 11, 27, 7, 10, tzinfo=UTC)


def test_stops_and_hours_are_counted_by_machine(tmp_path: Path) -> None:
    store = open_store(tmp_path / "data")
    write_alone(store, machine="lathe", ran="9 h", stopped=False, by="ines", now=NOW)
    write_alone(store, machine="lathe", ran="90 min", stopped=True, by="ines", now=NOW)
    write_alone(store, machine="mill", ran="2 h", stopped=True, by="ines", now=NOW)
    assert stops_seen(store, "lathe") == (1.0, 10.5)
    assert stops_seen(store, "mill") == (1.0, 2.0)
    assert stops_seen(store, "saw") == (0.0, 0.0)
    store.close()
    assert stops_seen_in(tmp_path / "data", "lathe") == (1.0, 10.5)
    assert stops_seen_in(None, "lathe") == stops_seen_in(tmp_path / "nowhere", "lathe") == (0.0, 0.0)


@pytest.mark.parametrize(("words", "where"), [({"ran": "a while"}, "how long"), ({"ran": "0 h"}, "how long"),
                                              ({"by": " "}, "by")])  # fmt: skip
def test_what_says_nothing_is_refused(tmp_path: Path, words: dict[str, str], where: str) -> None:
    said = {"machine": "lathe", "ran": "9 h", "by": "ines", **words}
    with pytest.raises(BadInput, match=where):
        write_alone_in(tmp_path / "data", **said, stopped=False, now=NOW)
    with pytest.raises(BadInput, match="--data"):
        write_alone_in(None, **said, stopped=False, now=NOW)
