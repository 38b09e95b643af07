"""A few days of the month with kill -9: from the call to the paid invoice, nothing lost that was answered for."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.month import begun

pytestmark = pytest.mark.browser
DAYS = 4
# Right after the file is taken in (it is read after the start again), and while a form is on its way. At random, and a
# whole month of it: month.py at the command line.
KILLS = {0: "after", 8: "amid"}


def test_from_the_call_to_the_paid_invoice_nothing_answered_for_is_lost(phone: Page, tmp_path: Path) -> None:
    with begun(tmp_path, phone, seed=5, planned=KILLS) as month:
        for number in range(DAYS):
            month.day(number, calls=number == 0)
        assert month.looked_at() == []
        assert month.jobs[0].done == ["promised", "ready", "delivered", "invoiced", "paid"]
        assert month.kills == {"before": 0, "amid": 1, "after": 1}
        assert month.server.starts == sum(month.kills.values()) + 1
