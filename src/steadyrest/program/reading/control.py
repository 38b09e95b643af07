"""The control, carefully: one block of words after another, as they act on its memory."""

from __future__ import annotations

from collections.abc import Mapping

from steadyrest.program.reading import modal
from steadyrest.program.reading.compensation import Follower
from steadyrest.program.reading.dialect import Dialect, Limits, meanings
from steadyrest.program.reading.macro import AlarmError
from steadyrest.program.reading.rows import Rows
from steadyrest.program.reading.said import Said
from steadyrest.program.reading.variables import Store
from steadyrest.program.reading.words import Word
from steadyrest.program.run import EventKind, Plane
from steadyrest.units import MM_PER_IN

AXES = "XYZ"
_LARGEST = 1e9
MM_PER_FT = 12.0 * MM_PER_IN
_PLANES = {"plane XY": Plane.XY, "plane ZX": Plane.ZX, "plane YZ": Plane.YZ}


# The plane's two axes, then the axis across it.
PLANE_AXES = {Plane.XY: (0, 1, 2), Plane.ZX: (2, 0, 1), Plane.YZ: (1, 2, 0)}


class Block:
    """One block's words by what they are for. letters: values by letter, as given. does: meanings in order, by word."""

    __slots__ = ("does", "letters", "line", "points", "unknown_way")

    def __init__(self, line: int) -> None:
        self.line = line
        self.letters: dict[str, float] = {}
        self.points: set[str] = set()
        self.does: dict[str, str] = {}
        self.unknown_way = False

    def word_that(self, *meant: str) -> str | None:
        """The last word of the block with one of these meanings."""
        if not self.does:
            return None
        return next((word for word, does in reversed(self.does.items()) if does in meant), None)


class Control:
    """A machine's control with its memory, and what it has done so far."""

    def __init__(self, dialect: Dialect, limits: Limits) -> None:
        self.dialect = dialect
        self.limits = limits
        self.means: Mapping[str, str] = meanings(dialect)
        self.state = modal.at_start(dialect)
        self.rows = Rows()
        self.said = Said(limits.odds)
        self.store = Store(self)
        self.units_told = False
        self.feed_told = False
        self.bars = 0
        self.follower: Follower | None = None
        self.follower_plane = self.state.plane
        self.ended = False

    # ---- words ---------------------------------------------------------------------------------------------------

    def sort(self, words: tuple[Word, ...], line: int) -> Block:
        """A block's words by what they mean; unknown ones are told.

        Args:
            words: as they stand. line: of the file.
        Returns: the block.
        Raises: AlarmError: an expression that a control stops at.
        """
        block = Block(line)
        for word in words:
            value = word.number if word.term is None else word.term(self.store)
            if value is None:
                self.said.odd("variable", line, word=word.text)
                continue
            if not abs(value) < _LARGEST:
                self.unknown(line, word.text[:16])
                continue
            if word.letter in "GM":
                name = f"{word.letter}{value:g}"
                does = self.means.get(name)
                if does is None:
                    self.unknown(line, word.text if word.term is None else name)
                    block.unknown_way |= word.letter == "G"
                else:
                    block.does.pop(name, None)  # the last of a kind rules, so the order is that of the last mention
                    block.does[name] = does
            elif word.letter in self.means:
                block.letters[word.letter] = value
                if word.point:
                    block.points.add(word.letter)
            else:
                self.unknown(line, word.text)
        return block

    def unknown(self, line: int, word: str) -> None:
        """Tell a word that this machine's table does not have."""
        self.said.odd("word", line, word=word)

    def size(self, block: Block, letter: str) -> float | None:
        """A length by its letter, mm; a lathe's diameter halved. None where the block does not have it."""
        value = block.letters.get(letter)
        if value is None:
            return None
        value *= self.state.scale
        if letter not in block.points:
            inch = self.state.scale != 1.0
            least = self.dialect.least_increment_in if inch else self.dialect.least_increment_mm
            value *= least if least > 0.0 else 1.0
        return 0.5 * value if letter in "XU" and self.dialect.x_is_diameter else value

    # ---- a block -------------------------------------------------------------------------------------------------

    def before_motion(self, block: Block) -> None:
        """Do what holds for a block's motion: units, feed, speed, tool, dwell, modes.

        Args:
            block: its words, sorted.
        """
        if "call with arguments" in block.does.values():
            return  # every letter is the called program's
        self._units_and_feed(block)
        self._speed_and_tool(block)
        self._dwell(block)
        self._modes(block)

    def event(self, kind: EventKind, block: Block, value: float = 0.0) -> None:
        """Note an event of this block, before the next move."""
        self.said.event(kind, block.line, self.rows.count, value)

    def _units_and_feed(self, block: Block) -> None:
        state = self.state
        for does in block.does.values():
            if does in ("inch", "metric"):
                state.unit = "in" if does == "inch" else "mm"
                state.scale = MM_PER_IN if does == "inch" else 1.0
            elif does in ("inverse time", "feed per minute", "feed per turn"):
                state.feed_mode = does
            elif does in ("constant surface speed", "turns per minute"):
                state.surface = does == "constant surface speed"
        feed = block.letters.get("F")
        if feed is None or "dwell" in block.does.values():
            return
        if state.feed_mode == "inverse time":
            state.inverse = feed
        elif state.feed_mode == "feed per turn":
            state.feed_turn = feed * state.scale
        else:
            state.feed_min = feed * state.scale

    def _speed_and_tool(self, block: Block) -> None:
        state = self.state
        speed = block.letters.get("S")
        if speed is not None and (clamp := self._clamp(block)) is not None:
            if clamp and speed > 0.0:
                state.cap_rpm = speed
                self.event(EventKind.SPEED_CLAMP, block, speed)
            elif clamp:
                self.said.odd("clamp", block.line, word=f"S{speed:g}")
            speed = None
        if speed is not None:
            if state.surface:
                state.surface_m_min = speed * (MM_PER_FT / 1000.0 if state.scale != 1.0 else 1.0)
            else:
                state.speed_rpm = speed
        if "T" in block.letters:
            self._tool(block, block.letters["T"])
        if block.word_that("tool change") and not block.word_that("home", "second home"):
            self._change(block, state.next_tool)
        turning = state.turning
        for does in block.does.values():
            if does.startswith("spindle ") and "clockwise" in does:
                turning = -1 if "counter" in does else 1
            if "coolant" in does and does != "coolant off":
                self.event(EventKind.COOLANT, block, 1.0)
        started = any(does.startswith("spindle ") and "clockwise" in does for does in block.does.values())
        state.turning = turning
        if started or (
            turning and (speed is not None or block.word_that("constant surface speed", "turns per minute"))
        ):
            self.event(EventKind.SPINDLE, block, turning * state.rpm(self.dialect, self._work_x()))

    def _work_x(self) -> float:
        return self.state.nose[0] - self.state.offset()[0]

    def _clamp(self, block: Block) -> bool | None:
        """Whether S caps the spindle in this block; False where it would on some lathes, but not by this one's data."""
        if any(word in self.dialect.speed_clamp_words for word in block.does):
            return True
        word = block.word_that("preset position")
        if word is None or self.dialect.kind != "lathe":
            return None
        self.unknown(block.line, f"{word} S")
        return False

    def _tool(self, block: Block, value: float) -> None:
        number = int(value) if 0 <= value < 1e9 and value == int(value) else -1
        if number < 0:
            self.unknown(block.line, f"T{value:g}")
        elif self.dialect.tool_word == "TTOO":
            if 0 < number < 100:  # which of the two pairs is missing, nobody can say
                self.unknown(block.line, f"T{value:g}")
            elif number >= 100:  # T0000 takes the offset away and leaves the tool
                self._change(block, number // 100)
        else:
            self.state.next_tool = number

    def _change(self, block: Block, tool: int) -> None:
        if tool != self.state.tool:
            self.state.tool = tool
            self.event(EventKind.TOOL_CHANGE, block, float(tool))

    def _dwell(self, block: Block) -> None:
        if (word := block.word_that("dwell")) is None:
            return
        given = next((letter for letter in self.dialect.dwell if letter in block.letters), None)
        if given is None:
            self.unknown(block.line, f"{word} without {' or '.join(self.dialect.dwell)}")
        else:
            self.event(EventKind.DWELL, block, self.seconds(block, given))

    def seconds(self, block: Block, letter: str) -> float:
        """A dwell's time by its letter."""
        value = max(0.0, block.letters[letter])
        return value / 1000.0 if self.dialect.dwell.get(letter) == "ms" else value

    def _modes(self, block: Block) -> None:
        state = self.state
        for word, does in block.does.items():
            if does in _PLANES:
                state.plane = _PLANES[does]
            elif does in ("compensation left", "compensation right"):
                self._compensate(block, 1 if does.endswith("left") else -1)
            elif does == "compensation off":
                state.side = 0
            elif does in ("tool length plus", "tool length minus"):
                self._length(block, 1.0 if does.endswith("plus") else -1.0)
            elif does == "tool length off":
                state.length_mm = 0.0
            elif does.startswith("work zero"):
                self._zero(block, word)
            elif does == "further work zero":
                self._zero(block, f"{word} P{block.letters.get('P', 0.0):g}")
            elif does == "exact stop":
                state.exact = True
            elif does == "path without stop":
                state.exact = False
            elif does in ("absolute", "incremental"):
                state.absolute = does == "absolute"
            elif does.startswith("arc centre"):
                state.arc_absolute = does == "arc centre absolute"
            elif does.startswith("cycle returns"):
                state.to_near = does == "cycle returns to R"
            elif does == "tilted":
                self.said.odd("kinematics", block.line, word=word)
                block.unknown_way |= word == "G68.2"
            elif does == "speed clamp" and "S" not in block.letters:
                self.unknown(block.line, f"{word} without S")

    def _compensate(self, block: Block, side: int) -> None:
        state = self.state
        number = block.letters.get("D")
        radius = None if number is None else self.dialect.tool_radius_mm.get(int(number))
        # A lathe's nose is moved by its quadrant, which no word says.
        if radius is None or self.dialect.kind == "lathe":
            self.said.odd("compensation", block.line, word=f"D{number:g}" if number is not None else "")
            return
        if self.follower is not None:
            self.follower.before(None)
        state.side = side
        self.follower = Follower(self.rows, PLANE_AXES[state.plane], side * radius) if radius > 0.0 else None
        self.follower_plane = state.plane

    def _length(self, block: Block, sign: float) -> None:
        if "H" in block.letters:
            self.state.height = int(block.letters["H"])
        known = self.dialect.tool_length_mm
        if known and self.state.height and self.state.height not in known:
            self.said.odd("offset", block.line, word=f"H{self.state.height}")
        self.state.length_mm = sign * known.get(self.state.height, 0.0)

    def _zero(self, block: Block, word: str) -> None:
        place = self.store.zeros.get(word)
        if place is None:
            if self.dialect.offsets_mm:
                self.said.odd("offset", block.line, word=word)
            place = self.store.zeros.setdefault(word, [0.0, 0.0, 0.0])
        self.state.zero_word = word
        self.state.zero = place

    def after_motion(self, block: Block) -> None:
        """Do what follows a block's motion: spindle and coolant off, stops, the bar, the end.

        Args:
            block: its words, sorted.
        """
        state = self.state
        if block.word_that("tool change") and block.word_that("home", "second home"):
            self._change(block, state.next_tool)
        for word, does in block.does.items():
            if does == "spindle stop":
                state.turning = 0
                self.event(EventKind.SPINDLE, block)
            elif does == "coolant off":
                self.event(EventKind.COOLANT, block)
            elif does == "stop":
                self.event(EventKind.STOP, block)
            elif does == "optional stop":
                self.event(EventKind.STOP, block, 1.0)
            elif does == "bar" and word == self.dialect.bar_word:
                self.bars += 1
                self.event(EventKind.BAR, block, float(self.bars))
            elif does == "end":
                self.event(EventKind.END, block)
                state.turning = 0
                self.ended = True

    def whole(self, block: Block, letter: str, usual: float) -> int:
        """A letter's value as a whole number, for programs and counts.

        Args:
            block: its words. letter: which. usual: where the block does not have it.
        Returns: the number, 0 or more.
        Raises: AlarmError: it is none.
        """
        value = block.letters.get(letter, usual)
        if value < 0.0 or value != int(value):
            raise AlarmError(f"{letter}{value:g}" if letter in block.letters else letter)
        return int(value)
