"""A backup is whole or is refused; what comes back is what was there; damage is found and listed."""

from __future__ import annotations

import sqlite3

import pytest

from steadyrest.store import backup, database, jobs, plans
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
    copied = backup.backup(filled, tmp_path / "copy")
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
        backup.backup(filled, tmp_path / "copy")
    backup.restore(tmp_path / "copy", tmp_path / "again")
    again = open_store(tmp_path / "again")
    assert kept(again) == before
    again.close()


def test_nothing_is_overwritten_by_a_backup_or_a_restore(filled, tmp_path):
    backup.backup(filled, tmp_path / "copy")
    with pytest.raises(BadInput, match=r"copy: is there already\. Choose a new name"):
        backup.backup(filled, tmp_path / "copy")
    with pytest.raises(BadInput, match=r"data: is there already"):
        backup.restore(tmp_path / "copy", tmp_path / "data")


def test_a_whole_folder_has_no_damage_and_looking_changes_nothing(filled, tmp_path):
    backup.backup(filled, tmp_path / "copy")
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
    backup.backup(filled, tmp_path / "copy")
    harm(tmp_path / "copy")
    damage = backup.verify(tmp_path / "copy")
    assert damage
    assert damage[0].where.startswith(said)
    with pytest.raises(BadInput, match="is damaged"):
        backup.restore(tmp_path / "copy", tmp_path / "again")
    assert not (tmp_path / "again").exists()
