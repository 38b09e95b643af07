"""Kill the house while it writes hours and cuts pieces: what was told is there, nothing is half there."""

from __future__ import annotations

import subprocess
import sys
from datetime import timedelta
from pathlib import Path

from steadyrest.desk.floor import clock
from steadyrest.desk.pieces import rack
from steadyrest.desk.place import open_place
from steadyrest.store import backup
from tests.store import sample

ROOT = Path(__file__).parents[2]
WORK = """
import sys
from datetime import timedelta
from pathlib import Path
from steadyrest.desk import clock, piece_in, piece_moves
from steadyrest.desk.place import open_place
from tests.store.sample import NOW
place = open_place(Path(sys.argv[1]), None)
turn, store, shop = sys.argv[2], place.store, place.said.shop
new = piece_in.New("round", ("40",), "9000", "C45", "rack 2", "ines", label=f"P{turn}")
piece_in.come(store, shop, new, unit="mm", now=NOW)
for n in range(10_000):
    at = NOW + timedelta(days=int(turn), seconds=n)
    said = clock.Said("start", "ines", job=101, words=f"{turn} {n}", touch=f"touch-{turn}-{n}")
    entry = clock.tell(store, shop, said, now=at)
    print("clock", int(entry.id), flush=True)
    cut = piece_moves.Cut(f"P{turn}", "ines", length="1", kerf="1", job=101, touch=f"cut-of-{turn}-{n}")
    left = piece_moves.cut(store, shop, cut, unit="mm", now=at)
    print("cut", left.piece.turn, flush=True)
"""


def test_no_hour_and_no_cut_that_was_told_is_lost_when_the_house_is_killed(tmp_path):
    folder = tmp_path / "data"
    place = open_place(folder, None)
    with place.store.writing() as session:
        sample.job(session)
    place.close()
    told, cuts = [], {}
    for turn in range(3):
        command = [sys.executable, "-c", WORK, str(folder), str(turn)]
        house = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT)
        said = [house.stdout.readline() for _ in range(3 + 2 * turn)]
        house.kill()
        said += [line for line in house.stdout.read().splitlines(keepends=True) if line.endswith("\n")]
        house.wait()
        house.stdout.close()
        told += [int(line.split()[1]) for line in said if line.startswith("clock")]
        cuts[f"P{turn}"] = max((int(line.split()[1]) for line in said if line.startswith("cut")), default=1)
        assert backup.verify(folder) == ()
    place = open_place(folder, None)
    late = sample.NOW + timedelta(days=9)
    held = clock.listed(place.store, place.said.shop, job=101, person=None, since=None, now=late)
    assert set(told) <= {int(entry.id) for entry in held.entries}
    assert len(held.entries) - len(told) <= 3  # at most the one that was being written
    for one in (one.piece for one in rack.pieces(place.store, place.said.shop) if one.book):
        assert cuts[one.label] <= one.turn <= cuts[one.label] + 1
        # Length and turn were written together: each cut took its length and its kerf.
        assert one.length_mm == 9000 - 2 * (one.turn - 1)
    place.close()
