"""A backup is whole or is refused; what comes back is what was there; damage is found and listed."""

from __future__ import annotations

import os
import sqlite3
import tempfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyrest.store import backup, damage, database, jobs, plans
from steadyrest.store.opening import DATABASE, open_store
from steadyrest.trouble import BadInput
from tests.store import sample


@pytest.fixture
def filled(store):
    sha256 = store.files.keep(b"ply scan of a shaft")
    with store.writing() as session:
        made, _, _ = sample.planned_job(session)
        plans.note_file(session, sha256=sha256, size_bytes=19, name="shaft.ply", kind="scan", now=sample.NOW)
        plans.keep_part(session, job_id=made.id, part=sample.shaft(), file_sha256=sha256, now=sample.NOW)
    return store


def kept(store):
    with store.reading() as session:
        found = jobs.jobs(session)
        parts = [plans.parts(session, job.id) for job in found]
        return found, parts, [plans.plans(session, job.id) for job in found]


def test_what_is_restored_is_what_was_backed_up(filled, tmp_path):
    copied = backup.backup(filled, tmp_path / "copy", now=sample.NOW)
    assert (copied.folder, copied.files) == (tmp_path / "copy", 1)
    before = kept(filled)
    with filled.writing() as session:
        sample.job(session, what="came after the backup")
    backup.restore(tmp_path / "copy", tmp_path / "again")
    again = open_store(tmp_path / "again")
    assert kept(again) == before
    assert again.files.read(before[1][0][1].file_sha256) == b"ply scan of a shaft"
    again.close()
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["again", "copy", "data"]


def test_a_backup_is_taken_while_a_writer_has_not_finished(filled, tmp_path):
    before = kept(filled)
    if database.journal(database.library().sqlite_version_info)[0] != "WAL":
        pytest.skip("this SQLite library makes a backup wait for the writer")
    with filled.writing() as session:
        sample.job(session, what="not committed yet")
        backup.backup(filled, tmp_path / "copy", now=sample.NOW)
    backup.restore(tmp_path / "copy", tmp_path / "again")
    again = open_store(tmp_path / "again")
    assert kept(again) == before
    again.close()


def test_nothing_is_overwritten_by_a_backup_or_a_restore(filled, tmp_path):
    backup.backup(filled, tmp_path / "copy", now=sample.NOW)
    with pytest.raises(BadInput, match=r"copy: is there already\. Choose a new name"):
        backup.backup(filled, tmp_path / "copy", now=sample.NOW)
    with pytest.raises(BadInput, match=r"data: is there already"):
        backup.restore(tmp_path / "copy", tmp_path / "data")


def test_a_whole_folder_has_no_damage_and_looking_changes_nothing(filled, tmp_path):
    backup.backup(filled, tmp_path / "copy", now=sample.NOW)
    assert backup.verify(filled.folder) == ()
    before = (tmp_path / "copy" / DATABASE).read_bytes()
    assert backup.verify(tmp_path / "copy") == ()
    assert (tmp_path / "copy" / DATABASE).read_bytes() == before
    with pytest.raises(BadInput, match="holds no steadyrest data"):
        backup.verify(tmp_path)


def changed_file(folder):
    next(path for path in (folder / "files").rglob("*") if path.is_file()).write_bytes(b"other")


def missing_file(folder):
    next(path for path in (folder / "files").rglob("*") if path.is_file()).unlink()


def pointing_nowhere(folder):
    with sqlite3.connect(folder / DATABASE) as connection:
        connection.execute("UPDATE part SET job_id = 99")
    connection.close()


def unreadable_value(folder):
    with sqlite3.connect(folder / DATABASE) as connection:
        connection.execute("UPDATE part SET value = '{' WHERE id = 2")
    connection.close()


def broken_page(folder):
    data = bytearray((folder / DATABASE).read_bytes())
    for page in range(4096, len(data) - 4096, 4096):
        data[page + 20 : page + 60] = bytes(40)
    (folder / DATABASE).write_bytes(data)


def cut_short(folder):
    data = (folder / DATABASE).read_bytes()
    (folder / DATABASE).write_bytes(data[: len(data) // 2])


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (changed_file, "files, shaft.ply ("),
        (missing_file, "files, shaft.ply ("),
        (pointing_nowhere, "steadyrest.db, part 1"),
        (unreadable_value, "steadyrest.db, part 2"),
        (broken_page, "steadyrest.db"),
        (cut_short, "steadyrest.db"),
    ],
)
def test_damage_is_found_and_a_damaged_backup_is_never_restored(filled, tmp_path, harm, said):
    backup.backup(filled, tmp_path / "copy", now=sample.NOW)
    harm(tmp_path / "copy")
    found = backup.verify(tmp_path / "copy")
    assert found
    assert any(one.where.startswith(said) for one in found)
    with pytest.raises(BadInput, match="is damaged"):
        backup.restore(tmp_path / "copy", tmp_path / "again")
    assert not (tmp_path / "again").exists()


# ---- any byte ----------------------------------------------------------------------------------------------------


def rows_of(path):
    """Every row that is only ever added, read without our code; None if it cannot be read."""
    tables = ("customer", "file", "job", "part", "promise", "ledger", "clock", "piece", "movement", "shop_version")
    try:
        connection = sqlite3.connect(path)
        try:
            found = {table: connection.execute(f'SELECT * FROM "{table}" ORDER BY 1').fetchall() for table in tables}
            plans_said = "SELECT id, job_id, part_id, seed, made_at, value FROM plan"
            return found | {"plan": connection.execute(plans_said).fetchall()}
        finally:
            connection.close()
    except (sqlite3.DatabaseError, UnicodeError):
        return None


@pytest.fixture
def copied(filled, tmp_path):
    backup.backup(filled, tmp_path / "copy", now=sample.NOW)
    return tmp_path / "copy"


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_flipped_bit_in_a_backup_is_found(copied, data):
    files = sorted(path for path in copied.rglob("*") if path.is_file())
    path = data.draw(st.sampled_from(files))
    whole = path.read_bytes()
    at = data.draw(st.integers(0, 8 * len(whole) - 1))
    harmed = bytearray(whole)
    harmed[at // 8] ^= 1 << at % 8
    path.write_bytes(harmed)
    try:
        assert backup.verify(copied)
    finally:
        path.write_bytes(whole)


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_flipped_bit_in_a_data_folder_is_found_or_changes_nothing_that_was_written(copied, data):
    # Without the list, as a data folder at work is; rows that may change (a PIN, work that waits) are not asked here.
    (copied / "backup.json").rename(copied.parent / "list")
    path = copied / DATABASE
    whole = path.read_bytes()
    before = rows_of(path)
    at = data.draw(st.integers(0, 8 * len(whole) - 1))
    harmed = bytearray(whole)
    harmed[at // 8] ^= 1 << at % 8
    path.write_bytes(harmed)
    try:
        assert backup.verify(copied) or rows_of(path) == before
    finally:
        path.write_bytes(whole)
        (copied.parent / "list").rename(copied / "backup.json")


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        ("UPDATE customer SET name = 'somebody else'", "customer 1"),
        ("UPDATE job SET due = '2026-12-24T00:00:00.000000+00:00'", "job 1"),
        ("INSERT INTO customer (name) VALUES ('slipped in')", "customer 2"),
        ("DROP TRIGGER ledger_stays", "trigger ledger_stays"),
        ("DROP TRIGGER seal_is_kept; DELETE FROM seal WHERE id = 2", "seal"),
    ],
)
def test_what_was_changed_behind_our_back_is_named(filled, harm, said):
    with sqlite3.connect(filled.folder / DATABASE) as connection:
        connection.executescript(harm)
    connection.close()
    assert any(said in one.where for one in backup.verify(filled.folder))


def test_a_folder_from_before_seals_is_sealed_when_opened_and_an_old_backup_still_comes_back(tmp_path, monkeypatch):
    from alembic import command

    from steadyrest.store import folds, opening, rows

    old = tmp_path / "old"
    with monkeypatch.context() as then:
        then.setattr(opening, "REVISION", "0001")
        upgrade = command.upgrade
        then.setattr(command, "upgrade", lambda config, _head: upgrade(config, "0001"))
        then.setattr(rows, "seal", lambda *_: None)
        then.setattr(folds, "note", lambda *_: None)
        then.setattr(folds, "due", lambda _session: ())
        store = open_store(old)
        with store.writing() as session:
            sample.job(session, what="from before")
        store.close()
    assert backup.verify(old) == ()
    backup.restore(old, tmp_path / "back")
    store = open_store(tmp_path / "back")
    with store.reading() as session:
        assert [job.what for job in jobs.jobs(session)] == ["from before"]
    store.close()
    assert damage.look(tmp_path / "back").rows == 2  # the customer and the job
    assert backup.verify(tmp_path / "back") == ()


# ---- where backups go --------------------------------------------------------------------------------------------


def test_only_the_newest_backups_stay_and_nothing_else_is_removed(filled, tmp_path):
    stick = tmp_path / "stick"
    (stick / "steadyrest-20200101T000000Z").mkdir(parents=True)  # no backup: it has no list
    (stick / "photos").mkdir()
    for hour in range(3):
        made = backup.backup_into(filled, stick, keep=2, now=sample.later(hours=hour))
    assert made.kept == ("steadyrest-20261127T130000Z", "steadyrest-20261127T140000Z")
    assert made.removed == ("steadyrest-20261127T120000Z",)
    assert sorted(p.name for p in stick.iterdir()) == ["photos", "steadyrest-20200101T000000Z", *made.kept]
    again = backup.backup_into(filled, stick, keep=None, now=sample.later(hours=2))
    assert again.copied.folder.name == "steadyrest-20261127T140000Z-2"


def test_a_backup_clears_the_trials_that_were_killed_long_ago_and_nothing_else(filled, tmp_path, monkeypatch):
    temp = tmp_path / "temp"
    monkeypatch.setattr(tempfile, "tempdir", str(temp))
    (temp / "elsewhere").mkdir(parents=True)
    (temp / "elsewhere" / "theirs").write_text("kept")
    for name in ("steadyrest-trial-killed", "steadyrest-trial-at-work", "theirs"):
        (temp / name).mkdir()
        (temp / name / "steadyrest.db").write_text("half")
    (temp / "steadyrest-trial-file").write_text("no folder")
    (temp / "steadyrest-trial-link").symlink_to(temp / "elsewhere")
    long_ago = temp.stat().st_mtime - backup.TRIAL_LEFT_OVER.total_seconds() - 60
    for name in ("steadyrest-trial-killed", "steadyrest-trial-file", "theirs", "elsewhere"):
        os.utime(temp / name, (long_ago, long_ago))
    os.utime(temp / "steadyrest-trial-link", (long_ago, long_ago), follow_symlinks=False)
    backup.backup(filled, tmp_path / "copy", now=sample.NOW)
    left = {"elsewhere", "steadyrest-trial-at-work", "steadyrest-trial-file", "steadyrest-trial-link", "theirs"}
    assert {p.name for p in temp.iterdir()} == left
    assert (temp / "elsewhere" / "theirs").read_text() == "kept"


def test_a_full_disk_leaves_no_half_backup(filled, tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup, "copy_files", full)
    with pytest.raises(BadInput, match=r"cannot be written \(No space left on device\)"):
        backup.backup_into(filled, tmp_path / "stick", keep=1, now=sample.NOW)
    assert list((tmp_path / "stick").iterdir()) == []


def test_a_backup_comes_back_into_an_empty_folder_with_its_shop_file(filled, tmp_path):
    (filled.folder / "shop.toml").write_text("as it was")
    backup.backup(filled, tmp_path / "copy", now=sample.NOW)
    (tmp_path / "empty").mkdir()
    backup.restore(tmp_path / "copy", tmp_path / "empty")
    assert (tmp_path / "empty" / "shop.toml").read_text() == "as it was"
    assert not (tmp_path / "empty" / "backup.json").exists()
    assert backup.verify(tmp_path / "empty") == ()
