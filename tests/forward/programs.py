"""Programs made up for the leaving check: clean ones, the same with one fault planted, and the nearest legal variant.

Written from the command line's contract alone; imports nothing of steadyrest. Two writers, a mill and a lathe, each at
random sizes, places, tools, units and work zeros. A *twist* changes one thing: a fault (what must be found, at which
line) or a legal one (nothing may be found). The clean twin is the same draw without a twist.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from tests.oracles.plain_clock import Clock, Control

MACHINE, FILE = "one", "PART.nc"


@dataclass
class Tool:
    number: int
    kind: str
    role: str
    diameter: float
    length: float
    holder_rpm: float = 8000.0
    life: float = 9000.0
    used: float = 100.0
    coolant: bool = False


@dataclass
class Floor:
    """The machine and what the shop file says, before it is written down."""

    lathe: bool
    travel: dict[str, tuple[float, float]]
    offsets: dict[str, tuple[float, float, float]]
    max_rpm: float
    rapid: dict[str, float]
    accel: float
    change: float
    units: tuple[str, str]
    tools: list[Tool]
    dwell: dict[str, str] = field(default_factory=lambda: {"P": "ms", "X": "s"})
    arc_tolerance: float = 0.05
    peck_clear: float = 1.0
    switch: bool = False
    chuck_rpm: float = 3000.0
    bar: tuple[float, float, float] | None = None  # length, per part, rest
    alone: bool = True
    blank: str = ""

    def tool(self, number: int) -> Tool:
        return next(tool for tool in self.tools if tool.number == number)

    def toml(self) -> str:
        kind = "lathe" if self.lathe else "mill"
        rows = [
            f"[machine.{MACHINE}]", f'kind = "{kind}"', f"may_run_alone = {str(self.alone).lower()}",
            f'unit_words = {{inch = "{self.units[0]}", metric = "{self.units[1]}"}}',
            "travel_mm = {" + ", ".join(f"{a} = [{lo:.4f}, {hi:.4f}]" for a, (lo, hi) in self.travel.items()) + "}",
            *(f"offsets_mm.{w} = {{x = {x:.4f}, y = {y:.4f}, z = {z:.4f}}}" for w, (x, y, z) in self.offsets.items()),
            f"max_rpm = {self.max_rpm}",
            "rapid_mm_min = {" + ", ".join(f"{a} = {v}" for a, v in self.rapid.items()) + "}",
            f"accel_mm_s2 = {self.accel}", 'corner = "stop"', f"tool_change_s = {self.change}",
            f"arc_tolerance_mm = {self.arc_tolerance}",
            "dwell = {" + ", ".join(f'{letter} = "{unit}"' for letter, unit in self.dwell.items()) + "}",
            f"peck_clear_mm = {self.peck_clear}", f"optional_stop_switch = {str(self.switch).lower()}",
            "hold_point_calls = [9011]", "library = [9011, 9012]",
        ]  # fmt: skip
        if self.lathe:
            rows += ["x_is_diameter = true", 'tool_word = "TTOO"', f"chuck_max_rpm = {self.chuck_rpm}"]
            rows += ['speed_clamp_words = ["G50", "G92"]']
            rest = self.bar[2] if self.bar else 60.0
            rows += [f'bar_feed = {{word = "M70", rest_mm = {rest}}}']
        for tool in self.tools:
            rows += [
                f"[[machine.{MACHINE}.tool]]", f"number = {tool.number}", f'kind = "{tool.kind}"',
                f'role = "{tool.role}"', f"diameter_mm = {tool.diameter}", f"length_mm = {tool.length}",
                f"holder_max_rpm = {tool.holder_rpm}", f"life_s = {tool.life!r}", f"used_s = {tool.used}",
                f"needs_coolant = {str(tool.coolant).lower()}",
            ]  # fmt: skip
        rows += [f'[program."{FILE}"]', f'machine = "{MACHINE}"', f"blank = {self.blank}"]
        if self.bar:
            rows += [f"bar = {{length_mm = {self.bar[0]!r}, per_part_mm = {self.bar[1]}}}"]
        return "\n".join(rows) + "\n"

    def clock(self, text: str) -> Clock:
        numbers = {int(word[1:]): place for word, place in self.offsets.items()}
        return Clock(
            text,
            Control(
                lathe=self.lathe, rapid={"x": 1e9, "y": 1e9, "z": 1e9} | self.rapid, accel=self.accel,
                tool_change=self.change, offsets=numbers, inch=int(self.units[0][1:]), metric=int(self.units[1][1:]),
                dwell=self.dwell, peck_clear=self.peck_clear,
                lengths={tool.number: tool.length for tool in self.tools},
            ),
        )  # fmt: skip


@dataclass
class Made:
    """A program with its shop file and the truth. wanted: kind and line (None: no single line), or nothing."""

    name: str
    text: str
    floor: Floor
    wanted: tuple[str, int | None] | None

    def time(self) -> tuple[float, Mapping[int, float]]:
        """Seconds of the run and of each tool's cut, by the plain clock."""
        clocked = self.floor.clock(self.text).run()
        return clocked.total, clocked.cut


class Writer:
    """Lines as they are written; remembers where the fault went in."""

    def __init__(self, floor: Floor, twist: str, rng: np.random.Generator, inch: bool) -> None:
        self.floor, self.twist, self.rng, self.inch = floor, twist, rng, inch
        self.lines: list[str] = []
        self.wanted: tuple[str, int | None] | None = None
        self.spaced = bool(rng.random() < 0.5)
        self.numbered = bool(rng.random() < 0.3)
        self.noughts = bool(rng.random() < 0.3)  # G01, M06
        self.small = bool(rng.random() < 0.1)
        self.count = 0

    def add(self, *words: str) -> int:
        """A line of words; its number."""
        if self.noughts:
            words = tuple(f"{word[0]}0{word[1]}" if len(word) == 2 and word[0] in "GM" else word for word in words)
        text = (" " if self.spaced else "").join(words)
        if self.small and "(" not in text:
            text = text.lower()
        if self.numbered and words[0][0] not in "%(Oo":
            self.count += 10
            text = f"N{self.count}{' ' if self.spaced else ''}{text}"
        self.lines.append(text)
        return len(self.lines)

    def fault(self, kind: str, line: int | None) -> None:
        if self.wanted is None:
            self.wanted = (kind, line)

    def n(self, letter: str, mm: float) -> str:
        """A length as a word, in the program's unit."""
        value = mm / 25.4 if self.inch else mm
        text = f"{value:.5f}" if self.inch else f"{value:.3f}"
        text = text.rstrip("0")
        return letter + ("0." if text in ("-0.", "0.") else text)

    def go(self, **axes: float) -> int:
        """Rapid, one axis after the other."""
        line = 0
        for letter, mm in axes.items():
            line = self.add("G0", self.n(letter.upper(), mm))
        return line


# ---- a mill ----------------------------------------------------------------------------------------------------------


def mill(seed: int, twist: str = "") -> Made:
    """A milling program: face, rough pockets, hold point, finish them, drill, break edges."""
    rng, twisted = np.random.default_rng([1, seed]), np.random.default_rng([2, seed])
    inch = bool(rng.random() < 0.5)
    zero_word = f"G{rng.integers(54, 60)}"
    zero = (round(rng.uniform(150, 400), 3), round(rng.uniform(80, 200), 3), -420.0)
    max_rpm = float(rng.integers(80, 120) * 100)
    x, y = (float(rng.integers(80, 300) * 100) for _ in "xy")
    floor = Floor(
        lathe=False,
        travel={"x": (-20.0, 760.0), "y": (-10.0, 420.0), "z": (-520.0, 0.0)},
        offsets={"G54": (100.0, 100.0, -430.0), zero_word: zero},
        max_rpm=max_rpm,
        rapid={"x": x, "y": y, "z": float(rng.integers(60, 200) * 100)},
        accel=float(rng.integers(4, 40) * 100),
        change=float(rng.integers(2, 60) / 2),
        units=("G20", "G21") if rng.random() < 0.7 else ("G70", "G71"),
        tools=[
            Tool(1, "face mill", "face", 50.0, 60.0),
            Tool(2, "end mill", "rough", float(rng.choice([6.0, 8.0])), 70.0),
            Tool(3, "end mill", "finish", float(rng.choice([10.0, 12.0])), 75.0),
            Tool(4, "drill", "drill", 6.8, 110.0, coolant=True),
            Tool(5, "end mill", "finish", 5.0, 55.0),
            Tool(6, "end mill", "rough", 16.0, 80.0),
        ],
        dwell={"P": "ms", "X": "s"} if rng.random() < 0.6 else {"P": "s", "X": "s"},
        peck_clear=float(rng.integers(1, 8) / 4),
    )  # fmt: skip
    long, wide, high = float(rng.integers(100, 180)), float(rng.integers(70, 110)), float(rng.integers(25, 40))
    floor.blank = f'{{shape = "box", min_mm = [0.0, 0.0, {-high}], max_mm = [{long}, {wide}, 0.0]}}'
    w = Writer(floor, twist, twisted, inch)
    _MillProgram(w, rng, zero_word, long, wide, high).write()
    text = "\n".join(w.lines) + "\n"
    made = Made(f"mill {seed} {twist or 'clean'}", text, floor, w.wanted)
    _wear(made, twist, twisted)
    return made


class _MillProgram:
    def __init__(self, w: Writer, rng: np.random.Generator, zero: str, long: float, wide: float, high: float) -> None:
        self.w, self.rng, self.zero = w, rng, zero
        self.long, self.wide, self.high = long, wide, high
        self.feed = float(rng.integers(3, 9) * 100)
        self.pockets = [(long * 0.25, wide * 0.5), (long * 0.7, wide * 0.5)]
        self.side = float(rng.integers(24, 30))
        self.depth = float(rng.integers(4, 9))
        # One stretch of the program where a twist of place goes in.
        self.where = int(w.rng.integers(0, 3))
        self.feed_given = False

    def f(self) -> str:
        value = self.feed / 25.4 if self.w.inch else self.feed
        return f"F{value:.3f}".rstrip("0")

    def rpm(self, tool: Tool) -> float:
        return float(min(tool.holder_rpm, self.w.floor.max_rpm) - 100 * int(self.rng.integers(1, 30)))

    def write(self) -> None:
        w, twist = self.w, self.w.twist
        w.add("%")
        w.add(f"O{self.rng.integers(1000, 8000)}", "(PLATE, M0 IN A COMMENT)")
        w.add("(T99 IS NOT CALLED, G123 NEITHER)")
        if self.rng.random() < 0.5:
            w.lines.append("")
        units = w.floor.units[0 if w.inch else 1]
        start = ["G17", "G40", "G49", "G80", "G90", "G94"]
        if twist != "units missing":
            start.insert(0, units)
        w.add(*start)
        if twist == "legal: words that do nothing":
            w.add("G61", "G55" if "G55" in w.floor.offsets else "G54")
        self.face()
        self.stop_twists(0)
        self.rough()
        self.hold()
        self.stop_twists(1)
        self.finish()
        self.drill()
        self.stop_twists(2)
        self.edges()
        self.tour()
        w.add("M9")
        w.add("G53", "G0", "Z0.")
        w.add("M30")
        self.hole_pattern()
        self.steps_pattern()
        w.add("%")
        if twist == "units missing":
            w.fault("units", next(n for n, line in enumerate(w.lines, 1) if "G43" in line.upper()))

    def call(self, number: int, *, coolant: bool = True, rpm: float | None = None) -> Tool:
        w = self.w
        tool = w.floor.tool(number)
        if w.twist == "tool missing" and self.where == {1: 0, 3: 1, 4: 2}.get(number):
            line = w.add("T77", "M6")
            w.fault("tool missing", line)
        w.add(f"T{number}", "M6")
        speed = rpm or self.rpm(tool)
        at_limit = {1: 0, 2: 1, 3: 2}.get(number) == self.where
        if w.twist == "speed over machine" and at_limit:
            for each in w.floor.tools:
                each.holder_rpm = 2 * w.floor.max_rpm
            w.fault("speed", w.add(f"S{w.floor.max_rpm + 1:.0f}", "M3"))
        elif w.twist == "speed over holder" and at_limit:
            tool.holder_rpm = float(int(speed) - 50)
            w.fault("speed", w.add(f"S{speed:.0f}", "M3"))
        elif w.twist == "legal: speed at its limit" and at_limit:
            tool.holder_rpm = w.floor.max_rpm
            w.add(f"S{w.floor.max_rpm:.0f}", "M3")
        else:
            w.add(f"S{speed:.0f}", "M3")
        w.add(self.zero)
        w.add("G43", w.n("Z", 50.0), f"H{number}", "G0")
        if coolant:
            w.add("M8")
        return tool

    def away(self) -> None:
        self.w.go(z=50.0)

    def cut(self, *words: str) -> int:
        """A feed block; the first of a tool brings its F, unless that is the twist."""
        if not self.feed_given:
            self.feed_given = True
            if self.w.twist == "feed missing":
                line = self.w.add("G1", *words)
                self.w.fault("feed", line)
                self.w.add("G1", self.f())
                return line
            if self.w.twist == "legal: feed before the cut":
                self.w.add(self.f())
                return self.w.add("G1", *words)
        return self.w.add("G1", *words, self.f())

    def face(self) -> None:
        w = self.w
        self.call(1)
        w.go(x=-35.0, y=self.wide / 2, z=2.0)
        self.cut(w.n("Z", -0.5))
        self.cut(w.n("X", self.long + 35.0))
        self.travel_twists(0)
        self.away()
        if w.twist == "word unknown" and self.where == 0:
            w.fault("word", w.add("G123"))

    def around(self, x: float, y: float, half: float) -> None:
        """A square with rounded corners, counter-clockwise, beginning at (x + half, y)."""
        w, r = self.w, 3.0
        ij = self.rng.random() < 0.6
        self.cut(w.n("Y", y + half - r))
        corners = [
            ((x + half - r, y + half), (-r, 0.0), ("X", x - half + r)),
            ((x - half, y + half - r), (0.0, -r), ("Y", y - half + r)),
            ((x - half + r, y - half), (r, 0.0), ("X", x + half - r)),
            ((x + half, y - half + r), (0.0, r), ("Y", y)),
        ]
        for (ex, ey), (i, j), (letter, mm) in corners:
            centre = [w.n("I", i), w.n("J", j)] if ij else [w.n("R", r)]
            w.add("G3", w.n("X", ex), w.n("Y", ey), *centre)
            w.add("G1", w.n(letter, mm))

    def rough(self) -> None:
        w = self.w
        tool = self.call(6 if w.twist == "legal: larger rough" else 2)
        for number, (x, y) in enumerate(self.pockets):
            if w.twist == "legal: rough elsewhere":
                y = self.wide * 0.5
                half = 0.0
                w.go(x=x, y=8.0, z=2.0)
                self.cut(w.n("Z", -self.depth))
                self.cut(w.n("X", x + 5.0))
                w.go(z=2.0)
                continue
            half = self.side / 2 - tool.diameter / 2 - 0.5
            w.go(x=x + half, y=y, z=2.0)
            self.cut(w.n("Z", -self.depth))
            self.around(x, y, half)
            if number == 0:
                self.rapid_twists(x, y, half)
                self.arc_twists(x, y, half)
            w.go(z=2.0)
        self.travel_twists(1)
        self.away()
        if w.twist == "subprogram missing":
            w.fault("subprogram", w.add("M98", "P7777"))
        if w.twist == "call missing":
            w.fault("subprogram", w.add("G65", "P8888", "A1."))
        if w.twist == "legal: library call":
            w.add("G65", "P9012", "A1.")

    def rapid_twists(self, x: float, y: float, half: float) -> None:
        w = self.w
        if w.twist == "rapid across":
            w.fault("rapid", w.add("G0", w.n("X", x + half + self.side / 2)))
            w.go(z=2.0)
            w.go(x=x + half)
        elif w.twist == "rapid plunge":
            w.go(z=2.0)
            w.go(y=8.0)
            w.fault("rapid", w.add("G0", w.n("Z", -3.0)))
            w.go(z=2.0)
            w.go(y=y)
        elif w.twist == "legal: rapid where it is cut":
            # Back along the slot that was just cut, at its depth.
            w.add("G0", w.n("Y", y + half - 3.5))
            w.add("G0", w.n("Y", y))
            w.go(z=2.0)
            w.add("G0", w.n("Z", -self.depth + 0.5))
        elif w.twist == "legal: rapid over the top":
            w.go(z=0.5)
            w.go(x=x + half + 5.0)
            w.go(x=x + half)

    def arc_twists(self, x: float, y: float, half: float) -> None:
        """At (x + half, y), at depth: a small arc and back."""
        w, r = self.w, 2.0
        off = {"arc mismatch": 0.4, "legal: arc within tolerance": 0.02}.get(w.twist)
        if off is not None:
            line = w.add("G3", w.n("X", x + half - 2 * r), w.n("Y", y), w.n("I", -r - off / 2), w.n("J", 0.0))
        elif w.twist == "arc too far":
            line = w.add("G3", w.n("X", x + half - 2 * r - 1.0), w.n("Y", y), w.n("R", r))
        elif w.twist == "legal: arc of half a turn":
            line = w.add("G3", w.n("X", x + half - 2 * r), w.n("Y", y), w.n("R", r))
        else:
            return
        if not w.twist.startswith("legal"):
            w.fault("arc", line)
        w.add("G1", w.n("X", x + half), w.n("Y", y))

    def hold(self) -> None:
        w = self.w
        limits = [w.n("I", 11.9), w.n("K", 12.1)]
        if w.twist in ("hold point missing", "legal: larger rough", "legal: rough elsewhere"):
            return
        if w.twist == "hold point only records":
            limits = ["D1."]
        if w.twist == "hold point with one limit":
            limits = limits[:1]
        w.add("M5")
        w.add("G65", "P9011", *limits)
        if w.twist == "hold point too early":
            self.call(2)
            x, y = self.pockets[1]
            w.go(x=x, y=y + 2.0, z=2.0)
            self.cut(w.n("Z", -self.depth / 2))
            self.cut(w.n("X", x + 3.0))
            self.away()

    def finish(self) -> None:
        w = self.w
        dry = w.twist == "coolant missing"
        if dry:
            w.add("M9")
        tool = self.call(3, coolant=not dry)
        for number, (x, y) in enumerate(self.pockets):
            half = self.side / 2 - tool.diameter / 2
            w.go(x=x + half, y=y, z=2.0)
            line = self.cut(w.n("Z", -self.depth))
            if w.twist.startswith("hold point") and (number == 0 or w.twist == "hold point too early"):
                wanted = number == (1 if w.twist == "hold point too early" else 0)
                if wanted:
                    w.fault("hold point", line)
            self.around(x, y, half)
            w.go(z=2.0)
        self.travel_twists(2)
        self.away()
        if w.twist == "word unknown" and self.where == 1:
            w.fault("word", w.add("M777"))

    def drill(self) -> None:
        w = self.w
        dry = w.twist in ("coolant missing", "legal: coolant left on", "legal: coolant in the block of the cut")
        if w.twist == "legal: coolant in the block of the cut":
            w.add("M9")
        self.call(4, coolant=not dry)
        late = w.twist == "legal: coolant in the block of the cut"
        cycle = str(self.rng.choice(["G81", "G82", "G83", "G85"]))
        back = str(self.rng.choice(["G98", "G99"]))
        w.go(x=8.0, y=8.0, z=5.0)
        words = [back, cycle, w.n("X", 8.0), w.n("Y", 8.0), w.n("Z", -14.0), w.n("R", 2.0)]
        if cycle == "G83":
            words.append(w.n("Q", float(self.rng.integers(3, 7))))
        if cycle == "G82":
            words.append("P400" if w.floor.dwell["P"] == "ms" else "P0.4")
        line = w.add(*words, self.f(), *(["M8"] if late else []))
        if w.twist == "coolant missing":
            w.fault("coolant", line)
        w.add("M98", "P100")
        w.add("G80")
        w.add("G4", "X0.5") if w.floor.dwell.get("X") == "s" else None
        self.away()

    def hole_pattern(self) -> None:
        w = self.w
        w.add("O100")
        for x in (30.0, self.long - 20.0):
            w.add(w.n("X", x))
        w.add("G91", w.n("X", 5.0))
        w.add("G90")
        w.add("M99")

    def edges(self) -> None:
        w = self.w
        tool = self.call(5)
        x, y = self.pockets[0]
        half = self.side / 2 - tool.diameter / 2
        w.go(x=x + half, y=y, z=2.0)
        self.cut(w.n("Z", -1.0))
        w.add("G2", w.n("X", x + half), w.n("Y", y), w.n("I", -half), w.n("J", 0.0))
        self.away()
        if w.twist == "word unknown" and self.where == 2:
            w.fault("word", w.add("G1", w.n("Z", 50.0), "V7."))

    def tour(self) -> None:
        """Moves of every kind in the air above the work, with the last tool."""
        w, rng = self.w, self.rng
        at = np.array([20.0, 20.0, 30.0])
        w.go(x=at[0], y=at[1], z=at[2])
        for _ in range(int(rng.integers(4, 12))):
            kind = int(rng.integers(0, 9))
            to = np.round(rng.uniform([10, 10, 20], [self.long, self.wide, 45]), 3)
            if kind == 0:
                w.add("G1", w.n("X", to[0]), w.n("Y", to[1]), w.n("Z", to[2]), self.f())
                at = to
            elif kind in (1, 2, 3):
                at = self.arc_of(at, kind - 1)
            elif kind == 4:
                step = np.round(rng.uniform(-5, 5, 2), 3)
                w.add("G91", "G1", w.n("X", step[0]), w.n("Y", step[1]), self.f())
                w.add("G90")
                at = at + np.array([step[0], step[1], 0.0])
            elif kind == 5:
                w.add("G4", "P250" if w.floor.dwell["P"] == "ms" else "P0.25")
            elif kind == 6:
                w.add("G91", "G28", w.n("Z", 0.0))
                w.add("G90")
                w.go(z=at[2])
            elif kind == 7:
                w.add("M98", "P200", "L2")
                at = at + np.array([2 * 3 * 1.5, 0.0, 0.0])
            else:
                w.add("G95", "G1", w.n("X", to[0]), f"F{0.08 / 25.4 if w.inch else 0.08:.5f}".rstrip("0"))
                w.add("G94", self.f())
                at = np.array([to[0], at[1], at[2]])

    def arc_of(self, at: np.ndarray, plane: int) -> np.ndarray:
        """An arc in one of the three planes, some of them helices, some by their radius."""
        w, rng = self.w, self.rng
        u, v, across = ((0, 1, 2), (2, 0, 1), (1, 2, 0))[plane]
        radius, begins = float(rng.uniform(3, 8)), float(rng.uniform(0, 2 * math.pi))
        turn = float(rng.uniform(0.3, 5.5))
        word = "G3" if rng.random() < 0.5 else "G2"
        ends = begins + (turn if word == "G3" else -turn)
        centre = np.array([at[u] - radius * math.cos(begins), at[v] - radius * math.sin(begins)])
        to = at.copy()
        to[u], to[v] = centre[0] + radius * math.cos(ends), centre[1] + radius * math.sin(ends)
        to[across] += float(rng.uniform(-2, 2)) if rng.random() < 0.4 else 0.0
        words = [f"G{17 + plane}", word, *(w.n("XYZ"[axis], float(to[axis])) for axis in range(3))]
        if rng.random() < 0.3 and abs(turn - math.pi) > 0.2:
            words.append(w.n("R", radius if turn < math.pi else -radius))
        else:
            words += [w.n("IJK"[u], float(centre[0] - at[u])), w.n("IJK"[v], float(centre[1] - at[v]))]
        w.add(*words, self.f())
        w.add("G17")
        return to

    def steps_pattern(self) -> None:
        """Subprograms that call each other, with repeats: 1.5 mm along X each time."""
        w = self.w
        w.add("O200")
        w.add("M98", "P300", "L3")
        w.add("M99")
        w.add("O300")
        w.add("G91", "G1", w.n("X", 1.5), self.f())
        w.add("G90")
        w.add("M99")

    def stop_twists(self, place: int) -> None:
        w = self.w
        if place != self.where:
            return
        if w.twist == "stop M0":
            w.fault("stop", w.add("M0"))
        if w.twist == "stop M1":
            w.floor.switch = True
            w.fault("stop", w.add("M1"))
        if w.twist == "legal: M1 with the switch off":
            w.add("M1")

    def travel_twists(self, place: int) -> None:
        w = self.w
        if place != self.where:
            return
        x0, y0, _z0 = w.floor.offsets[self.zero]
        if w.twist == "travel rapid":
            w.go(z=50.0)
            w.fault("travel", w.add("G0", w.n("X", w.floor.travel["x"][1] - x0 + 1.0)))
            w.go(x=50.0)
        elif w.twist == "travel feed":
            w.go(z=50.0)
            w.fault("travel", self.cut(w.n("Y", w.floor.travel["y"][0] - y0 - 1.0)))
            w.go(y=50.0)
        elif w.twist == "travel G53":
            w.go(z=50.0)
            w.fault("travel", w.add("G53", "G0", w.n("Y", w.floor.travel["y"][1] + 2.0)))
        elif w.twist == "travel of an arc":
            edge = w.floor.travel["x"][1] - x0
            w.go(z=50.0)
            w.go(x=edge - 5.0, y=20.0)
            w.fault("travel", w.add("G3", w.n("X", edge - 5.0), w.n("Y", 36.0), w.n("R", 8.0), self.f()))
        elif w.twist == "legal: travel to its end":
            w.go(z=50.0)
            w.add("G53", "G0", w.n("X", w.floor.travel["x"][1]))
            w.add("G53", "G0", w.n("Y", w.floor.travel["y"][0]))


# ---- a lathe ---------------------------------------------------------------------------------------------------------


def lathe(seed: int, twist: str = "") -> Made:
    """A turning program on bar: face, rough, finish with arcs, drill, part off, pull the bar; so many parts."""
    rng, twisted = np.random.default_rng([3, seed]), np.random.default_rng([4, seed])
    inch = bool(rng.random() < 0.4)
    diameter = float(rng.integers(24, 60))
    floor = Floor(
        lathe=True,
        travel={"x": (-230.0, 5.0), "z": (-600.0, 5.0)},
        offsets={"G54": (-200.0, 0.0, round(float(-rng.integers(3000, 4500)) / 10, 3))},
        max_rpm=float(rng.integers(30, 50) * 100),
        rapid={"x": float(rng.integers(50, 150) * 100), "z": float(rng.integers(80, 240) * 100)},
        accel=float(rng.integers(4, 30) * 100),
        change=float(rng.integers(2, 16) / 2),
        units=("G20", "G21") if rng.random() < 0.7 else ("G70", "G71"),
        tools=[
            Tool(1, "turning", "rough", 0.0, 30.0),
            Tool(2, "turning", "finish", 0.0, 30.0),
            Tool(3, "drill", "drill", 8.0, 90.0, coolant=True),
            Tool(4, "part-off", "part-off", 0.0, 40.0),
        ],
        chuck_rpm=float(rng.integers(20, 29) * 100),
    )
    parts = int(rng.integers(2, 6))
    per_part, rest = float(rng.integers(40, 60)), float(rng.integers(50, 90))
    floor.bar = (parts * per_part + rest + float(rng.integers(0, 100)), per_part, rest)
    floor.blank = f'{{shape = "round", diameter_mm = {diameter}, z_mm = [{-per_part - 100.0}, 1.0]}}'
    w = Writer(floor, twist, twisted, inch)
    if twist == "bar too short":
        floor.bar = (parts * per_part + rest - 1.0, per_part, rest)
        w.fault("bar", None)
    if twist == "legal: bar to its rest":
        floor.bar = (parts * per_part + rest, per_part, rest)
    _LatheProgram(w, rng, diameter, parts).write()
    made = Made(f"lathe {seed} {twist or 'clean'}", "\n".join(w.lines) + "\n", floor, w.wanted)
    _wear(made, twist, twisted)
    return made


class _LatheProgram:
    def __init__(self, w: Writer, rng: np.random.Generator, diameter: float, parts: int) -> None:
        self.w, self.rng, self.d, self.parts = w, rng, diameter, parts
        self.where = int(w.rng.integers(0, 3))
        self.length = float(rng.integers(20, 34))

    def f(self, per_turn: float) -> str:
        return f"F{per_turn / 25.4 if self.w.inch else per_turn:.5f}".rstrip("0")

    def s(self, m_min: float) -> str:
        return f"S{m_min / 0.3048 if self.w.inch else m_min:.0f}"

    def write(self) -> None:
        w, floor = self.w, self.w.floor
        w.add("%")
        w.add(f"O{self.rng.integers(1000, 8000)}", "(BUSH)")
        units = floor.units[0 if w.inch else 1]
        w.add(*([] if w.twist == "units missing" else [units]), "G18", "G40", "G80", "G90", "G95")
        if w.twist == "speed without a clamp":
            pass
        elif w.twist == "speed clamp above the chuck":
            w.add("G50", f"S{floor.chuck_rpm + 100:.0f}")
        elif w.twist == "legal: clamp at the chuck":
            w.add("G92", f"S{floor.chuck_rpm:.0f}")
        else:
            w.add("G50", f"S{floor.chuck_rpm - 100:.0f}")
        w.add("G54")
        w.add("M98", "P100", f"L{self.parts}")
        if w.twist == "stop M0":
            w.fault("stop", w.add("M0"))
        if w.twist == "legal: M1 with the switch off":
            w.add("M1")
        w.add("M30")
        w.add("O100")
        self.part()
        w.add("M99")
        w.add("%")
        if w.twist == "units missing":
            w.fault("units", next(n for n, line in enumerate(w.lines, 1) if "G53" in line.upper()))

    def call(self, number: int) -> None:
        w = self.w
        w.add("G53", "G0", w.n("X", 0.0))
        w.add("G53", "G0", w.n("Z", 0.0))
        if w.twist == "tool missing" and number == self.where + 1:
            w.fault("tool missing", w.add("T1111"))
        w.add(f"T{number:02d}{number:02d}")

    def part(self) -> None:
        w, d = self.w, self.d
        self.call(1)
        surface = float(self.rng.integers(120, 220))
        w.add("G96", self.s(surface), "M3")
        w.add("M8")
        beside = w.go(x=d + 4.0)
        w.go(z=0.0)
        cut = w.add("G1", w.n("X", -0.8), self.f(0.15))
        if w.twist in ("speed without a clamp", "speed clamp above the chuck"):
            # A thin bar is too fast as soon as the tool stands beside it.
            there = 1000 * surface / (math.pi * (d + 4.0))
            w.fault("speed", beside if there > w.floor.chuck_rpm else cut)
        w.go(z=2.0)
        w.go(x=d - 4.0)
        w.add("G1", w.n("Z", -self.length), self.f(0.25))
        w.add("G1", w.n("X", d + 2.0))
        if w.twist == "rapid into the bar":
            w.fault("rapid", w.add("G0", w.n("X", d - 6.0)))
            w.go(x=d + 2.0)
        w.go(z=2.0)
        if w.twist == "travel rapid":
            w.fault("travel", w.add("G0", w.n("X", 2 * (w.floor.travel["x"][1] + 200.0 + 1.0))))
            w.go(x=d + 2.0)
        if w.twist == "legal: travel to its end":
            w.add("G0", w.n("X", 2 * (w.floor.travel["x"][1] + 200.0)))
            w.go(x=d + 2.0)
        self.finish()
        self.drill()
        self.part_off()
        self.tour()
        w.add("M70")

    def tour(self) -> None:
        """Moves of every kind beside the bar, with the last tool."""
        w, rng, d = self.w, self.rng, self.d
        w.go(x=d + 20.0, z=5.0)
        for _ in range(int(rng.integers(2, 6))):
            kind = int(rng.integers(0, 5))
            if kind == 0:
                w.add("G94", "G1", w.n("X", d + 10.0), "F12." if w.inch else "F300.")
                w.add("G95", "G1", w.n("X", d + 20.0), self.f(0.2))
            elif kind == 1:
                w.add("G97", "S900")
                w.add("G1", w.n("W", -3.0), self.f(0.2))
                w.add("G1", w.n("W", 3.0))
                w.add("G96", self.s(100.0))
            elif kind == 2:
                w.add("G1", w.n("U", 6.0), w.n("W", 2.0), self.f(0.3))
                w.add("G0", w.n("U", -6.0))
                w.add("G0", w.n("W", -2.0))
            elif kind == 3:
                w.add("G28", "U0.")
                w.go(x=d + 20.0)
            else:
                w.add("G4", "X0.5" if w.floor.dwell["X"] == "s" else "X500")

    def finish(self) -> None:
        w, d = self.w, self.d
        self.call(2)
        w.add("G96", self.s(float(self.rng.integers(150, 260))), "M3")
        r = 2.0
        w.go(x=d - 4.0 - 2 * r, z=2.0)
        w.add("G1", w.n("Z", 0.0), self.f(0.1))
        if self.rng.random() < 0.5:
            w.add("G3", w.n("X", d - 4.0), w.n("Z", -r), w.n("I", 0.0), w.n("K", -r))
        else:
            w.add("G3", w.n("X", d - 4.0), w.n("Z", -r), w.n("R", r))
        back = -self.length + 1.0
        w.add("G1", w.n("Z", back))
        if w.twist == "arc mismatch":
            w.fault("arc", w.add("G2", w.n("X", d + 2.0), w.n("Z", back - 3.0), w.n("I", 3.0), w.n("K", 0.7)))
        elif w.twist == "legal: lathe arc with its radius as I":
            w.add("G2", w.n("X", d), w.n("Z", back - 2.0), w.n("I", 2.0), w.n("K", 0.0))
        w.add("G1", w.n("X", d + 4.0))
        if w.twist == "word unknown":
            w.fault("word", w.add("M777"))

    def drill(self) -> None:
        w = self.w
        if w.twist == "coolant missing":
            w.add("M9")
        self.call(3)
        rpm = min(1200.0, w.floor.chuck_rpm)
        if w.twist == "speed over the chuck":
            w.fault("speed", w.add("G97", f"S{w.floor.chuck_rpm + 10:.0f}", "M3"))
        else:
            w.add("G97", f"S{rpm:.0f}", "M3")
        w.go(z=5.0, x=0.0)
        w.go(z=2.0)
        line = w.add("G1", w.n("Z", -18.0), self.f(0.12))
        if w.twist == "coolant missing":
            w.fault("coolant", line)
        w.go(z=5.0)
        if w.twist == "coolant missing":
            w.add("M8")

    def part_off(self) -> None:
        w = self.w
        self.call(4)
        w.add("G96", self.s(90.0), "M3")
        w.go(z=5.0, x=self.d + 4.0)
        w.go(z=-self.length - 3.0)
        w.add("G1", w.n("X", -0.4), self.f(0.08))
        w.go(x=self.d + 4.0)


def _wear(made: Made, twist: str, rng: np.random.Generator) -> None:
    """Bring one tool to the end of its life, a little too far or just far enough."""
    if twist not in ("tool worn", "legal: tool lasts just"):
        return
    _total, cut = made.time()
    number = int(rng.choice([number for number, seconds in cut.items() if seconds > 1.0]))
    left = cut[number] * (0.98 if twist == "tool worn" else 1.02)
    made.floor.tool(number).used = 600.0
    made.floor.tool(number).life = math.floor((600.0 + left) * 1e6) / 1e6
    if twist == "tool worn":
        made.wanted = ("tool worn", None)


BOTH = (
    "stop M0", "tool missing", "tool worn", "travel rapid", "coolant missing", "word unknown", "units missing",
    "arc mismatch", "legal: M1 with the switch off", "legal: tool lasts just", "legal: travel to its end",
)  # fmt: skip
MILL = (
    *BOTH, "stop M1", "travel feed", "travel G53", "travel of an arc", "speed over machine", "speed over holder",
    "hold point missing", "hold point only records", "hold point with one limit", "hold point too early",
    "arc too far", "subprogram missing", "call missing", "feed missing", "rapid across", "rapid plunge",
    "legal: speed at its limit", "legal: larger rough", "legal: rough elsewhere", "legal: coolant left on",
    "legal: coolant in the block of the cut", "legal: words that do nothing", "legal: feed before the cut",
    "legal: arc within tolerance", "legal: arc of half a turn", "legal: library call",
    "legal: rapid where it is cut", "legal: rapid over the top",
)  # fmt: skip
LATHE = (
    *BOTH, "speed without a clamp", "speed clamp above the chuck", "speed over the chuck", "rapid into the bar",
    "bar too short", "legal: clamp at the chuck", "legal: bar to its rest", "legal: lathe arc with its radius as I",
)  # fmt: skip
WRITERS: Mapping[str, tuple[Callable[[int, str], Made], tuple[str, ...]]] = {
    "mill": (mill, ("", *MILL)),
    "lathe": (lathe, ("", *LATHE)),
}
