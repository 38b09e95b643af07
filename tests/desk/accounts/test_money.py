"""Money owed: told twice it counts once, a wrong entry is struck, credit speaks in the decision, papers add up."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
from datetime import datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from steadyrest.decide.credit import Credit, with_credit
from steadyrest.decide.take import Take
from steadyrest.desk.accounts import charging, credit, customer_story, customers, money, reminding
from steadyrest.desk.accounts.money_export import inert, money_csv
from steadyrest.desk.accounts.owed import book, owes, stands
from steadyrest.desk.accounts.work_record import work_record
from steadyrest.desk.floor import clock
from steadyrest.desk.floor.clock import Said
from steadyrest.desk.place import open_place
from steadyrest.desk.which_shop import OWN
from steadyrest.shop.figure import because
from steadyrest.store import jobs, ledger, payments
from steadyrest.store.customers import entries
from steadyrest.trouble import BadInput

VIENNA = ZoneInfo("Europe/Vienna")
FERRY, MILL = "the ferry office", "the old mill"
BILLING = '\n[billing]\npay_words = "Account 00."\n[billing.tax]\nrate = "0.20"\non = "all"\n'


def at(day, hour=12, minute=0):
    return datetime(2026, 11, day, hour, minute, tzinfo=VIENNA)


NOW = at(30, 18)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A data folder with invoice 1 of the ferry office, of 2 November: two hours at 68.00, a fifth of tax, 163.20."""
    folder = tmp_path_factory.mktemp("money") / "data"
    open_place(folder, None).close()
    own = folder / OWN
    own.write_text(own.read_text() + BILLING)
    place = open_place(folder, None)
    job = opened(place, FERRY)
    for kind, moment in (("start", at(2, 8)), ("stop", at(2, 10))):
        clock.tell(place.store, place.said.shop, Said(kind, "ines", job=job, at=moment), now=moment)
    charging.issue_invoice(place.store, place.said, job, by="ambra", by_hours=True, now=at(2, 12))
    place.close()
    return folder


@pytest.fixture(scope="module")
def untouched(made, tmp_path_factory):
    """The same, for tests after which nothing is written."""
    folder = tmp_path_factory.mktemp("untouched") / "data"
    shutil.copytree(made, folder)
    found = open_place(folder, None)
    yield found
    found.close()


@pytest.fixture
def place(made, tmp_path):
    shutil.copytree(made, tmp_path / "data")
    found = open_place(tmp_path / "data", None)
    yield found
    found.close()


def opened(place, customer):
    with place.store.writing() as session:
        return jobs.open_job(session, customer=customer, what="winch", due=at(30), charging="hours", now=at(1)).number


def tell(place, kind, words, who=FERRY, **more):
    return customers.tell(place.store, place.said, who, customers.Told(kind, words, "ambra", **more), now=at(3))


def write(place, kind, **more):
    return money.write(place.store, place.said, money.Said(kind, "ambra", **more), now=NOW)


def owed(place, who=FERRY):
    with place.store.reading() as session:
        return owes(session, place.said, customers.find(session, who), day=customers.today(place.said, NOW))


def test_a_payment_sent_twice_counts_once_by_its_touch_and_by_its_reference(place):
    first = write(place, "received", invoice=1, amount="60", touch="touch-of-a-payment")
    assert write(place, "received", invoice=1, amount="60", touch="touch-of-a-payment") == first
    second = write(place, "received", invoice=1, amount="3.20", reference="AB 7")
    assert write(place, "received", invoice=1, amount="3.20", reference="AB 7") == second
    with pytest.raises(BadInput, match="was written down before"):
        write(place, "received", invoice=1, amount="4", reference="AB 7")
    assert owed(place).account.owed == Decimal("100.00")


def test_what_is_too_much_is_held_can_be_set_off_and_given_back_but_never_twice(place):
    write(place, "received", invoice=1, amount="200")
    account = owed(place).account
    assert (account.owed, account.held) == (0, Decimal("36.80"))
    with pytest.raises(BadInput, match=r"only 36\.80 EUR is held"):
        write(place, "given back", customer=FERRY, amount="36.81")
    write(place, "given back", customer=FERRY)
    assert owed(place).account.held == 0
    with pytest.raises(BadInput, match="nothing is held"):
        write(place, "given back", customer=FERRY)
    with pytest.raises(BadInput, match="set off or given back since"):
        money.strike(place.store, place.said, 1, by="ambra", words="wrong", now=NOW)
    assert owed(place).account.held == 0  # nothing was half done


def test_an_entry_is_struck_by_another_and_both_stay(place):
    (one,) = write(place, "received", invoice=1)
    assert owed(place).account.owed == 0
    money.strike(place.store, place.said, one.id, by="ambra", words="another customer's", now=NOW)
    assert owed(place).account.owed == Decimal("163.20")
    with pytest.raises(BadInput, match="struck already"):
        money.strike(place.store, place.said, one.id, by="ambra", words="again", now=NOW)
    with place.store.reading() as session:
        assert [each.kind for each in payments.entries(session)] == ["received", "struck"]


def test_a_delivered_job_is_paid_when_nothing_is_open_and_not_after_all_when_that_was_wrong(place):
    def state():
        with place.store.reading() as session:
            return ledger.job_state(ledger.entries(session, jobs.job(session, 101).id))

    with place.store.writing() as session:
        job = jobs.job(session, 101)
        ledger.write_down(session, job_id=job.id, kind="delivered", who="ambra", happened=at(3), told=at(3))
    (one,) = write(place, "received", invoice=1)
    assert state() == "paid"
    money.strike(place.store, place.said, one.id, by="ambra", words="not ours", now=NOW)
    assert state() == "delivered"


def test_paid_early_the_discount_goes_with_it_and_a_deposit_stands_on_the_invoice(place, tmp_path):
    tell(place, "terms", {"days": "30", "discount": "2.5", "discount_days": "10", "deposit": "25"}, who=FERRY)
    job = opened(place, FERRY)
    for kind, moment in (("start", at(26, 8)), ("stop", at(26, 10))):
        clock.tell(place.store, place.said.shop, Said(kind, "ines", job=job, at=moment), now=moment)
    write(place, "deposit asked", job=job, amount="40", due="2026-11-29")
    write(place, "received", job=job, amount="40")
    two, pdf = charging.issue_invoice(place.store, place.said, job, by="ambra", by_hours=True, now=NOW)
    assert (two.number, two.due.isoformat(), two.discount) == (2, "2026-12-30", Decimal("4.08"))
    assert two.content.total == two.total == Decimal("163.20")
    if shutil.which("pdftotext"):
        (tmp_path / "two.pdf").write_bytes(pdf)
        said = subprocess.run(["pdftotext", "-layout", str(tmp_path / "two.pdf"), "-"], capture_output=True, text=True)
        text = " ".join(said.stdout.split())
        for words in ("Invoice 2", "deposit received -40.00", "to pay by Wed 30 Dec 2026 123.20 EUR", "Account 00.",
                      "Paid by Thu 10 Dec 2026, 4.08 EUR less is owed"):  # fmt: skip
            assert words in text
    came = write(place, "received", invoice=2, amount="119.12")
    assert [(one.kind, one.amount) for one in came] == [("received", Decimal("119.12")), ("discount", Decimal("4.08"))]
    assert stands(owed(place), 2).open == 0


def test_a_credit_note_takes_back_no_more_than_was_charged_and_its_paper_is_kept(place):
    with pytest.raises(BadInput, match="not said why"):
        write(place, "credit note", invoice=1, amount="10")
    (one,) = write(place, "credit note", invoice=1, amount="63.20", words="scratched")
    assert (one.number, place.store.files.read(one.sha256)[:5]) == (1, b"%PDF-")
    with pytest.raises(BadInput, match=r"more than the 100\.00"):
        write(place, "credit note", invoice=1, amount="100.01", words="more")
    write(place, "written off", invoice=1, words="moved away")
    assert owed(place).account.owed == 0
    found = book(place.store, place.said, now=NOW)
    assert (found.owed, found.losses[1].seen) == (0, 1)  # it was late by 14 days when it ended


@pytest.mark.parametrize(
    ("kind", "more", "why"),
    [
        ("received", {"invoice": 9}, "no such invoice"), ("received", {}, "say where it goes"),
        ("received", {"invoice": 1, "job": 101}, "say where it goes"), ("received", {"job": 999}, "no such job"),
        ("received", {"customer": "nobody"}, "no such customer"), ("received", {"invoice": 1, "amount": "-5"}, "neg"),
        ("received", {"invoice": 1, "amount": "0"}, "no amount"),
        ("received", {"invoice": 1, "amount": "1.005"}, "cent"),
        ("received", {"invoice": 1, "on": "2026-12-01"}, "still to come"), ("struck", {"invoice": 1}, "is none"),
        ("received", {"invoice": 1, "on": "today"}, "is no day"),
        ("written off", {"invoice": 1, "amount": "164"}, "more"),
        ("deposit asked", {"job": 101}, "Say the amount"), ("set off", {"invoice": 1}, "nothing is held"),
        ("received", {"invoice": 1, "how": "shells"}, "is none"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_one_line_and_nothing_is_written(untouched, kind, more, why):
    with pytest.raises(BadInput) as refused:
        write(untouched, kind, **more)
    assert why in refused.value.line()
    with untouched.store.reading() as session:
        assert payments.entries(session) == ()


def test_an_agreed_rounding_and_a_certificate_count_from_the_book_and_are_printed(place):
    tell(place, "rounding", {"unit_h": "0.5", "mode": "up", "per": "day"})
    tell(place, "certificate", {"number": "TC 7", "until": "2026-11-10"}, file=("tc.pdf", b"%PDF-1.4"))
    tell(place, "tax words", {"words": "Spared by TC 7."})
    early, later = (work_record(place.store, place.said, 101, now=now) for now in (at(10), at(11)))
    assert early.rounding == "hours rounded up to 0.5 h, each person's day"
    assert (early.statement.spared, early.statement.tax) == (True, 0)
    assert (later.statement.spared, later.statement.tax) == (False, Decimal("27.20"))
    paper = charging.paper_of(early, lambda _: b"", kind="Invoice", said_as="")
    assert {"Spared by TC 7.", f"Counted: {early.rounding}."} <= set(paper.footing)
    tell(place, "certificate", {"number": "tc 7", "until": "2026-11-10", "gone": "yes"})
    assert not work_record(place.store, place.said, 101, now=at(10)).statement.spared


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("contact", {"name": ""}), ("contact", {"name": "x", "mail": "no mail"}), ("terms", {"days": "-1"}),
        ("terms", {"days": "10", "discount": "101"}), ("terms", {"days": "10", "discount": "2"}),
        ("rounding", {"unit_h": "0.3"}), ("certificate", {"number": "1", "until": "soon"}),
        ("limit", {"amount": "lots"}),
        ("note", {"words": "x" * 2001}), ("address", {"lines": "\n".join("abcdefghi")}), ("reminded", {"words": "x"}),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_of_a_customer_is_refused(untouched, kind, words):
    with pytest.raises(BadInput):
        tell(untouched, kind, words)
    with untouched.store.reading() as session:
        assert entries(session) == ()


def test_a_certificate_that_is_no_paper_is_refused(untouched):
    with pytest.raises(BadInput, match="neither a PDF nor a photo"):
        tell(untouched, "certificate", {"number": "1", "until": "2026-12-31"}, file=("x.pdf", b"<script>"))


# ---- the decision ------------------------------------------------------------------------------------------------


YES = Take("yes", (because("take.no_route"),), (), None, ())


@pytest.mark.parametrize(
    ("limit", "deposit", "answer", "sum_first"),
    [(None, "0", "yes", None), ("1000", "0", "yes", None), ("999.99", "0", "yes if", 0.01),
     ("500", "0", "yes if", 500.0), (None, "0.25", "yes if", 100.0), ("900", "0.5", "yes if", 200.0),
     ("500", "0.5", "yes if", 500.0)],
)  # fmt: skip
def test_over_the_credit_a_yes_becomes_a_yes_if_with_the_sum_that_is_paid_first(limit, deposit, answer, sum_first):
    # 350 owed, 250 taken, and a job of 400: together 1000.
    had = Credit(
        FERRY, Decimal(350), Decimal(100), 40, Decimal(250), Decimal(limit) if limit else None, Decimal(deposit)
    )
    found = with_credit(YES, had, Decimal(400))
    assert found.answer == answer
    sums = [value for reason in found.ifs for name, value in reason.given if name in ("over_money", "deposit_money")]
    assert sums == ([] if sum_first is None else [sum_first])
    assert with_credit(Take("no", YES.why, (), None, ()), had, Decimal(400)).answer == "no"


def test_what_the_decision_takes_is_what_the_book_says(place):
    tell(place, "limit", {"amount": "500"})
    write(place, "received", customer=FERRY, amount="20")
    with place.store.reading() as session:
        found = credit.credit(session, place.said, FERRY, now=NOW)
    assert found == Credit(
        FERRY, Decimal("143.20"), Decimal("163.20"), 14, Decimal(0), Decimal("500.00"), Decimal(0)
    )  # fmt: skip


# ---- reminders, the accountant's list ----------------------------------------------------------------------------


def test_a_reminder_grows_firmer_each_time_it_was_sent_and_is_kept(place):
    said = []
    for _ in range(3):
        said.append(reminding.remind(place.store, place.said, FERRY, now=NOW).text)
        reminding.sent(place.store, place.said, FERRY, by="ambra", now=NOW)
    assert all("163.20 EUR" in text and "14 days late" in text and "Account 00." in text for text in said)
    assert ["slipped through" in said[0], "we wrote before" in said[1].lower(), "2 times" in said[2]] == [True] * 3
    about = owed(place).about
    assert [one.invoices for one in about.reminded] == [(1,)] * 3
    assert place.store.files.read(about.reminded[0].file_sha256)[:5] == b"%PDF-"
    write(place, "received", invoice=1)
    with pytest.raises(BadInput, match="nothing is late"):
        reminding.sent(place.store, place.said, FERRY, by="ambra", now=NOW)


@settings(max_examples=50)
@given(st.text(max_size=12))
@example("=1+1")
@example("\t=1")
@example(" @x")
@example("'=1")
def test_no_cell_begins_as_a_formula_does_and_nothing_else_is_changed(text):
    found = inert(text)
    assert not found.lstrip(" \u00a0").startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert found in (text.replace("\x00", ""), "'" + text.replace("\x00", ""))


def test_the_accountants_list_adds_up_to_what_is_owed_and_a_formula_in_a_name_stays_words(place):
    evil = '=HYPERLINK("x")'
    customers.make(place.store, evil)
    write(place, "received", customer=evil, amount="12.34", words="-2+3")
    write(place, "received", invoice=1, amount="100")
    write(place, "credit note", invoice=1, amount="3.20", words="@home")
    rows = list(csv.DictReader(io.StringIO(money_csv(place.store, place.said))))
    sums = {name: sum(Decimal(row[name]) for row in rows) for name in ("charged", "settled", "given_back")}
    found = book(place.store, place.said, now=NOW)
    assert sums["charged"] + sums["given_back"] - sums["settled"] == found.owed - found.held
    assert {row["customer"] for row in rows} == {FERRY, "'" + evil}
    assert "'-2+3" in {row["what"] for row in rows}
    only = list(csv.DictReader(io.StringIO(money_csv(place.store, place.said, until=at(2).date()))))
    assert [(row["kind"], row["charged"]) for row in only] == [("invoice", "136.00"), ("tax", "27.20")]
    with pytest.raises(BadInput, match="is before"):
        money_csv(place.store, place.said, since=at(3).date(), until=at(2).date())


def test_the_list_of_customers_names_a_certificate_that_runs_out(place):
    tell(place, "certificate", {"number": "1", "until": (NOW + timedelta(days=20)).date().isoformat()})
    (line,) = customer_story.listed(place.store, place.said, now=NOW)
    assert (line.owed, line.late, line.jobs) == (Decimal("163.20"), Decimal("163.20"), 1)
    assert line.runs_out is not None
