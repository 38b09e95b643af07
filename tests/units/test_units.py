"""Reading and showing lengths, times, weights, odds and money.

Outside values: 1 in = 25.4 mm and 1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959).
"""

from __future__ import annotations

import string
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest import units
from steadyrest.trouble import BadInput

laws = settings(deadline=None, max_examples=150)
UNITS = st.sampled_from(["mm", "in"])
TYPED = "0123456789.,/-'\" ½¼⅞′″°µxM#+eE" + string.ascii_letters


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("36.5", 36.5), ("36,5", 36.5), ("36.5 mm", 36.5), ("36.5MM", 36.5), ("2.5cm", 25.0), ("1 m", 1000.0),
        ("25.", 25.0), (".5", 0.5), ("0", 0.0), ("12 µm", 0.012), ("12 um", 0.012), ("5 thou", 0.127),
        ("1.4375 in", 36.5125), ("1-7/16", 36.5125), ("1 7/16\"", 36.5125), ("1-7/16 inches", 36.5125),
        ("3/8\"", 9.525), ("3/8 in", 9.525), ("3 / 8", 9.525), ("17/16", 26.9875), ("½", 12.7), ("1½", 38.1),
        ("1-½ in", 38.1), ("2' 3-1/2\"", 698.5), ("2'-3 1/2\"", 698.5), ("2′ 3½″", 698.5), ("2ft 3in", 685.8),
        ("2' 3", 685.8), ("2'", 609.6), ("2.5 ft", 762.0), ("1–7/16 in", 36.5125), ("1\u00a07/16", 36.5125),
    ],
)  # fmt: skip
def test_a_length_reads_as_it_is_written(text: str, mm: float) -> None:
    assert units.parse_length(text) == pytest.approx(mm, abs=1e-12)


def test_a_plain_number_is_in_the_unit_asked_for() -> None:
    assert units.parse_length("2", "in") == 50.8
    assert units.parse_length("2 mm", "in") == 2.0


def test_a_fraction_without_a_unit_is_inches_and_says_that_none_was_stated() -> None:
    assert units.read_length("7/16", "mm") == units.WrittenLength(11.1125, "in", stated=False)
    assert units.read_length('7/16"', "mm").stated


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("-5", "negative"), ("−5 mm", "negative"), ("5/16-18", "thread"), ("M10x1.5", "thread"), ("10-24", "thread"),
        ("12 ga", "gauge"), ("#7", "gauge"), ("1/0", "zero"), ("1-1/0 in", "zero"), ("nan", "not a length"),
        ("inf", "not a length"), ("1e5", "not a length"), ("1,234,5", "two decimal points"),
        ("1.234,5", "two decimal points"), ("1/2 mm", "other than inches"), ("3 mil", "two different units"),
        ("", "nothing"), ("  ", "nothing"), ("two", "not a length"), ("2' 14\"", "not a length"),
        ("1-17/16", "not a length"), ("1 234", "not a length"), ("5 m 20", "not a length"), ("9" * 70, "too long"),
        ("5000 m", "kilometre"), ("٣", "not a length"), ("1/2/3", "not a length"), ("+5", "not a length"),
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_in_one_line_that_says_why(text: str, word: str) -> None:
    with pytest.raises(BadInput) as refused:
        units.parse_length(text, where="rod, line 4")
    line = refused.value.line()
    assert word in line
    assert line.startswith("rod, line 4: ")
    assert "\n" not in line
    assert refused.value.do


@laws
@given(text=st.text(TYPED, max_size=12) | st.text(max_size=80))
def test_any_text_either_reads_or_is_refused(text: str) -> None:
    for read in (units.parse_length, units.parse_time, units.parse_mass, units.parse_money):
        try:
            value = read(text)
        except BadInput as refused:
            value, line = 0, refused.line()
        else:
            line = ""
        assert 0 <= value < 1e60
        assert "\n" not in line


@laws
@given(mm=st.floats(0, 1e5), unit=UNITS, fractions=st.booleans())
def test_a_length_shown_reads_back_within_its_rounding(mm: float, unit: units.LengthUnit, *, fractions: bool) -> None:
    back = units.parse_length(units.show_length(mm, unit, fractions=fractions))
    assert abs(back - mm) <= (0.0005 if unit == "mm" else 0.00005 * 25.4) * (1 + 1e-6)


@laws
@given(sixty_fourths=st.integers(0, 64 * 300))
def test_every_named_fraction_keeps_its_name(sixty_fourths: int) -> None:
    mm = sixty_fourths / 64 * 25.4
    shown = units.show_length(mm, "in")
    assert "." not in shown
    assert units.parse_length(shown) == pytest.approx(mm, abs=1e-9)
    assert units.nearest_fraction(mm) == (shown, pytest.approx(0.0, abs=1e-9))


@pytest.mark.parametrize(
    ("mm", "metric", "inch"),
    [
        (36.5125, "36.513 mm", "1-7/16 in"), (36.5, "36.5 mm", "1.437 in"), (25.4 * 1.438, "36.525 mm", "1.438 in"),
        (25.4, "25.4 mm", "1 in"), (0.0, "0 mm", "0 in"), (-0.0001, "0 mm", "0 in"), (-12.7, "-12.7 mm", "-1/2 in"),
        (1000.0, "1000 mm", "39.3701 in"), (0.396875, "0.397 mm", "1/64 in"),
    ],
)  # fmt: skip
def test_a_length_shows_in_the_readers_unit(mm: float, metric: str, inch: str) -> None:
    assert units.show_length(mm) == metric
    assert units.show_length(mm, "in") == inch


def test_a_metric_size_never_passes_for_the_fraction_beside_it() -> None:
    assert units.show_length(36.5, "in") != units.show_length(36.5125, "in")
    assert units.show_fraction_with_error(36.5) == "1-7/16 in less 0.012 mm"
    assert units.show_fraction_with_error(36.6) == "1-7/16 in plus 0.088 mm"
    assert units.show_fraction_with_error(36.5125) == "1-7/16 in"


@laws
@given(mm=st.floats(-3000, 3000), bottom=st.sampled_from(units.FRACTIONS))
def test_the_nearest_fraction_is_no_further_than_half_a_division(mm: float, bottom: int) -> None:
    text, over_mm = units.nearest_fraction(mm, (bottom,))
    assert abs(over_mm) <= 25.4 / bottom / 2 + 1e-9
    assert units.parse_length(text.lstrip("-")) == pytest.approx(abs(mm - over_mm), abs=1e-9)


def test_limits_show_with_the_same_decimals() -> None:
    assert units.show_limits(25.002, 25.015) == "25.002 to 25.015 mm"
    assert units.show_limits(36.5125, 36.525, "in") == "1.4375 to 1.4379 in"


@pytest.mark.parametrize(
    ("text", "s"),
    [
        ("90 min", 5400), ("1:30", 5400), ("1.5 h", 5400), ("1,5 h", 5400), ("45s", 45), ("1 h 30 min", 5400),
        ("1:30:15", 5415), ("2 days", 172800), ("1 day 3 h", 97200), ("0:05", 300), ("0 s", 0),
    ],
)  # fmt: skip
def test_a_time_reads_as_it_is_written(text: str, s: float) -> None:
    assert units.parse_time(text) == s


@pytest.mark.parametrize(
    "text", ["90", "1:75", "-5 min", "1 min 2 h", "5 min 5 min", "1 month", "", "20 years", "9999 days"]
)
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        units.parse_time(text)


@pytest.mark.parametrize(
    ("s", "shown"),
    [
        (0, "0 s"), (45, "45 s"), (75, "75 s"), (89.6, "1 min 30 s"), (152, "2 min 30 s"), (595, "10 min"),
        (720, "12 min"), (1799, "30 min"), (1975, "35 min"), (7800, "2 h 10 min"), (7950, "2 h 15 min"),
        (38000, "10 h 30 min"), (86399, "1 day"), (97200, "1 day 3 h"), (-720, "-12 min"),
    ],
)  # fmt: skip
def test_a_time_shows_no_finer_than_it_deserves(s: float, shown: str) -> None:
    assert units.show_time(s) == shown


def test_clocked_hours_show_to_the_minute() -> None:
    assert units.show_time(5820, to_the_minute=True) == "1 h 37 min"
    assert units.show_time(97260, to_the_minute=True) == "27 h 1 min"


@laws
@given(s=st.floats(0, 5e6))
def test_a_time_shown_reads_back_within_its_rounding(s: float) -> None:
    grain_s = (
        1 if s < 89.5 else 10 if s < 595 else 60 if s < 1800 else 300 if s < 36000 else 1800 if s < 85500 else 3600
    )
    assert abs(units.parse_time(units.show_time(s)) - s) <= grain_s / 2
    assert abs(units.parse_time(units.show_time(s, to_the_minute=True)) - s) <= 30


@laws
@given(kg=st.floats(1e-6, 9e5), unit=st.sampled_from(["kg", "lb"]))
def test_a_weight_shown_reads_back_to_three_figures(kg: float, unit: units.MassUnit) -> None:
    assert units.parse_mass(units.show_mass(kg, unit)) == pytest.approx(kg, rel=0.0051)


def test_a_weight_reads_and_shows_in_both_systems() -> None:
    assert units.parse_mass("5 lb 4 oz") == pytest.approx(5.25 * 0.45359237, abs=1e-12)
    assert units.parse_mass("1.2 t") == 1200
    assert units.parse_mass("12,5", "kg") == 12.5
    assert units.show_mass(15.4134) == "15.4 kg"
    assert units.show_mass(15.4134, "lb") == "34 lb"
    assert units.show_mass(0.2134) == "213 g"
    assert units.show_mass(0.0) == "0 g"


@pytest.mark.parametrize("text", ["12", "2 ton", "1e3 kg", "-4 kg", "4 kg 2 kg", "5000000 kg"])
def test_what_is_no_weight_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        units.parse_mass(text)


@laws
@given(share=st.floats(0, 1))
def test_pegs_round_down_and_ten_means_always(share: float) -> None:
    assert units.pegs(share) <= share * 10 + 1e-9
    assert units.pegs(share) > share * 10 - 1
    assert units.show_odds(share) == f"{units.pegs(share)} in 10"


def test_every_tenth_fills_its_peg() -> None:
    assert [units.pegs(tenth / 10) for tenth in range(11)] == list(range(11))
    assert units.pegs(0.899) == 8
    assert units.pegs(0.999) == 9


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("95", "95"), ("95.00", "95.00"), ("95,50", "95.50"), ("1,234.50", "1234.50"), ("1.234,50", "1234.50"),
        ("1 234.50", "1234.50"), ("1\u00a0234,50", "1234.50"), ("1,234,567", "1234567"), ("0,125", "0.125"),
        ("1.125", "1.125"), ("12 EUR", "12"), ("EUR 12.5", "12.5"), ("12eur", "12"), ("1 234", "1234"),
    ],
)  # fmt: skip
def test_an_amount_reads_as_it_is_written(text: str, amount: str) -> None:
    assert units.parse_money(text, "EUR") == Decimal(amount)


@pytest.mark.parametrize("text", ["1,234", "-5", "12 USD", "12,34,56", "nan", "1e3", "", "12.34.5", "EUR"])
def test_what_reads_two_ways_or_not_at_all_is_no_amount(text: str) -> None:
    with pytest.raises(BadInput):
        units.parse_money(text, "EUR")


@laws
@given(cents=st.integers(-(10**9), 10**9))
def test_an_amount_shown_reads_back_to_the_cent(cents: int) -> None:
    amount = Decimal(cents) / 100
    assert units.parse_money(units.show_money(amount, "EUR"), "EUR", may_be_negative=True) == amount


def test_an_amount_shows_half_up_with_its_currency() -> None:
    assert units.show_money(Decimal("0.125"), "EUR") == "0.13 EUR"
    assert units.show_money(Decimal("12400"), "EUR") == "12\u00a0400.00 EUR"
    assert units.show_money(Decimal("95")) == "95.00"


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_what_is_not_a_number_is_our_own_mistake_and_not_shown(bad: float) -> None:
    for show in (units.show_length, units.show_time, units.show_mass, units.pegs):
        with pytest.raises(ValueError, match=r"nan|inf"):
            show(bad)
