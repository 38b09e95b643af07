"""A no that goes out says why as far as it concerns the customer, and nothing else."""

from __future__ import annotations

import re

import pytest

from steadyrest.decide.refusal import ASKED_OF_THEM, refusal
from steadyrest.decide.take import Take
from steadyrest.shop.figure import Reason, because
from steadyrest.wording.say import say
from steadyrest.wording.say import words as words_of


def no(*why: Reason, nearest: Reason | None = None) -> Take:
    return Take("no", why, (), nearest, ())


def words(take: Take, what: str = "the winch shaft") -> str:
    return " ".join(say(one) for one in refusal(take, what=what, due="Sat 28 Nov 18:00", shop="The Shop"))


GONE = because("take.gone", due="Sat 28 Nov 18:00", kept_odds=0.1, wanted_odds=0.9)
OTHER = because("promise.other_worse", job="214", before_odds=0.9, after_odds=0.1, late_money=500.0)


def test_a_time_that_cannot_be_promised_offers_the_one_that_can() -> None:
    later = because("take.move_due", when="Tue 1 Dec 12:00", wanted_odds=0.9)
    said = words(no(GONE, OTHER, nearest=later))
    assert "Tue 1 Dec 12:00" in said
    assert "Sat 28 Nov 18:00" in said
    for secret in ("214", "500", "in 10"):
        assert secret not in said


def test_the_time_that_can_be_promised_goes_out_with_until_when_it_may_be_taken() -> None:
    later = because("take.move_due", when="Tue 1 Dec 12:00", wanted_odds=0.9)
    (_, _, offered, _) = refusal(no(GONE, nearest=later), what="", due="", shop="", until="Mon 30 Nov 08:00")
    assert "Mon 30 Nov 08:00" in say(offered)


@pytest.mark.parametrize("key", sorted(ASKED_OF_THEM))
def test_a_nearest_yes_that_is_the_customer_s_to_give_goes_out_in_words_of_the_letter(key: str) -> None:
    given = {"feature": "F7", "thick_mm": 12.0, "diameter_mm": 6.0, "width_mm": 3.0, "need_mm": 4.5, "lapped_um": 0.1,
             "way": "hardening", "count": 5.0}  # fmt: skip
    gaps = {name: given[name] for name in re.findall(r"{(\w+)", words_of()[ASKED_OF_THEM[key]]) if name in given}
    said = words(no(because("take.no_route"), nearest=because(key, **gaps)))
    assert "another shop" not in said.lower()
    assert "{" not in said
    assert re.search(r"\bif\b", said, re.IGNORECASE)


def test_a_tool_that_we_would_have_to_buy_does_not_go_out() -> None:
    nearest = because("mill.buy_size", kind="drill", diameter_mm=7.0, depth_mm=60.0)
    said = words(no(because("take.no_route"), nearest=nearest))
    assert "another shop" in said.lower()
    assert "drill" not in said


def test_a_part_that_cannot_be_made_here_is_sent_elsewhere_without_a_word_of_our_limits() -> None:
    said = words(no(because("take.no_route")))
    assert "another shop" in said.lower()
    assert "The Shop" in said


def test_a_time_that_is_past_asks_for_a_new_one() -> None:
    assert "past" in words(no(because("take.due_past", due="a", now="b"), nearest=because("take.later_due")))


def test_a_yes_has_no_words_of_refusal_and_a_job_without_name_is_your_part() -> None:
    assert refusal(Take("yes", (), (), None, ()), what="", due="", shop="") == ()
    assert "your part" in words(no(because("take.no_route")), what="")
