"""A house that keeps files and jobs one after another and says each one once it is kept, until it is killed.

Run as `python -m tests.faults.writer FOLDER WHAT COUNT`.
"""

from __future__ import annotations

import sys
from pathlib import Path

from steadyrest.store import plans
from steadyrest.store.opening import open_store
from tests.store import sample


def main():
    folder, what, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
    store = open_store(folder)
    for turn in range(count):
        data = f"{what} {turn} ".encode() * 5000
        sha256 = store.files.keep(data)
        with store.writing() as session:
            plans.note_file(session, sha256=sha256, size_bytes=len(data), name=what, kind="scan", now=sample.NOW)
            job = sample.job(session, what=f"{what} {turn}")
            part = plans.keep_part(session, job_id=job.id, part=sample.shaft(), file_sha256=sha256, now=sample.NOW)
            plans.keep_plan(session, job_id=job.id, part_id=part.id, seed=turn, plan=sample.shaft(), now=sample.NOW)
        print(f"{job.number} {job.what} {sha256}", flush=True)


if __name__ == "__main__":
    main()
