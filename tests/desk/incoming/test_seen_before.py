"""A part that comes back is found with what it took and cost; what is saved may be damaged and is made anew."""

from __future__ import annotations

from datetime import timedelta

import pytest

from steadyrest.desk.incoming import seen_before
from steadyrest.desk.incoming.seen_before import KEPT_AS, Likenesses
from steadyrest.desk.place import open_place
from tests.stations import parts
from tests.web.workshop import NOW, planned, shaft, worded


def test_the_same_part_is_found_again_and_another_is_not(tmp_path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(seen_before, "SAVE_AFTER", 1)
    place = open_place(tmp_path / "data", None)
    due = NOW + timedelta(days=9)
    first = planned(place, shaft(), "winch shaft", due=due)
    planned(place, worded(parts.turned([(60, 12, None), (75, 90, None)])), "hub", due=due)
    again = planned(place, shaft(), "winch shaft, broken again", due=due)
    shelf = Likenesses()
    found = seen_before.seen_before(place.store, shelf, again, now=NOW)
    assert [one.number for one in found] == [first]
    assert found[0].score > seen_before.SAME
    assert found[0].price
    assert found[0].planned_s > 0
    assert seen_before.seen_before(place.store, shelf, 9999, now=NOW) == ()
    (tmp_path / "data" / KEPT_AS).write_bytes(b"half an archive")
    assert seen_before.seen_before(place.store, Likenesses(), again, now=NOW) == found
    saved = Likenesses()
    by_saved = seen_before.seen_before(place.store, saved, again, now=NOW)
    assert [one.number for one in by_saved] == [first]
    assert by_saved[0].score == pytest.approx(found[0].score, abs=0.002)  # saved with half the digits
    assert len(saved.parts) == 3
    place.close()
