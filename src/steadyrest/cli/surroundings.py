"""What must stand before numpy and numba are imported: one thread a process, and a cache that can be written."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def prepare() -> None:
    """Set what the person has not set; worker processes inherit it.

    One thread for linear algebra: our arrays are thin, and threads that wait for each other cost more than they save.
    """
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    os.environ.setdefault("NUMBA_CACHE_DIR", str(cache_folder() / "numba"))


def cache_folder() -> Path:
    """This person's cache folder, as the system has it."""
    home = Path.home()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", home / "AppData" / "Local")) / "steadyrest" / "cache"
    if sys.platform == "darwin":
        return home / "Library" / "Caches" / "steadyrest"
    return Path(os.environ.get("XDG_CACHE_HOME", home / ".cache")) / "steadyrest"
