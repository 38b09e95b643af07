"""Which line comes next: calls and returns, jumps and loops, repeats, the end; endless ones are given up."""

from __future__ import annotations

import re
from collections.abc import Callable

from steadyrest.program.reading.control import Block, Control
from steadyrest.program.reading.macro import AlarmError, index_of
from steadyrest.program.reading.motion import run
from steadyrest.program.reading.plain import Plain
from steadyrest.program.reading.subprograms import Frame, Index, Place, TooMuchError
from steadyrest.program.reading.words import Block as Line
from steadyrest.program.reading.words import Flow, block_of
from steadyrest.program.run import EventKind

# Letters of a call with arguments, and the local variables that they become (the widespread macro style).
ARGUMENTS = {
    letter: number
    for number, letter in enumerate("ABCIJKDEFxHxMxxxQRSTUVWXYZ", start=1)
    if letter != "x"
}  # fmt: skip
_LONGEST_LINE = 2_000
_COMMENTS = re.compile(rb"\([^)]*\)?|;.*")
_ASKED_EVERY = 256


class Runner:
    """One execution: the place reached, the programs that stand open, and how much was run again."""

    def __init__(self, control: Control, text: bytes, lines: int) -> None:
        self.control = control
        self.text = text
        self.lines = lines
        self.index = Index(text)
        first = self.index.first()
        self.at = first
        self.frames = [Frame(first, first)]
        self.passes = 1
        self.begun = False
        self.over = False
        self.farthest = 0
        self.again = 0
        self.careful = 0
        self._plain = Plain(control, text)
        self._jumped: dict[int, tuple[object, ...]] = {}

    # ---- many plain lines ------------------------------------------------------------------------------------------

    def quick(self) -> None:
        """Run the plain lines that stand next, as far as they go."""
        before = self.at
        at, line, words = self._plain.run(before.at, before.line)
        if at == before.at:
            return
        self.begun |= words
        self.count(before.at, (line - before.line) / 20.0)
        self.farthest = max(self.farthest, at)
        self.at = Place(at, line)

    # ---- one line ------------------------------------------------------------------------------------------------

    def step(self) -> None:
        """Run the line that stands next."""
        at, line = self.at.at, self.at.line
        end = self.text.find(b"\n", at)
        end = len(self.text) if end < 0 else end
        raw = self.text[at:end]
        self.at = Place(end + 1, line + 1)
        self.count(at, 1.0)
        self.careful += 1
        if self.careful > self.control.limits.careful:
            self.control.said.odd("file", line, what="lines", count=_many(self.careful))
            self.over = True
            return
        if len(raw) > _LONGEST_LINE:
            raw = _COMMENTS.sub(b"", raw)
            if len(raw) > _LONGEST_LINE:
                self.control.unknown(line, raw[:12].decode("latin-1"))
                return
        block = block_of(raw.decode("latin-1"))
        if block.tape:
            if self.begun:
                self.end_of_text(line)
            return
        if block.deleted and self.control.dialect.block_delete:
            return
        if block.program is not None and not self._enters(line):
            return
        for piece in block.strange:
            self.control.unknown(line, piece)
        try:
            self._run(block, line, at)
        except AlarmError as alarm:
            self.control.said.odd("alarm", line, word=str(alarm))
            self.over = True
        except TooMuchError as much:
            self.control.said.odd(
                "loop" if self.again else "file", line, what=str(much.args[0]), count=_many(much.args[1])
            )
            self.over = True

    def count(self, at: int, cost: float) -> None:
        """Count what is run again; give up beyond the limit.

        Args:
            at: place of the line. cost: lines of the careful reader.
        """
        if at >= self.farthest:
            self.farthest = at
            return
        self.again += 1 if cost == 1.0 else int(cost) + 1
        if self.again > self.control.limits.repeats + self.lines:
            self.control.said.odd("loop", self.at.line - 1, what="lines", count=_many(self.again))
            self.over = True

    def _enters(self, line: int) -> bool:
        """Whether a program's first line opens the one being run; else the one before it never ended."""
        frame = self.frames[-1]
        main = len(self.frames) == 1
        if frame.begun or (main and self.begun):
            self.end_of_text(line)
            return False
        frame.begun = True
        return True

    def end_of_text(self, line: int | None) -> None:
        """The text ends, and the program did not."""
        self.control.said.odd("end", line)
        self.over = True

    def _run(self, line_read: Line, line: int, at: int) -> None:
        control = self.control
        if line_read.flow is None and not line_read.words and not line_read.sets:
            return
        self.begun = True
        control.store.line = line
        if line_read.flow is not None and not self._flow(line_read.flow, line, at):
            return
        block = control.sort(line_read.words, line) if line_read.words else None
        if line_read.sets:
            self._set(line_read)
        if block is None:
            return
        run(control, block)
        if control.ended:
            self.over = True
        elif "call with arguments" in block.does.values():
            self._call_with(block)
        elif "call" in block.does.values():
            self._call(block)
        elif "return" in block.does.values():
            self._return(block)

    def _set(self, line_read: Line) -> None:
        """Give variables their values, all of a line at once; which come from a probe goes with them."""
        store = self.control.store
        settings: list[tuple[float | None, float | None, bool]] = []
        for which, value in line_read.sets:
            store.probed = False
            settings.append((which(store), value(store), store.probed))
        for which, value, probed in settings:
            number = index_of(which)
            store.probed = probed
            store.set(number, value)

    # ---- jumps and loops -----------------------------------------------------------------------------------------

    def _flow(self, flow: Flow, line: int, at: int) -> bool:
        """Follow a jump; whether the rest of the line is still to be run."""
        store = self.control.store
        store.probed = False
        holds = flow.test is None or bool(flow.test(store))
        if store.probed:
            self.control.said.odd("probed", line)
        target = 0 if flow.target is None else index_of(flow.target(store))
        if flow.kind == "then":
            return holds
        if flow.kind == "goto":
            if holds:
                self._go(target, line, at)
        elif flow.kind in ("while", "do"):
            if holds:
                self.frames[-1].loops[target] = Place(at, line)
            else:
                self._past_end(target, at)
        else:
            begin = self.frames[-1].loops.get(target)
            if begin is None:
                raise AlarmError(f"END{target}")
            self._back(begin, line, at)
        return False

    def _go(self, number: int, line: int, at: int) -> None:
        place = self.index.numbered(number, at)
        if place is None:
            self.control.said.odd("subprogram", line, number=float(number), what="line")
            self.over = True
        elif place.at <= at:
            self._back(place, line, at)
        else:
            self.at = place

    def _back(self, place: Place, line: int, at: int) -> None:
        """Jump back; where nothing has changed since this jump was last made, it would go on for ever.

        Moves alone change nothing where they end as they began: a loop may cut the same line for ever.
        """
        now = (self.control.store.changes, self.control.state.signature(), *((f.left, f.back.at) for f in self.frames))
        if self._jumped.get(at) == now:
            self.control.said.odd("loop", line, what="endless", count=0.0)
            self.over = True
        self._jumped[at] = now
        self.at = place

    def _past_end(self, number: int, at: int) -> None:
        place = self.index.past_end(number, at)
        if place is None:
            raise AlarmError(f"DO{number}")
        self.frames[-1].loops.pop(number, None)
        self.at = place

    # ---- calls ---------------------------------------------------------------------------------------------------

    def _call(self, block: Block) -> None:
        letters = block.letters
        number = self.control.whole(block, "P", -1.0)
        times = self.control.whole(block, "L", 1.0)
        if number > 9999 and not self._known(number):
            packed, number = divmod(number, 10_000)
            times = times if "L" in letters else packed
        self._enter(number, times, block, None)

    def _call_with(self, block: Block) -> None:
        letters = block.letters
        number = self.control.whole(block, "P", -1.0)
        if number in self.control.dialect.hold_point_calls:
            both = "I" in letters and "K" in letters
            self.control.event(EventKind.HOLD_POINT, block, float(both))
        own = {ARGUMENTS[letter]: value for letter, value in letters.items() if letter in ARGUMENTS}
        self._enter(number, self.control.whole(block, "L", 1.0), block, own)

    def _known(self, number: int) -> bool:
        return number in self.control.dialect.library or self.index.program(number) is not None

    def _enter(self, number: int, times: int, block: Block, own: dict[int, float] | None) -> None:
        control = self.control
        if times == 0:
            return
        place = self.index.program(number)
        if place is None:
            if number in control.dialect.library:
                control.event(EventKind.CALL, block, float(number))
            else:
                control.said.odd("subprogram", block.line, number=float(number), what="program")
            return
        if len(self.frames) > control.limits.calls_deep:
            control.said.odd("loop", block.line, what="calls", count=str(len(self.frames)))
            self.over = True
            return
        self.frames.append(Frame(place, self.at, times - 1, control.store.own))
        if own is not None:
            control.store.own = own
        self.at = place

    def _return(self, block: Block) -> None:
        frame = self.frames[-1]
        if len(self.frames) == 1:
            self._again_from_start(block)
            return
        if frame.left > 0 and "P" not in block.letters:
            frame.left -= 1
            frame.begun = False
            frame.loops.clear()
            self.at = frame.start
            return
        self.frames.pop()
        self.control.store.own = frame.own
        self.at = frame.back
        if "P" in block.letters:
            self._go(self.control.whole(block, "P", -1.0), block.line, frame.back.at)

    def _again_from_start(self, block: Block) -> None:
        """M99 in the main program: from the start, as often as the machine's data says."""
        if "P" in block.letters:
            self._go(self.control.whole(block, "P", -1.0), block.line, self.at.at - 1)
            return
        if self.passes < self.control.dialect.main_passes:
            self.passes += 1
            self.begun = self.frames[0].begun = False
            self.frames[0].loops.clear()
            self.at = self.frames[0].start
            return
        self.over = True
        # A bar feed ends such a program by itself, when the bar is used up.
        self.control.ended = self.control.bars > 0
        if not self.control.bars:
            self.control.said.odd("loop", block.line, what="main", count=0.0)


def _many(count: float) -> str:
    """A large number as a person reads it."""
    return f"{round(count):,}".replace(",", " ")


def execute(
    control: Control,
    text: bytes,
    lines: int,
    *,
    quickly: bool,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
) -> None:
    """Run a program to its end.

    Args:
        control: the machine's, as it was switched on. text: lines parted by a newline. lines: how many.
        quickly: take plain lines by the compiled reader. progress: told how far it is, 0 to 1.
        stop: asked now and then; True ends the work.
    Raises: InterruptedError: stop said so.
    """
    runner = Runner(control, text, lines)
    asked = 0
    while not runner.over:
        if asked % _ASKED_EVERY == 0:
            if stop():
                raise InterruptedError
            progress("reading the program", min(1.0, runner.at.at / max(1, len(text))))
        asked += 1
        if quickly:
            runner.quick()
        if runner.at.at >= len(text):
            runner.end_of_text(lines)
            break
        if not runner.over:
            runner.step()
