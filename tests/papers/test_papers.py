"""The papers: everything that a person needs stands on them, in our own letters, the same each time."""

from __future__ import annotations

import re
import shutil
import subprocess
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.papers import job_sheet, letters, measuring_sheet, quote, typesetting
from steadyrest.units.lengths import limit_digits
from steadyrest.wording import moments
from tests.papers import sample

PAPERS = {
    "job_sheet": (job_sheet.job_sheet, job_sheet.data, sample.job_sheet),
    "measuring_sheet": (measuring_sheet.measuring_sheet, measuring_sheet.data, sample.measuring_sheet),
    "quote": (quote.quote, quote.data, sample.quote),
}
EACH = pytest.mark.parametrize("name", PAPERS)


def reader(tool):
    if shutil.which(tool) is None:
        pytest.skip(f"{tool} (poppler-utils) is not installed here; the CI machine has it")
    return tool


def told(tool, pdf, tmp_path, *more):
    (tmp_path / "paper.pdf").write_bytes(pdf)
    return subprocess.run(
        [reader(tool), *more, str(tmp_path / "paper.pdf"), *(["-"] if tool == "pdftotext" else [])],
        capture_output=True,
        text=True,
        check=True,
    ).stdout


def made(name, **more):
    make, _, values = PAPERS[name]
    return make(values(**more))


def text_of(name, tmp_path, **more):
    return " ".join(told("pdftotext", made(name, **more), tmp_path, "-layout").split())


@EACH
def test_the_same_paper_is_the_same_bytes(name):
    assert made(name) == made(name)


@EACH
def test_a_paper_is_set_in_our_own_letters_alone_and_carries_them(name, tmp_path):
    rows = told("pdffonts", made(name), tmp_path).splitlines()[2:]
    families = {row.split()[0].split("+")[1] for row in rows}
    assert {"AtkinsonHyperlegibleNext-Regular", "AtkinsonHyperlegibleNext-Bold"} <= families
    assert families <= {"AtkinsonHyperlegibleNext-Regular", "AtkinsonHyperlegibleNext-Bold", "DejaVuSans"}
    assert all(row.split()[-5:-2] == ["yes", "yes", "yes"] for row in rows)  # embedded, subset, searchable


@EACH
@pytest.mark.parametrize(("sheet", "points"), [("a4", "595.276 x 841.89"), ("us-letter", "612 x 792")])
def test_a_paper_comes_in_both_sizes(name, sheet, points, tmp_path):
    # ISO 216: 210 x 297 mm; ANSI/ASME Y14.1: 8.5 x 11 in; at 72 points an inch.
    assert f"Page size:       {points}" in told("pdfinfo", made(name, sheet=sheet), tmp_path)


@EACH
def test_a_paper_is_kept_for_years_and_can_be_read_aloud(name):
    pdf = made(name)
    assert re.search(rb"pdfaid:part[^<]*?>?2", pdf)
    assert re.search(rb"pdfuaid:part[^<]*?>?1", pdf)


@EACH
def test_a_template_uses_all_that_it_is_given_and_nothing_else(name):
    _, data, values = PAPERS[name]
    given_ = set(data(values()))
    source = "".join((typesetting.TEMPLATES / file).read_text() for file in (f"{name}.typ", "house.typ"))
    used = set(re.findall(r"\bdata\.(?!at\()(\w+)", source)) | set(re.findall(r'data\.at\("(\w+)"', source))
    assert used - {"sheet"} - ({"code_svg"} if name == "quote" else set()) == given_


def test_the_job_sheet_says_what_by_when_from_which_piece_and_how(tmp_path):
    text = text_of("job_sheet", tmp_path)
    piece = sample.shop().pieces[0]
    for words in (
        "Job 214", "shaft of the stage lift", "Lamplight Playhouse", "Sat 28 Nov, 18:00", "holds", "C45",
        piece.id, piece.place, piece.heat_number, "264 mm long, 3.21 kg each",
        "Lifting gear: an authorised person has to check the lift before it runs again.",
        "Turn: two-axis lathe with tailstock", "Fri 27 Nov, 13:21 to 14:36", "Ambra", "set up 25 min",
        "chuck 25 mm and live centre", "T6 grooving 2.2 mm", "Stop and measure", "36.515 to 36.530 mm",
        "micrometer 25-50", "measure again cold, then ask Ambra", "The bar weighs 21 kg", "(nobody needed)",
        "Which bearing sits on F2?", "The machine’s manual and the local rules come before this sheet",
    ):  # fmt: skip
        assert words in text


def test_steps_stand_in_their_order(tmp_path):
    text = text_of("job_sheet", tmp_path)
    places = [text.index(step) for step in ("1 Saw:", "2 Turn:", "3 Mill:", "4 Hand", "5 Inspect")]
    assert places == sorted(places)


def test_a_job_sheet_before_anything_is_promised_says_no_times(tmp_path):
    text = text_of("job_sheet", tmp_path, promise=None, pegs_svg="", link="")
    assert "odds" not in text
    assert "13:21" not in text
    with pytest.raises(ValueError, match="route without steps"):
        made("job_sheet", route=sample.replace(sample.route(), steps=()))


def test_the_measuring_sheet_gives_bounds_and_gauge_for_each_size(tmp_path):
    text = text_of("measuring_sheet", tmp_path)
    for words in (
        "36.517 to 36.528", "36.515 to 36.530", "⌀ 36.513 k6", "bearing seat,", "micrometer 25-50 (u 1.4 µm)",
        "not with this gauge", "Part and gauge at 20 °C", "20 K are 9 µm on F2",
    ):  # fmt: skip
        assert words in text
    inches = sample.replace(sample.shop(), unit="in")
    assert "1.4377 to 1.4381" in text_of("measuring_sheet", tmp_path, shop=inches)


@settings(deadline=None)
@given(low=st.floats(0.1, 500), width=st.floats(0, 0.2), unit=st.sampled_from(["mm", "in"]))
def test_printed_bounds_never_allow_more_than_the_real_ones(low, width, unit):
    high = low + width
    texts = limit_digits(low, high, unit)
    mm = Fraction(254, 10) if unit == "in" else Fraction(1)
    slack = Fraction(1, 10**9)
    if texts != ("", ""):
        printed = [Fraction(Decimal(text)) * mm for text in texts]
        assert Fraction(low) - slack <= printed[0] <= printed[1] <= Fraction(high) + slack
    else:
        assert high - low < float(mm) * (1e-4 if unit == "in" else 1e-3)


def test_a_quote_says_price_time_and_what_it_rests_on_and_no_cost(tmp_path):
    text = text_of("quote", tmp_path)
    for words in (
        "Quote 214", "812.00 EUR", "406.00 EUR each", "without value added tax", "Sat 28 Nov, 18:00", "Fri 11 Dec 2026",
        "331.50 EUR", "The bearing on F2 is a 6207; we ask before we turn.", "an authorised person has to check",
    ):  # fmt: skip
        assert words in text


def test_a_quote_by_the_hour_says_the_amount_not_to_exceed_the_rates_and_what_is_paid_before(tmp_path):
    rates = (("Ambra", sample.euros("84.00")), ("Jorun", sample.euros("74.00")))
    text = text_of("quote", tmp_path, by_the_hour=rates, deposit=sample.euros("250.00"), breaks=())
    for words in ("by the hour, not above", "812.00 EUR", "84.00 EUR", "74.00 EUR", "250.00 EUR", "before the work"):
        assert words in text
    assert "each" not in text


MARKUP = '#import "x": *bold* $x^2$ <b> @ref `raw` = 1 // end'


@EACH
def test_what_a_person_types_is_text_and_never_markup(name, tmp_path):
    assert MARKUP in text_of(name, tmp_path, what=MARKUP)


@EACH
@settings(deadline=None, max_examples=15)
@given(what=st.text(max_size=60) | st.text("abcdefgh", min_size=100, max_size=300))
def test_any_text_can_be_printed(name, what):
    assert made(name, what=what).startswith(b"%PDF")


def test_a_character_that_our_letters_lack_is_shown_as_missing_and_said(tmp_path):
    text = text_of("quote", tmp_path, customer="漢字 Ωμέγα")
    assert "□□ Ωμέγα" in text
    assert "□ is a sign that these letters lack" in text
    assert "lack" not in text_of("quote", tmp_path)


@pytest.mark.parametrize("font", sorted(letters.FONTS.glob("*.ttf")), ids=lambda path: path.stem)
def test_the_characters_of_a_font_are_those_that_fontconfig_finds(font):
    if shutil.which("fc-query") is None:
        pytest.skip("fc-query (fontconfig) is not installed here; the CI machine has it")
    ranges = subprocess.run(["fc-query", "--format", "%{charset}", font], capture_output=True, text=True, check=True)
    found = set()
    for span in ranges.stdout.split():
        first, _, last = span.partition("-")
        found |= set(range(int(first, 16), int(last or first, 16) + 1))
    assert letters.code_points(font.read_bytes()) == found


def test_each_font_is_one_whole_file_a_weight_with_its_licence_beside_it():
    fonts = typesetting.fonts().fonts()
    assert sorted((font.family, font.weight) for font in fonts) == [
        ("Atkinson Hyperlegible Next", 400), ("Atkinson Hyperlegible Next", 700), ("DejaVu Sans", 400),
    ]  # fmt: skip
    # The trade's signs, and how fractions, limits and temperatures are written (Unicode code charts).
    for sign in "⌀Ø±°µ×≤≥∠⅛⅜⅝⅞½¼¾′″²³·–…€£":
        assert ord(sign) in letters.known(), sign
    licences = {path.name: path.read_text(encoding="utf-8") for path in letters.FONTS.glob("*.txt")}
    assert "SIL OPEN FONT LICENSE Version 1.1" in licences["AtkinsonHyperlegibleNext-OFL.txt"]
    assert "Bitstream Vera" in licences["DejaVuSans-licence.txt"]


def test_moments_are_told_in_the_shops_own_time_and_over_a_change_of_clocks():
    # The clocks of Europe/Vienna go back on 25 October 2026 at 3:00 (tz database).
    zone = ZoneInfo("Europe/Vienna")
    before = datetime(2026, 10, 25, 0, 30, tzinfo=ZoneInfo("UTC"))
    assert moments.stretch(before, before + timedelta(hours=2), "Europe/Vienna") == "Sun 25 Oct, 02:30 to 03:30"
    assert moments.moment(datetime(2026, 11, 28, 18, tzinfo=zone), "America/Chicago") == "Sat 28 Nov, 11:00"
    night = datetime(2026, 11, 27, 22, tzinfo=zone)
    assert moments.stretch(night, night + timedelta(hours=3), "Europe/Vienna") == "Fri 27 Nov, 22:00 to Sat 01:00"


def test_the_code_has_the_quiet_margin_of_its_standard_and_three_finders():
    # ISO/IEC 18004: a quiet zone of 4 modules; finder patterns 7 x 7 in three corners.
    svg = typesetting.code(sample.LINK)
    side = int(re.search(r'viewBox="0 0 (\d+) \1"', svg)[1])
    assert (side - 8 - 17) % 4 == 0
    import segno

    modules = [list(row) for row in segno.make_qr(sample.LINK, error="m").matrix]
    assert len(modules) == side - 8
    finder = ["1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111"]
    for top, left in ((0, 0), (0, -7), (-7, 0)):
        rows = modules[top:][:7] if top else modules[:7]
        columns = slice(left, None) if left else slice(0, 7)
        assert ["".join(str(cell & 1) for cell in row[columns]) for row in rows] == finder
