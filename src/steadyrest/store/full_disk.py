"""Whether a fault is a full disk: told by the system when a file is written, or by the database."""

from __future__ import annotations

import errno

from sqlalchemy.exc import DBAPIError

FULL = (errno.ENOSPC, errno.EDQUOT)
WHAT = "The disk is full: nothing was written down."
DO = "Make room on the disk of the data folder, but take nothing out of that folder; then do it again."


def disk_is_full(fault: BaseException | None) -> bool:
    """Whether this fault, or what it came from, is a full disk.

    Args:
        fault: as raised; None is none.
    Returns: whether it is.
    """
    while fault is not None:
        if isinstance(fault, OSError) and fault.errno in FULL:
            return True
        # SQLITE_FULL (sqlite.org/rescode.html#full): "database or disk is full".
        if isinstance(fault, DBAPIError) and "disk is full" in str(fault.orig):
            return True
        fault = fault.__cause__ or fault.__context__
    return False
