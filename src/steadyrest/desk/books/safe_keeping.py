"""Keep the data safe: back it up while work goes on, bring it back, look whether it is whole."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from steadyrest.desk.again import Again
from steadyrest.store import backup, damage
from steadyrest.store.backup import Copied, Kept
from steadyrest.store.damage import Looked
from steadyrest.store.opening import DATABASE, Store, open_store
from steadyrest.trouble import BadInput

log = logging.getLogger("steadyrest.desk")


def back_up(data: Path | None, folder: Path, *, keep: int | None, now: datetime) -> Kept:
    """Back a data folder up into a folder of backups.

    Args:
        data: the data folder.
        folder: of backups, outside the data folder; made if there is none.
        keep: how many of the newest stay, from 1; None: all.
        now: aware moment.
    Returns: the backup, and which there are now.
    Raises: BadInput: no data, the folder lies in it or cannot be written, or the data are damaged.
    """
    data = there(data)
    if folder.resolve().is_relative_to(data.resolve()):
        raise BadInput(where=str(folder), what="lies in the data folder itself.", do="Choose another disk, or a stick.")
    if keep is not None and keep < 1:
        raise BadInput(where="--keep", what="no backup would be left.", do="Keep at least 1.")
    store = open_store(data)
    try:
        return backup.backup_into(store, folder, keep=keep, now=now)
    finally:
        store.close()


def bring_back(source: Path, data: Path | None) -> Copied:
    """Bring a backup back as a new data folder; arguments and errors as in store/backup.py.

    Raises: BadInput: as there; or no data folder was named.
    """
    if data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name a new one to restore into.")
    return backup.restore(source, data)


def look(folder: Path | None) -> Looked:
    """Look whether a data folder or a backup is whole.

    Args:
        folder: either.
    Returns: what was looked at, and every damage.
    Raises: BadInput: none was named, or it holds no data.
    """
    if folder is None:
        raise BadInput(where="verify", what="no folder was named.", do="Name the data folder, or a backup.")
    return damage.look(folder)


def there(data: Path | None) -> Path:
    """The data folder, once there is data in it. Raises: BadInput: none was named, or it holds none."""
    if data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name it.")
    if not (data / DATABASE).is_file():
        raise BadInput(where=str(data), what="holds no steadyrest data.", do="Name the shop's data folder.")
    return data


@dataclass(frozen=True, slots=True)
class Schedule:
    """When and where to back up while the app is served. keep: how many of the newest stay."""

    folder: Path
    every: timedelta
    keep: int


class Rounds(Again):
    """Backs up in a thread of its own, at once and then by schedule, until closed.

    store: an open data folder. schedule: when and where. clock: the door's clock. told: hears what came of each round.
    """

    def __init__(
        self, store: Store, schedule: Schedule, clock: Callable[[], datetime], told: Callable[[str], None]
    ) -> None:
        self.store = store
        self.schedule = schedule
        self.clock = clock
        self.told = told
        super().__init__("backup", schedule.every.total_seconds())

    def once(self) -> None:
        """One round; whatever goes wrong is said, and the next one is tried all the same."""
        try:
            made = backup.backup_into(self.store, self.schedule.folder, keep=self.schedule.keep, now=self.clock())
        except BadInput as trouble:
            self.told(f"no backup: {trouble.line()}")
        except Exception:  # the app goes on without this round; the trace is in the log
            log.exception("backup")
            self.told("no backup: our fault; the log says more.")
        else:
            self.told(f"backed up and tried: {made.copied.folder}")
