"""Moves for the tests, written as one would at the machine: rapid here, feed there, round this centre."""

from __future__ import annotations

import math

import numpy as np

from steadyrest.program.run import Motion, Moves, Plane

AXES = {Plane.XY: (0, 1, 2), Plane.ZX: (2, 0, 1), Plane.YZ: (1, 2, 0)}


class Path:
    """A path being written. Coordinates are of the work offset in force; a lathe's X is a radius."""

    def __init__(self, at: tuple[float, float, float] = (0.0, 0.0, 100.0), offset=(-300.0, -200.0, -400.0)) -> None:
        self.rows: list[dict] = []
        self.at = np.array(at, dtype=float)
        self.offset = np.array(offset, dtype=float)
        self.number = 1
        self.rpm = 1000.0
        self.feed_mm_min = 500.0
        self.length = 0.0
        self.rotary = np.zeros(3)

    def tool(self, number: int) -> Path:
        self.number = number
        return self

    def work(self, offset: tuple[float, float, float]) -> Path:
        """Another work offset; the machine stands where it stood."""
        new = np.array(offset, dtype=float)
        self.at = self.at + self.offset - new
        self.offset = new
        return self

    def length_in_force(self, length_mm: float) -> Path:
        """Another tool length; the spindle stands where it stood."""
        self.at = self.at + np.array([0.0, 0.0, self.length - length_mm])
        self.length = length_mm
        return self

    def rapid(self, x=None, y=None, z=None) -> Path:
        return self._straight(Motion.RAPID, x, y, z)

    def feed(self, x=None, y=None, z=None) -> Path:
        return self._straight(Motion.LINE, x, y, z)

    def probe(self, x=None, y=None, z=None) -> Path:
        self._straight(Motion.LINE, x, y, z)
        self.rows[-1]["skip"] = True
        return self

    def arc(self, centre, to, *, ccw=True, plane=Plane.XY, turns=0) -> Path:
        """Round a centre to a point, `turns` whole turns more."""
        centre, to = np.array(centre, dtype=float), np.array(to, dtype=float)
        a, b, c = AXES[plane]
        begin = math.atan2(self.at[b] - centre[b], self.at[a] - centre[a])
        end = math.atan2(to[b] - centre[b], to[a] - centre[a])
        turn = (end - begin if ccw else begin - end) % (2.0 * math.pi)
        if turn < 1e-9:
            turn = 2.0 * math.pi
        turn += 2.0 * math.pi * turns
        radius = math.hypot(self.at[a] - centre[a], self.at[b] - centre[b])
        length = math.hypot(radius * turn, to[c] - self.at[c])
        centre[c] = self.at[c]
        self._row(Motion.ARC_CCW if ccw else Motion.ARC_CW, to, length, centre=centre, plane=plane, turns=turns)
        return self

    def drill(self, x: float, y: float, *, r: float, z: float, peck: float = 0.0, clear: float = 0.5) -> Path:
        """G81, or with pecks G83: full retracts to R, rapid down to `clear` above the last depth."""
        self.rapid(x, y).rapid(z=r)
        deep = r
        while deep > z:
            if deep < r:
                self.rapid(z=min(deep + clear, r))
            deep = max(deep - peck, z) if peck else z
            self.feed(z=deep).rapid(z=r)
        return self

    def _straight(self, motion: Motion, x, y, z) -> Path:
        to = np.array([old if new is None else new for old, new in zip(self.at, (x, y, z), strict=True)], dtype=float)
        self._row(motion, to, float(np.linalg.norm(to - self.at)))
        return self

    def _row(self, motion, to, length, *, centre=None, plane=Plane.XY, turns=0) -> None:
        self.rows.append(
            {
                "motion": int(motion), "plane": int(plane), "start": self.at + self.offset, "end": to + self.offset,
                "centre": np.full(3, np.nan) if centre is None else centre + self.offset, "turns": turns,
                "length": length, "feed": 0.0 if motion == Motion.RAPID else self.feed_mm_min, "rpm": self.rpm,
                "tool": self.number, "offset": self.offset, "tool_length": self.length, "rotary": self.rotary,
                "skip": False,
            }
        )  # fmt: skip
        self.at = to

    def moves(self) -> Moves:
        n = len(self.rows)

        def column(name: str, dtype=float):
            return np.array([row[name] for row in self.rows], dtype=dtype)

        def triple(name: str):
            return column(name).reshape(n, 3)

        return Moves(
            line=np.arange(1, n + 1), motion=column("motion", np.int8), plane=column("plane", np.int8),
            start_mm=triple("start"), end_mm=triple("end"), centre_mm=triple("centre"), turns=column("turns"),
            length_mm=column("length"), feed_mm_min=column("feed"), feed_per_turn_mm=np.zeros(n), rpm=column("rpm"),
            surface_m_min=np.zeros(n), rpm_cap=np.full(n, np.inf), tool=column("tool", np.int64),
            tool_length_mm=column("tool_length"), offset_mm=triple("offset"), rotary_deg=triple("rotary"),
            cycle=np.zeros(n, dtype=bool), exact_stop=np.zeros(n, dtype=bool), skip=column("skip", bool),
        )  # fmt: skip
