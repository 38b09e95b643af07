"""Tax line by line, to the cent: the owner's word on a line holds from then on, and no invoice changes after it."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest

from steadyrest.desk.accounts import charging, taxed_lines
from steadyrest.desk.accounts.money_export import money_csv
from steadyrest.desk.accounts.work_record import work_record, write_spent
from steadyrest.desk.incoming import their_parts
from steadyrest.desk.incoming.receipt import receipt_paper
from steadyrest.trouble import BadInput
from tests.desk.accounts.test_work_record import at, job, place, tell  # noqa: F401  fixtures
from tests.papers.test_papers import told

NOW = at(28, 2)


@pytest.fixture
def worked(place, job):  # noqa: F811  the fixtures of the work record
    """Two hours at 68.00, and key steel at 7.00 plus a tenth; tax of a fifth is owed on goods."""
    tell(place, "start", "ines", at(26, 8), job)
    tell(place, "stop", "ines", at(26, 10))
    write_spent(
        place.store, place.said.shop, job, what="key steel", cost="7.00", distance="", taxable=True, by="jorun",
        at=None, now=at(27, 1),
    )  # fmt: skip
    return place, job


def say(place, job, which, *, taxed, touch=""):  # noqa: F811
    taxed_lines.say(place.store, place.said.shop, job, which, taxed=taxed, who="ambra", now=NOW, touch=touch)
    return work_record(place.store, place.said, job, now=NOW)


def test_tax_is_what_is_reckoned_by_hand_whatever_the_owner_says_of_each_line(worked):
    place, job = worked  # noqa: F811
    record = work_record(place.store, place.said, job, now=NOW)
    goods = next(one.which for one in record.taxed if one.says == "key steel")
    # 7.70 of goods: 1.54. With the hours, 136.00 more: 28.74. The hours alone: 27.20. Neither: nothing.
    assert record.statement.tax == Decimal("1.54")
    assert say(place, job, "labour", taxed=True).statement.tax == Decimal("28.74")
    without = say(place, job, goods, taxed=False, touch="touch-taxed-1")
    assert without.statement.tax == Decimal("27.20")
    assert [(line.kind, line.taxable) for line in without.statement.lines] == [("labour", True), ("goods", False)]
    assert say(place, job, "labour", taxed=False).statement.tax == Decimal("0.00")
    assert without.statement.total - without.statement.tax == record.statement.total - record.statement.tax


def test_an_invoice_keeps_what_held_and_its_list_says_line_by_line(worked):
    place, job = worked  # noqa: F811
    say(place, job, "labour", taxed=True)
    one, _ = charging.issue_invoice(place.store, place.said, job, by="ambra", by_hours=True, now=NOW)
    say(place, job, "labour", taxed=False)
    rows = list(csv.DictReader(io.StringIO(money_csv(place.store, place.said))))
    assert [(row["what"], row["charged"], row["taxable"]) for row in rows] == [
        ("Ines, 2026-11-26", "136.00", "yes"), ("key steel", "7.70", "yes"), ("tax", "28.74", ""),
    ]  # fmt: skip
    assert one.content.tax == Decimal("28.74")


def test_no_line_but_those_there_are_can_be_named(worked):
    place, job = worked  # noqa: F811
    with pytest.raises(BadInput, match="is no line of it"):
        say(place, job, "999999", taxed=True)
    with pytest.raises(BadInput, match="does not work here"):
        taxed_lines.say(place.store, place.said.shop, job, "labour", taxed=True, who="nobody", now=NOW)


def test_what_was_left_with_us_stands_on_receipt_and_record_as_it_came_and_that_it_went_back(worked, tmp_path):
    place, job = worked  # noqa: F811
    words = {"what": "gear, 31 teeth", "count": "2", "weight": "4.5 kg", "damage": "one tooth gone"}
    shop, store = place.said.shop, place.store
    with pytest.raises(BadInput, match="nothing of the customer's"):
        receipt_paper(store, shop, job, now=NOW)
    their_parts.take_in(store, shop, job, words, b"", who="ines", now=at(27, 1))
    for pdf in (receipt_paper(store, shop, job, now=NOW), charging.record_paper(store, place.said, job, now=NOW)):
        said = told("pdftotext", pdf, tmp_path)
        assert all(word in said for word in ("2 × gear, 31 teeth", "4.5 kg", "one tooth gone", "not yet"))
    (one,) = work_record(store, place.said, job, now=NOW).theirs
    their_parts.give_back(store, job, str(one.entry), who="ines", now=NOW)
    assert "not yet" not in told("pdftotext", receipt_paper(store, shop, job, now=NOW), tmp_path)
