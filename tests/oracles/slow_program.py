"""A plain reader of NC programs: one line after another, no cleverness, written from the words' definitions alone.

Knows G0-G4 G17-G21 G28 (incremental) G54-G59 G80-G83 G85 G90 G91 G94-G99, M0-M9 M30 M98 M99, T S F, N, O, comments.
Arcs go by complex numbers. A move is a dict; positions are machine coordinates, mm, a lathe's X a radius.
"""

from __future__ import annotations

import cmath
import math
import re

WORD = re.compile(r"([A-Z])([-+]?\d*\.?\d*)")
AXES = {17: (0, 1, 2), 18: (2, 0, 1), 19: (1, 2, 0)}
KNOWN_G = {
    0,
    1,
    2,
    3,
    4,
    17,
    18,
    19,
    20,
    21,
    28,
    40,
    49,
    54,
    55,
    56,
    57,
    58,
    59,
    80,
    81,
    82,
    83,
    85,
    90,
    91,
    94,
    95,
    96,
    97,
    98,
    99,
}
KNOWN_M = {0, 1, 3, 4, 5, 6, 8, 9, 30, 98, 99}


class SlowProgram:
    """Runs a program; leaves moves, events (name, line, before, value) and odds (kind, line)."""

    def __init__(self, offsets: dict[int, tuple[float, float, float]], *, diameter: bool, peck_clear: float) -> None:
        self.offsets = offsets
        self.diameter = diameter
        self.peck_clear = peck_clear
        self.moves: list[dict[str, object]] = []
        self.events: list[tuple[str, int, int, float]] = []
        self.odds: list[tuple[str, int]] = []
        self.at = [0.0, 0.0, 0.0]
        self.zero, self.unit, self.inch = 54, False, False
        self.absolute, self.plane, self.mode = True, 18 if diameter else 17, None
        self.cycle: dict[str, float] | None = None
        self.mode_before_cycle = None
        self.to_r = False
        self.feed: dict[int, float | None] = {94: None, 95: None}
        self.feed_mode = 95 if diameter else 94
        self.spin, self.speed, self.surface, self.css = 0, 0.0, 0.0, False
        self.tool = self.next_tool = 0
        self.said_feed = self.said_units = False
        self.ended = False

    # ---- the text

    def run(self, text: str) -> None:
        lines = text.split("\n")
        self.programs = {int(m[1]): i for i, t in enumerate(lines) if (m := re.match(r"O(\d+)", t))}
        self.lines = lines
        self.run_from(0)

    def run_from(self, first: int) -> None:
        i = first
        while i < len(self.lines) and not self.ended:
            text = re.sub(r"\(.*?\)", "", self.lines[i]).replace(" ", "").upper()
            i += 1
            if text in ("", "%"):
                continue
            words = [(a, float(b)) for a, b in WORD.findall(text) if a not in "NO"]
            gs = [v for a, v in words if a == "G"]
            ms = [v for a, v in words if a == "M"]
            letters = {a: v for a, v in words if a not in "GM"}
            if self.block(i, gs, ms, letters) == "back":
                return

    def block(self, line: int, gs: list[float], ms: list[float], w: dict[str, float]) -> str | None:
        unknown = [v for v in gs if v not in KNOWN_G]
        self.odds += [("word", line) for _ in unknown] + [("word", line) for v in ms if v not in KNOWN_M]
        for g in gs:
            if g in (20, 21):
                self.unit, self.inch = True, g == 20
            elif g in (90, 91):
                self.absolute = g == 90
            elif g in (17, 18, 19):
                self.plane = int(g)
            elif 54 <= g <= 59:
                self.zero = int(g)
            elif g in (94, 95):
                self.feed_mode = int(g)
            elif g in (96, 97):
                self.css = g == 96
            elif g in (98, 99):
                self.to_r = g == 99
        mm = 25.4 if self.inch else 1.0
        if "F" in w:
            self.feed[self.feed_mode] = w["F"] * mm
        if "S" in w:
            if self.css:
                self.surface = w["S"] * (0.3048 if self.inch else 1.0)
            else:
                self.speed = w["S"]
        if "T" in w:
            self.next_tool = int(w["T"])
        if 6 in ms and 28 not in gs:
            self.change(line)
        for m in ms:
            if m in (3, 4):
                self.spin = 1 if m == 3 else -1
            if m == 8:
                self.events.append(("COOLANT", line, len(self.moves), 1.0))
        if 3 in ms or 4 in ms or (self.spin and ("S" in w or 96 in gs or 97 in gs)):
            rpm = self.rpm(self.at[0] - self.offsets[self.zero][0])
            self.events.append(("SPINDLE", line, len(self.moves), self.spin * rpm))
        if 4 in gs:
            self.events.append(("DWELL", line, len(self.moves), w["P"] / 1000.0))
        if 80 in gs and self.cycle is not None:
            self.mode, self.cycle = self.mode_before_cycle, None
        motion = [g for g in gs if g in (0, 1, 2, 3, 81, 82, 83, 85)]
        if motion and motion[-1] >= 81:
            if self.cycle is None:
                self.mode_before_cycle = self.mode
                self.cycle = {"level": self.at[AXES[self.plane][2]]}
            self.mode = motion[-1]
        elif motion:
            self.mode, self.cycle = motion[-1], None
        if 28 in gs:
            self.home(line, w, mm)
        elif 4 not in gs and (motion or not unknown):
            self.motion(line, w, mm)
        if 6 in ms and 28 in gs:
            self.change(line)
        for m in ms:
            if m == 5:
                self.spin = 0
                self.events.append(("SPINDLE", line, len(self.moves), 0.0))
            if m == 9:
                self.events.append(("COOLANT", line, len(self.moves), 0.0))
            if m in (0, 1):
                self.events.append(("STOP", line, len(self.moves), m))
            if m == 30:
                self.events.append(("END", line, len(self.moves), 0.0))
                self.ended = True
        if 98 in ms and not self.ended:
            if int(w["P"]) not in self.programs:
                self.odds.append(("subprogram", line))
            else:
                for _ in range(int(w.get("L", 1))):
                    self.run_from(self.programs[int(w["P"])])
        return "back" if 99 in ms else None

    def change(self, line: int) -> None:
        if self.next_tool != self.tool:
            self.tool = self.next_tool
            self.events.append(("TOOL_CHANGE", line, len(self.moves), self.tool))

    def rpm(self, x: float) -> float:
        if not self.spin:
            return 0.0
        if not self.css:
            return self.speed
        return self.surface * 1000.0 / (2.0 * math.pi * abs(x)) if x else math.inf

    # ---- moves

    def goal(self, w: dict[str, float], mm: float) -> list[float] | None:
        if not set("XYZ") & set(w):
            return None
        goal = list(self.at)
        for k, a in enumerate("XYZ"):
            if a in w:
                size = w[a] * mm * (0.5 if self.diameter and a == "X" else 1.0)
                goal[k] = self.offsets[self.zero][k] + size if self.absolute else goal[k] + size
        return goal

    def put(
        self,
        line: int,
        way: int,
        goal: list[float],
        length: float | None = None,
        centre: object = None,
        cycle: bool = False,
    ) -> None:
        far = math.sqrt(sum((a - b) ** 2 for a, b in zip(goal, self.at, strict=True))) if length is None else length
        if not self.said_units and not self.unit:
            self.odds.append(("units", line))
        self.said_units = True
        if far == 0.0:
            return
        rpm = self.rpm(goal[0] - self.offsets[self.zero][0])
        feed: float | None = 0.0
        if way:
            feed = self.feed[self.feed_mode]
            if not feed and not self.said_feed:
                self.said_feed = True
                self.odds.append(("feed", line))
            feed = math.nan if feed is None else feed
            feed = feed * rpm if self.feed_mode == 95 else feed
        self.moves.append({
            "line": line, "motion": way, "start": list(self.at), "end": list(goal), "length": far, "feed": feed,
            "rpm": rpm, "tool": self.tool, "offset": self.offsets[self.zero], "cycle": cycle, "centre": centre,
        })  # fmt: skip
        self.at = list(goal)

    def home(self, line: int, w: dict[str, float], mm: float) -> None:
        goal = self.goal(w, mm)
        if goal is not None:
            self.put(line, 0, goal)
        named = [k for k, a in enumerate("XYZ") if a in w] or [0, 1, 2]
        self.put(line, 0, [0.0 if k in named else self.at[k] for k in range(3)])

    def motion(self, line: int, w: dict[str, float], mm: float) -> None:
        goal = self.goal(w, mm)
        if self.cycle is not None:
            across = AXES[self.plane][2]
            zero = self.offsets[self.zero][across]
            if "Q" in w:
                self.cycle["Q"] = w["Q"] * mm
            # R and Z become heights above the work zero when they are written, and stay there.
            if "R" in w:
                self.cycle["R"] = w["R"] * mm if self.absolute else self.cycle["level"] - zero + w["R"] * mm
            if "XYZ"[across] in w:
                deep = w["XYZ"[across]] * mm
                self.cycle["bottom"] = deep if self.absolute else self.cycle["R"] + deep
            if "P" in w:
                self.cycle["P"] = w["P"] / 1000.0
            if goal is not None:
                for _ in range(int(w.get("L", 1))):
                    self.hole(line, self.goal(w, mm) or [], across)
            return
        arc = self.mode in (2, 3)
        if goal is None and not (arc and set("IJKR") & set(w)):
            return
        if self.mode is None:
            self.odds.append(("motion", line))
            self.mode = 0
        goal = goal or list(self.at)
        if arc:
            self.arc(line, goal, w, mm)
        else:
            self.put(line, int(self.mode), goal)

    def arc(self, line: int, goal: list[float], w: dict[str, float], mm: float) -> None:
        u, v, across = AXES[self.plane]
        a, b = complex(self.at[u], self.at[v]), complex(goal[u], goal[v])
        turn = -1.0 if self.mode == 2 else 1.0
        if "R" in w:
            r = w["R"] * mm
            chord = b - a
            if chord == 0:
                self.odds.append(("arc", line))
                self.put(line, 1, goal)
                return
            # The centre stands square to the chord's middle, to the left of a short counter-clockwise arc.
            high = math.sqrt(max(0.0, r * r - abs(chord) ** 2 / 4))
            c = (a + b) / 2 + 1j * chord / abs(chord) * high * turn * math.copysign(1.0, r)
            if abs(chord) > 2 * abs(r) + (0.00254 if self.inch else 0.001):
                self.odds.append(("arc", line))
        else:
            c = a + complex(w.get("IJK"[u], 0.0), w.get("IJK"[v], 0.0)) * mm
            if not {"IJK"[u], "IJK"[v]} & set(w):
                self.odds.append(("arc", line))
                self.put(line, 1, goal)
                return
            if abs(abs(a - c) - abs(b - c)) > 0.02 or a == c:
                self.odds.append(("arc", line))
        swept = (turn * (cmath.phase(b - c) - cmath.phase(a - c))) % (2 * math.pi)
        swept = swept if abs(b - a) > 1e-6 and swept else 2 * math.pi
        radius = (abs(a - c) + abs(b - c)) / 2
        centre = list(self.at)
        centre[u], centre[v] = c.real, c.imag
        self.put(
            line,
            int(self.mode or 0),
            goal,
            math.sqrt((radius * swept) ** 2 + (goal[across] - self.at[across]) ** 2),
            centre,
        )

    def hole(self, line: int, goal: list[float], across: int) -> None:
        assert self.cycle is not None
        zero = self.offsets[self.zero][across]
        level = self.cycle["level"]
        r, z = zero + self.cycle["R"], zero + self.cycle["bottom"]
        goal[across] = self.at[across]

        def to(way: int, height: float) -> None:
            self.put(line, way, [height if k == across else goal[k] for k in range(3)], cycle=True)

        if self.at[across] < r:
            self.put(line, 0, [r if k == across else self.at[k] for k in range(3)], cycle=True)
            goal[across] = r
        self.put(line, 0, goal, cycle=True)
        to(0, r)
        if self.mode == 83:
            depth = r
            while depth - self.cycle["Q"] > z + 1e-9:
                depth -= self.cycle["Q"]
                to(1, depth)
                to(0, r)
                to(0, min(r, depth + self.peck_clear))
        to(1, z)
        if self.mode == 82 and self.cycle.get("P"):
            self.events.append(("DWELL", line, len(self.moves), self.cycle["P"]))
        if self.mode == 85:
            to(1, r)
        to(0, r if self.to_r or level < r else level)
