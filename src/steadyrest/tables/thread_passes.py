"""How many passes a thread is cut in with a single point, by pitch: where a shop begins, in steel and with carbide."""

from __future__ import annotations

from steadyrest.tables.rows import rows


def thread_passes(pitch_mm: float) -> int:
    """Passes that are usual for a pitch, spring passes not counted.

    Args:
        pitch_mm: of the thread; > 0.
    Returns: those of the next larger pitch kept; beyond the largest, in proportion to the pitch.
    Raises: ValueError: a pitch that is not positive.
    """
    if pitch_mm <= 0:
        raise ValueError(f"thread_passes: pitch_mm {pitch_mm!r} must be positive")
    kept = [(row.number("pitch_mm"), round(row.number("passes"))) for row in rows("thread_passes")]
    found = next((passes for pitch, passes in kept if pitch_mm <= pitch + 1e-6), None)
    pitch, passes = kept[-1]
    return round(passes * pitch_mm / pitch) if found is None else found
