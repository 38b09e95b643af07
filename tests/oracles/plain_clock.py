"""A plain clock for NC programs, written from the command line's contract alone: slow, one word after the other.

Source: contract section 1, "Time": a block of length L at speed v takes L/v + v/a if L >= v2/a, else 2 sqrt(L/a); the
machine starts at its machine zero; a rapid takes the slowest axis; X of a lathe counts as radius; M, S, T and spindle
starts take no time; cycles as written there. It knows the contract's words, no variables and no loops.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

WORD = re.compile(r"([A-Z])\s*([-+]?[0-9]*\.?[0-9]+\.?)")


@dataclass
class Control:
    """The machine, as plain as the shop file gives it."""

    lathe: bool
    rapid: dict[str, float]  # mm/min by axis
    accel: float
    tool_change: float
    offsets: dict[int, tuple[float, float, float]]  # by G number
    inch: int = 20
    metric: int = 21
    dwell: dict[str, str] = field(default_factory=lambda: {"P": "ms", "X": "s"})
    peck_clear: float = 1.0
    lengths: dict[int, float] = field(default_factory=dict)
    clamp_words: tuple[int, ...] = (50, 92)


@dataclass
class Clocked:
    total: float = 0.0
    cut: dict[int, float] = field(default_factory=dict)


def block(length: float, speed: float, accel: float) -> float:
    """One block from rest to rest."""
    if length == 0:
        return 0.0
    return length / speed + speed / accel if length >= speed * speed / accel else 2 * math.sqrt(length / accel)


def words_of(line: str) -> list[tuple[str, float]]:
    line = re.sub(r"\(.*?\)", "", line.upper()).split(";")[0]
    return [(letter, float(number)) for letter, number in WORD.findall(line)]


class Clock:
    """Runs a program once, and adds up what each block takes."""

    def __init__(self, text: str, control: Control) -> None:
        self.control = control
        self.lines = [words_of(line) for line in text.splitlines()]
        self.numbered = {
            int(number): at for at, words in enumerate(self.lines) for letter, number in words[:1] if letter == "O"
        }
        self.found = Clocked()
        self.at = [0.0, 0.0, 0.0]  # machine, nose
        self.unit = 1.0
        self.absolute, self.zero, self.length = True, control.offsets.get(54, (0.0, 0.0, 0.0)), 0.0
        self.motion, self.plane, self.first_level = 0, "ZX" if control.lathe else "XY", True
        self.feed, self.per_turn = 0.0, control.lathe
        self.surface, self.speed, self.cap = False, 0.0, math.inf
        self.tool = 0
        self.cycle: dict[str, float] = {}
        self.level = 0.0

    def run(self) -> Clocked:
        self.from_line(0)
        return self.found

    def from_line(self, at: int) -> bool:
        """Runs until M99 (False) or the end of the program (True)."""
        while at < len(self.lines):
            words = self.lines[at]
            at += 1
            codes = [(letter, number) for letter, number in words if letter in "GM"]
            if ("M", 98) in codes:
                given = dict(words)
                for _ in range(int(given.get("L", 1))):
                    if self.from_line(self.numbered[int(given["P"])] + 1):
                        return True
                continue
            self.one(words)
            if ("M", 99) in codes:
                return False
            if ("M", 30) in codes or ("M", 2) in codes:
                return True
        return True

    def one(self, words: list[tuple[str, float]]) -> None:
        given = {letter: number for letter, number in words if letter not in "GM"}
        g = [round(number) for letter, number in words if letter == "G"]
        m = [round(number) for letter, number in words if letter == "M"]
        control = self.control
        if 65 in g:
            return
        for code in g:
            if code == control.inch:
                self.unit = 25.4
            elif code == control.metric:
                self.unit = 1.0
            elif code in (90, 91):
                self.absolute = code == 90
            elif code in (17, 18, 19):
                self.plane = {17: "XY", 18: "ZX", 19: "YZ"}[code]
            elif code in (94, 95):
                self.per_turn = code == 95
            elif code in (96, 97):
                self.surface = code == 96
            elif code in (98, 99):
                self.first_level = code == 98
            elif 54 <= code <= 59:
                self.zero = control.offsets.get(code, (0.0, 0.0, 0.0))
            elif code == 43:
                self.length = control.lengths.get(int(given.get("H", 0)), 0.0)
            elif code == 49:
                self.length = 0.0
            elif code in (0, 1, 2, 3, 81, 82, 83, 85):
                if code > 3 and self.motion <= 3:
                    self.level, self.cycle = self.work(2), {}
                self.motion = code
            elif code == 80:
                self.motion = 0 if self.motion > 3 else self.motion
        if control.lathe and any(code in g for code in control.clamp_words) and "S" in given:
            self.cap = given.pop("S")
        if "S" in given:
            # Surface speed: m/min, or ft/min in an inch program (usual on controls; the contract is silent).
            self.speed = given["S"] * (0.3048 if self.surface and self.unit != 1.0 else 1.0)
        if "F" in given:
            self.feed = given["F"] * self.unit
        if "T" in given:
            number = int(given["T"]) // 100 if control.lathe else int(given["T"])
            if (control.lathe or 6 in m) and number != self.tool:
                self.tool = number
                self.found.total += control.tool_change
                self.found.cut.setdefault(number, 0.0)
        if 4 in g:
            letter = "P" if "P" in given else "X"
            self.found.total += given[letter] / (1000 if control.dwell[letter] == "ms" else 1)
            return
        self.move(g, given)

    def work(self, axis: int) -> float:
        return self.at[axis] - self.zero[axis] - (self.length if axis == 2 else 0.0)

    def target(self, given: dict[str, float]) -> list[float]:
        """Where the nose goes: work coordinates plus the work zero, plus the tool's length."""
        to = list(self.at)
        for axis, letter in enumerate("XYZ"):
            if letter not in given:
                continue
            value = given[letter] * self.unit / (2 if self.control.lathe and axis == 0 else 1)
            if self.absolute:
                to[axis] = value + self.zero[axis] + (self.length if axis == 2 else 0.0)
            else:
                to[axis] += value
        for axis, letter in ((0, "U"), (2, "W")):
            if letter in given and self.control.lathe:
                to[axis] = self.at[axis] + given[letter] * self.unit / (2 if axis == 0 else 1)
        return to

    def rapid(self, to: list[float]) -> None:
        self.found.total += max(
            block(abs(b - a), self.control.rapid[letter] / 60, self.control.accel) if b != a else 0.0
            for a, b, letter in zip(self.at, to, "xyz", strict=True)
        )
        self.at = list(to)

    def cut(self, to: list[float], length: float, radii: tuple[float, float] | None = None) -> None:
        speed = self.feed / 60
        a, b = radii or (self.at[0] - self.zero[0], to[0] - self.zero[0])
        if self.per_turn and self.surface and a != b:
            seconds = self.changing(length, a, b)
        else:
            if self.per_turn:
                speed = self.feed * self.turns(abs(a)) / 60
            seconds = block(length, speed, self.control.accel)
        self.found.total += seconds
        self.found.cut[self.tool] = self.found.cut.get(self.tool, 0.0) + seconds
        self.at = list(to)

    def turns(self, radius: float) -> float:
        if not self.surface:
            return self.speed
        return min(self.cap, 1000 * self.speed / (2 * math.pi * radius)) if radius else self.cap

    def changing(self, length: float, r0: float, r1: float) -> float:
        """Feed per turn at constant surface speed: small steps, each at its own feed, plus half v/a at either end."""
        steps = 2000
        total = sum(
            length / steps / (self.feed * self.turns(abs(r0 + (r1 - r0) * (k + 0.5) / steps)) / 60)
            for k in range(steps)
        )
        ends = self.feed * (self.turns(abs(r0)) + self.turns(abs(r1))) / 60
        return total + ends / 2 / self.control.accel

    def move(self, g: list[int], given: dict[str, float]) -> None:
        if not any(letter in given for letter in "XYZUW"):
            return
        if 28 in g:
            to = self.target(given)
            self.rapid(to)
            home = list(to)
            for axis, letters in enumerate(("XU", "Y", "ZW")):
                if any(letter in given for letter in letters):
                    home[axis] = 0.0
            self.rapid(home)
            return
        if 53 in g:
            to = list(self.at)
            for axis, letter in enumerate("XYZ"):
                if letter in given:
                    to[axis] = given[letter] * self.unit / (2 if self.control.lathe and axis == 0 else 1)
            self.rapid(to)
            return
        if self.motion > 3:
            self.hole(given)
            return
        to = self.target(given)
        if self.motion == 0:
            self.rapid(to)
        elif self.motion == 1:
            self.cut(to, math.dist(self.at, to))
        else:
            self.arc(to, given)

    def arc(self, to: list[float], given: dict[str, float]) -> None:
        u, v, w = {"XY": (0, 1, 2), "ZX": (2, 0, 1), "YZ": (1, 2, 0)}[self.plane]
        a, b = (self.at[u], self.at[v]), (to[u], to[v])
        if "R" in given:
            r = given["R"] * self.unit
            chord = math.dist(a, b)
            angle = 2 * math.asin(min(chord / 2 / abs(r), 1.0))
            angle = angle if r > 0 else 2 * math.pi - angle
            r = abs(r)
        else:
            c = (a[0] + given.get("IJK"[u], 0.0) * self.unit, a[1] + given.get("IJK"[v], 0.0) * self.unit)
            r = math.dist(a, c)
            turned = math.atan2(b[1] - c[1], b[0] - c[0]) - math.atan2(a[1] - c[1], a[0] - c[0])
            if self.motion == 2:
                turned = -turned
            angle = turned % (2 * math.pi)
            if math.dist(a, b) < 1e-6:
                angle = 2 * math.pi
        self.cut(to, math.hypot(r * angle, to[w] - self.at[w]))

    def hole(self, given: dict[str, float]) -> None:
        control, cycle = self.control, self.cycle
        for letter in "ZRQP":
            if letter in given:
                cycle[letter] = given[letter] * (self.unit if letter != "P" else 1.0)
        base = self.zero[2] + self.length
        near, bottom = cycle["R"] + base, cycle["Z"] + base
        level = self.level + base
        flat = {letter: value for letter, value in given.items() if letter in "XY"}
        self.rapid(self.target(flat))
        self.rapid([self.at[0], self.at[1], near])
        if self.motion == 83:
            depth = near
            while depth > bottom:
                if depth < near:
                    self.rapid([self.at[0], self.at[1], min(depth + control.peck_clear, near)])
                depth = max(depth - cycle["Q"], bottom)
                down = [self.at[0], self.at[1], depth]
                self.cut(down, math.dist(self.at, down))
                if depth > bottom:
                    self.rapid([self.at[0], self.at[1], near])
        else:
            down = [self.at[0], self.at[1], bottom]
            self.cut(down, math.dist(self.at, down))
        if self.motion == 82 and "P" in cycle:
            self.found.total += cycle["P"] / (1000 if control.dwell["P"] == "ms" else 1)
        if self.motion == 85:
            up = [self.at[0], self.at[1], near]
            self.cut(up, math.dist(self.at, up))
        self.rapid([self.at[0], self.at[1], level if self.first_level else near])
