"""Kill a backup in its middle: what counts as a backup is whole, and the next one works."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

from steadyrest.store import backup, contents, plans
from steadyrest.store.opening import open_store
from tests.store import sample

ROOT = Path(__file__).parents[2]
BACK_UP = """
import sys
from datetime import timedelta
from pathlib import Path
from steadyrest.store import backup
from steadyrest.store.opening import open_store
from tests.store import sample
store = open_store(Path(sys.argv[1]))
print("begun", flush=True)
for minute in range(10_000):
    made = backup.backup_into(store, Path(sys.argv[2]), keep=3, now=sample.NOW + timedelta(minutes=minute))
    print(made.copied.folder.name, flush=True)
"""


def test_a_backup_that_was_killed_never_counts_and_one_that_was_told_is_whole(tmp_path):
    store = open_store(tmp_path / "data")
    for count in range(12):
        data = bytes([count]) * 200_000
        sha256 = store.files.keep(data)
        with store.writing() as session:
            plans.note_file(session, sha256=sha256, size_bytes=len(data), name="scan", kind="scan", now=sample.NOW)
            sample.planned_job(session)
    store.close()
    temp = tmp_path / "temp"  # its trials are killed too: not in the system's own folder
    temp.mkdir()
    for turn in range(4):
        stick = tmp_path / f"stick {turn}"
        command = [sys.executable, "-c", BACK_UP, str(tmp_path / "data"), str(stick)]
        at = {**os.environ, "TMPDIR": str(temp)}
        house = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT, env=at)
        for _ in range(1 + turn):  # a word that it began, then a name for each that is done
            house.stdout.readline()
        time.sleep(0.05 * turn)
        house.kill()
        told = [line.strip() for line in house.stdout.read().splitlines(keepends=True) if line.endswith("\n")]
        house.wait()
        house.stdout.close()
        here = [path for path in stick.glob("*") if contents.is_backup(path) and path.suffix != ".partial"]
        assert len(here) >= min(turn, 1)
        assert set(told[-1:]) <= {path.name for path in here}
        for path in here:
            assert backup.verify(path) == ()
    assert backup.verify(tmp_path / "data") == ()
    for left in stick.glob("*.partial"):
        os.utime(left, (sample.NOW.timestamp(), sample.NOW.timestamp()))
    store = open_store(tmp_path / "data")
    made = backup.backup_into(store, stick, keep=None, now=sample.later(days=2))
    store.close()
    assert backup.verify(made.copied.folder) == ()
    assert not list(stick.glob("*.partial"))
