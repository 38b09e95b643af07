"""The week at hand: counted when something it hangs on was told, never waited for because time passed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from steadyrest.desk.week import week_now
from steadyrest.desk.week.week_now import FRESH, STALE, WeekNow, WeekShelf
from steadyrest.trouble import BadInput

NOW = datetime(2026, 11, 30, 9, 0, tzinfo=UTC)


class Counts:
    """A folder whose rows and shop are as told, and how often its week was counted."""

    def __init__(self, told: pytest.MonkeyPatch) -> None:
        self.rows, self.shop, self.counted = 1, "as it stood", 0
        self.shelf = WeekShelf()
        told.setattr(week_now, "_rows_of", lambda _said, _store: (Path(), 0, self.rows))
        told.setattr(week_now, "as_it_stands", lambda *_, **_now: SimpleNamespace(shop=self.shop))
        told.setattr(week_now, "programs_used", lambda _store: ())
        told.setattr(week_now, "week_now", self.count)
        told.setattr(week_now.threading, "Thread", AtOnce)

    def count(self, shop: Any, *, now: datetime) -> WeekNow:
        self.counted += 1
        return WeekNow(shop, now, None)

    def asked(self, after: timedelta) -> WeekNow:
        nothing: Any = None
        return self.shelf.week(nothing, nothing, now=NOW + after)


class AtOnce:
    """A thread that has done its work when it is started."""

    def __init__(self, *, target: Any, args: tuple[Any, ...], **_daemon: bool) -> None:
        self.work = lambda: target(*args)

    def start(self) -> None:
        self.work()


@pytest.fixture
def of(monkeypatch: pytest.MonkeyPatch) -> Counts:
    return Counts(monkeypatch)


def test_a_week_of_which_nothing_was_told_is_not_counted_again_while_fresh(of: Counts) -> None:
    first = of.asked(timedelta(0))
    assert of.asked(FRESH - timedelta(minutes=1)) is first
    assert of.counted == 1


def test_one_that_is_fresh_no_more_is_shown_and_counted_beside(of: Counts) -> None:
    first = of.asked(timedelta(0))
    assert of.asked(FRESH) is first, "nobody waits"
    assert of.counted == 2
    assert of.asked(FRESH).now == NOW + FRESH


def test_a_stale_one_is_waited_for(of: Counts) -> None:
    of.asked(timedelta(0))
    assert of.asked(STALE).now == NOW + STALE


def test_a_row_that_the_week_hangs_on_is_counted_at_once_and_another_is_not(of: Counts) -> None:
    of.asked(timedelta(0))
    of.rows = 2
    assert of.asked(timedelta(minutes=1)).now == NOW
    of.rows, of.shop = 3, "one job more"
    assert of.asked(timedelta(minutes=1)).shop == "one job more"
    assert of.counted == 2


def test_a_clock_set_back_is_not_answered_from_the_future(of: Counts) -> None:
    of.asked(timedelta(0))
    assert of.asked(-timedelta(minutes=3)).now == NOW - timedelta(minutes=3)


def test_a_count_beside_that_goes_wrong_is_logged_said_and_counted_again_by_the_next_request(
    of: Counts, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def wrong(_shop: Any, *, now: datetime) -> WeekNow:
        raise BadInput(where="shop.toml", what=f"no hours at {now:%H:%M}.", do="Give some.")

    first = of.asked(timedelta(0))
    with monkeypatch.context() as broken:
        broken.setattr(week_now, "week_now", wrong)
        assert of.asked(FRESH) is first, "the one who starts a count beside does not wait for it"
        assert "the week cannot be counted anew" in caplog.text
        shown = of.asked(FRESH + timedelta(minutes=1))
        assert (shown.now, shown.trouble) == (first.now, "shop.toml: no hours at 09:06. Give some.")
        with pytest.raises(BadInput):
            of.asked(STALE)
    assert of.counted == 1
    again = of.asked(FRESH + timedelta(minutes=2))
    assert (again.now, again.trouble, of.counted) == (NOW + FRESH + timedelta(minutes=2), "", 2)
    assert of.asked(FRESH + timedelta(minutes=3)) is again
