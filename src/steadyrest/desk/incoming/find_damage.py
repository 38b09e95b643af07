"""Find damage: what is wrong with a scanned part besides wear, or how two halves of one belong together."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from steadyrest.part.damage.halves import Halves
from steadyrest.part.damage.whole import Damage
from steadyrest.workers import damage

Progress = Callable[[str, float], None]
Stop = Callable[[], bool]


def on_part(file: Path, *, unit: str | None, progress: Progress, stop: Stop) -> Damage:
    """Broken ends, bend and openings of a scanned part. Arguments and errors as in workers/damage.py."""
    return damage.read_damage(file, unit=unit, progress=progress, stop=stop)


def of_halves(first: Path, second: Path, *, unit: str | None, progress: Progress, stop: Stop) -> Halves:
    """How two scanned halves belong together. Arguments and errors as in workers/damage.py."""
    return damage.read_halves(first, second, unit=unit, progress=progress, stop=stop)
