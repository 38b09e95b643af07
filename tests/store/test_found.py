"""The index and the states: at once after each entry, by each word, and never otherwise than the rows say."""

from __future__ import annotations

import random
import re
import unicodedata
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.store import clock, folds, found, found_words, ledger, rack, schema, states
from steadyrest.store.found_kinds import KINDS
from steadyrest.store.opening import open_store
from steadyrest.trouble import BadInput
from tests.store import sample

BODY = {
    "shape": "round", "size_mm": [36.5], "length_mm": 900.0, "material": "42CrMo4", "condition": "not known",
    "place": "rack 4, shelf 2", "heat_number": "88412-A", "cost": "80.00",
}  # fmt: skip


def titles(session, *words, kind=None):
    ways = [found.ways(word) for text in words for word in found_words.asked(text)]
    kinds = {k.number: k for k in KINDS if kind in (None, k.name)}.values()
    return {hit.title for k in kinds for hit in found.hits(session, ways, k, most=50)}


def said(session, job, words, **more):
    happened = more.pop("happened", sample.NOW)
    return clock.write(
        session, person="ambra", kind="note", happened=happened, told=sample.later(hours=9), who="ambra",
        job_id=job.id, words=words, **more,
    )  # fmt: skip


def test_each_thing_is_found_at_once_by_each_of_its_words_and_by_how_they_begin(store):
    with store.writing() as session:
        made, _, _ = sample.planned_job(session)
        said(session, made, "Bohrung war konisch, nachgedreht auf Ø36,5")
        rack.make(session, "P7", BODY, who="ambra", happened=sample.NOW, told=sample.NOW)
        ledger.write_down(
            session, job_id=made.id, kind="answer", who="ambra", happened=sample.NOW, told=sample.NOW,
            body={"said": "Größe nach Muster"},
        )  # fmt: skip
        every = list(session.exec_driver_sql("SELECT title, name || ' ' || words AS words FROM found"))
        assert len(every) == 6  # job, customer, part, note, piece, answer
        for title, words in every:
            for word in words.split():
                assert title in titles(session, word), word
                assert title in titles(session, word[: max(len(word) - 1, 1)]), word
        assert titles(session, "grosse") == {f"job {made.number}, answer, 2026-11-27"}
        assert titles(session, "groesse") == titles(session, "GRÖSSE") == titles(session, "grosse")
        assert titles(session, "36.5", "konisch") == titles(session, "36,50 KONISCH") != set()
        assert titles(session, "88412", "shelf", "4") == {"P7: round 36.5 mm 42CrMo4"}
        assert titles(session, "44.45", kind="parts") == set()  # no nominal was found for it: nothing to show


def test_what_is_corrected_or_struck_is_found_as_it_stands_now(store):
    with store.writing() as session:
        made = sample.job(session)
        first = said(session, made, "waits for the grinder")
        assert titles(session, "grinder")
        second = said(session, made, "waits for the customer", replaces=first.id)
        assert not titles(session, "grinder")
        assert titles(session, "customer", kind="notes")
        clock.write(
            session, person="ambra", kind="struck", happened=sample.NOW, told=sample.later(hours=10), who="ambra",
            replaces=second.id, words="waits for the customer",
        )  # fmt: skip
        assert not titles(session, "waits", kind="notes")
        piece = rack.make(session, "P1", BODY, who="ambra", happened=sample.NOW, told=sample.NOW)
        rack.move(
            session, piece.id, 2, "moved", {"place": "window sill"}, who="a", happened=sample.NOW, told=sample.NOW
        )
        assert titles(session, "sill")
        assert not titles(session, "shelf")


def test_what_was_undone_is_not_found(store):
    with store.reading() as session:
        assert not titles(session, "capstan")
    with store.engine.connect() as session:
        session.exec_driver_sql("PRAGMA query_only=OFF")
        sample.job(session, what="capstan")
        assert titles(session, "capstan")
        session.rollback()
    with store.reading() as session:
        assert not titles(session, "capstan")


@settings(max_examples=25)
@given(typed=st.text(max_size=40))
def test_whatever_is_typed_is_a_question_and_no_language(at_hand, typed):
    with at_hand.reading() as session:
        titles(session, typed)
        for word in found_words.asked(typed):
            found.near(session, word)


@settings(max_examples=60)
@given(text=st.text(st.characters(codec="utf-8"), max_size=40))
def test_capitals_marks_and_ways_of_writing_them_make_no_difference(text):
    # Upper case is not everywhere the way back ("ſ" to "S"): so what is compared is the folding of both.
    for other in (unicodedata.normalize("NFC", text), unicodedata.normalize("NFD", text)):
        assert set(found_words.words(text)) == set(found_words.words(other))
    for word in found_words.asked(text):
        kept = set(found_words.kept_as([text]).split())
        assert any(set(way.split()) <= kept for way in found.ways(word))


@pytest.mark.parametrize(
    ("typed", "stands"),
    [("36,50", "36.5 mm"), ("7/16", "1-7/16 in"), ("1-7/16", "1 7/16 in"), ("1½", "1-1/2 in"), ("ø40", "40 mm"),
     ("40x120", "40 x 120"), ("40×120", "40x120"), ("muller", "Müller"), ("mueller", "Müller"), ("1250", "1,250.00"),
     ("strasse", "Straße"), ("flange", "mid-flange_v2.step"), ("36.5mm", "36.5 mm"), ("sorensen", "Sørensen")],
)  # fmt: skip
def test_a_size_or_a_name_is_found_however_it_is_written(typed, stands):
    kept = set(found_words.kept_as([stands]).split())
    for word in found_words.asked(typed):
        assert any(all(any(k.startswith(part) for k in kept) for part in way.split()) for way in found.ways(word))


@settings(max_examples=40)
@given(word=st.text("abcdefghijklmnopqrstuvwxyz", min_size=4, max_size=12), luck=st.randoms(use_true_random=False))
def test_one_slip_of_the_hand_is_among_the_words_tried(word, luck: random.Random):
    at, other = luck.randrange(len(word)), luck.choice("abcdefghijklmnopqrstuvwxyz")
    slips = {word[:at] + word[at + 1 :], word[:at] + other + word[at:], word[:at] + other + word[at + 1 :]}
    slips.add(word[: at - 1] + word[at] + word[at - 1] + word[at + 1 :] if at else word)
    for slip in slips - {word}:
        if len(slip) >= 4:
            assert word in found_words.one_letter_off(slip)


def test_a_number_is_never_guessed(store):
    with store.writing() as session:
        rack.make(session, "P7", BODY, who="ambra", happened=sample.NOW, told=sample.NOW)
        assert found.near(session, "88413") == ()
        assert found.near(session, "shefl") == ("shelf",)


# ---- states ------------------------------------------------------------------------------------------------------


@settings(max_examples=8)
@given(luck=st.randoms(use_true_random=False))
def test_what_is_kept_equals_the_fold_of_a_random_history(at_hand, luck: random.Random):
    with at_hand.writing() as session:
        made = [sample.job(session, what=f"job {k}") for k in range(2)]
        piece = rack.make(session, None, BODY, who="a", happened=sample.NOW, told=sample.NOW)
        standing: dict[int, list[ledger.EntryId]] = {one.id: [] for one in made}
        for turn in range(2, 12):
            one = luck.choice(made)
            old = luck.choice([None, *standing[one.id]]) if luck.random() < 0.4 else None
            entry = ledger.write_down(
                session, job_id=one.id, kind=luck.choice((*states.STATES, "reading", "answer")), who="a",
                happened=sample.NOW + timedelta(hours=luck.randint(0, 5)), told=sample.later(hours=6),
                body={"said": "words"}, replaces=old,
            )  # fmt: skip
            standing[one.id] = [e for e in (*standing[one.id], entry.id) if e != old]
            kind = luck.choice(("moved", "missed", "counted", "gone", "cut"))
            rack.move(session, piece.id, turn, kind, {}, who="a", happened=sample.NOW, told=sample.NOW)
        kept = states.jobs_in(session, states.STATES)
        for one in made:
            assert kept[one.id] == ledger.job_state(ledger.entries(session, one.id)) == states.of_job(session, one.id)
        (state,) = session.exec_driver_sql("SELECT state FROM piece_state WHERE piece_id = ?", (piece.id,)).one()
        folded = next(p for p in rack.pieces(session) if p.id == piece.id)
        assert state == folded.state
        assert (folded in rack.pieces(session, gone=False)) == (state != "gone")
        assert list(folds.differs(session)) == []


def test_made_anew_it_is_the_same_and_what_was_changed_behind_its_back_is_told(store):
    asked = "SELECT rowid, name, words, title, says, address FROM found ORDER BY rowid"
    with store.writing() as session:
        made, _, _ = sample.planned_job(session)
        said(session, made, "waits for the grinder")
        before = session.exec_driver_sql(asked).all()
        folds.make_anew(session)
        assert session.exec_driver_sql(asked).all() == before
        session.exec_driver_sql("UPDATE job_state SET state = 'paid'")
        session.exec_driver_sql("DELETE FROM found WHERE title LIKE '%shaft%'")
        wrong = {re.sub(r"\d+", "", where) for where, _ in folds.differs(session)}
        assert wrong == {"job_state ", "found, jobs ", "found, parts "}


def test_a_fold_of_another_version_is_made_anew_when_the_folder_is_opened(tmp_path):
    store = open_store(tmp_path)
    with store.writing() as session:
        sample.job(session, what="capstan")
        session.exec_driver_sql("UPDATE fold SET version = 0")
        session.exec_driver_sql("DELETE FROM found")
    store.close()
    again = open_store(tmp_path)
    with again.reading() as session:
        assert titles(session, "capstan")
    again.close()


def test_every_kind_has_a_number_of_its_own_and_a_table_that_there_is():
    assert {kind.table for kind in KINDS} <= set(schema.TABLES.tables)
    names = {}
    for kind in KINDS:
        assert names.setdefault(kind.number, kind.told) is kind.told


def test_a_sqlite_without_full_text_is_told_in_one_line(tmp_path, monkeypatch):
    from steadyrest.store import opening

    monkeypatch.setattr(opening, "FULL_TEXT", "SELECT 1 WHERE 0")
    with pytest.raises(BadInput) as told:
        open_store(tmp_path)
    assert "built without one (FTS5)" in told.value.line()
    assert "\n" not in told.value.line()


@pytest.fixture(scope="module")
def at_hand(tmp_path_factory):
    opened = open_store(tmp_path_factory.mktemp("found") / "data")
    with opened.writing() as session:
        made, _, _ = sample.planned_job(session)
        said(session, made, "waits for the grinder")
    yield opened
    opened.close()
