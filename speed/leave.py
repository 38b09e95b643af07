"""How fast a program is read and timed: `python run.py speed leave`, or `python speed/leave.py [--most 1000000]`.

Programs of short straight moves, arcs and rapids, 1,000 to 1,000,000 of them, read and timed by the leaving check (both
corner rules) and by a peer in the same run: a plain reader and clock in pure Python (tests/oracles/plain_clock.py), as
a shop would script it. Both must agree on the time before it counts. `moves_s` is moves read and timed a second.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from speed import _shared
from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.timing.machine_time import MachineTiming, run_time
from tests.oracles.plain_clock import Clock, Control

AGREE = 1e-6
RAPID, ACCEL = 20_000.0, 1500.0


def program(moves: int, seed: int = 1) -> bytes:
    """A milling program of so many moves: a wavy surface in short lines, an arc in twenty, a rapid in fifty."""
    rng = np.random.default_rng(seed)
    x, y = np.cumsum(rng.uniform(0.1, 0.9, moves)) % 190.0, np.cumsum(rng.uniform(-0.3, 0.3, moves))
    z = -2.0 + np.sin(x / 7.0) + 0.3 * np.cos(y / 5.0)
    lines = ["%", "O1", "G21 G17 G90 G94", "G54", "T1 M6", "S9000 M3", "G0 X0. Y0.", "G0 Z5.", "G1 Z-1. F1800"]
    for k in range(moves):
        if k % 50 == 49:
            lines.append(f"G0 Z{z[k] + 3:.3f}")
        elif k % 20 == 19:
            lines.append(f"G3 X{x[k]:.3f} Y{y[k]:.3f} R200.")
        else:
            lines.append(f"G1 X{x[k]:.3f} Y{y[k]:.3f} Z{z[k]:.3f}")
    return "\n".join([*lines, "M30", "%", ""]).encode()


def ours(source: bytes, corner_mm: float | None) -> float:
    """Seconds of the run, by the leaving check."""
    run = read(source, Dialect(offsets_mm={"G54": (0.0, 0.0, 0.0)}))
    return run_time(run, MachineTiming((RAPID, RAPID, RAPID), ACCEL, corner_mm, 5.0)).total_s


def peer(source: bytes) -> float:
    """Seconds of the run, by the plain clock."""
    control = Control(
        lathe=False, rapid=dict.fromkeys("xyz", RAPID), accel=ACCEL, tool_change=5.0, offsets={54: (0.0, 0.0, 0.0)}
    )
    return Clock(source.decode(), control).run().total


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=1_000_000)
    most = parser.parse_args().most
    ours(program(100), None), ours(program(100), 0.01)  # compiled or taken from the cache: not part of the measure
    for moves in (10**k for k in range(3, 7) if 10**k <= most):
        source = program(moves)
        stop_s = min(_shared.once(lambda source=source: ours(source, None)) for _ in range(3))
        rounded_s = min(_shared.once(lambda source=source: ours(source, 0.01)) for _ in range(3))
        memory = _shared.peak_mb()
        peer_s = _shared.once(lambda source=source: peer(source))
        off = abs(ours(source, None) / peer(source) - 1) if moves <= 10**5 else 0.0
        if off > AGREE:
            raise SystemExit(f"{moves} moves: ours and the peer disagree by {off:.2e}")
        case = f"{moves} moves, {len(source) / 1e6:.1f} MB, every block ends at rest"
        _shared.line(case, ours_s=stop_s, peer="plain Python reader and clock", peer_s=peer_s, peak=memory)
        print(json.dumps({"moves": moves, "moves_s": round(moves / stop_s), "rounded_s": round(rounded_s, 4)}))


if __name__ == "__main__":
    main()
