"""Where axis words send the machine, and the words that take them for themselves: home, shifts, work zeros."""

from __future__ import annotations

from steadyrest.program.reading.control import AXES, Block, Control
from steadyrest.program.reading.path import put
from steadyrest.program.run import Motion

ROTARY = "ABC"


def goal_of(control: Control, block: Block, *, machine: bool = False) -> list[float] | None:
    """Where the block's axis words send the nose.

    Args:
        control: the control. block: its words. machine: they are machine coordinates (G53).
    Returns: machine coordinates; None where it has no axis words.
    """
    state = control.state
    offset = state.offset()
    goal = list(state.nose)
    moved = False
    for axis, letter in enumerate(AXES):
        size = control.size(block, letter)
        if size is None:
            continue
        moved = True
        high = state.length_mm if axis == 2 else 0.0
        if machine:
            goal[axis] = size
        elif state.absolute:
            goal[axis] = offset[axis] + size + high
        else:
            goal[axis] += size
    for axis, letter in ((0, "U"), (2, "W")):
        size = control.size(block, letter)
        if size is not None:
            moved = True
            goal[axis] += size
    return goal if moved else None


def turn(control: Control, block: Block) -> bool:
    """Follow the rotary words.

    Args:
        control: the control. block: its words.
    Returns: whether an angle changed.
    """
    before = list(control.state.rotary)
    for axis, letter in enumerate(ROTARY):
        if letter in block.letters:
            value = block.letters[letter]
            control.state.rotary[axis] = value if control.state.absolute else before[axis] + value
    changed = control.state.rotary != before
    if changed:
        control.state.rotary = list(control.state.rotary)
    return changed


def take(control: Control, block: Block, word: str) -> None:
    """Do what home, shifts and data make of the block's axis words.

    Args:
        control: the control. block: its words. word: the one that takes them.
    """
    does = block.does[word]
    if does in ("home", "second home"):
        _home(control, block, word, does)
    elif does == "local zero":
        for axis, letter in enumerate(AXES):
            if (size := control.size(block, letter)) is not None:
                control.state.local[axis] = size
    elif does == "preset position":
        # Some lathes thread by G92: with axis words nobody can say which is meant.
        if word == "G92" and control.dialect.kind == "lathe" and block.letters.keys() & set("XZUW"):
            control.unknown(block.line, word)
        else:
            _preset(control, block)
    elif does == "set data":
        _data(control, block)
    elif does == "preset off":
        control.state.preset_kept = [0.0, 0.0, 0.0] if word == "G92.1" else list(control.state.preset)
        control.state.preset = [0.0, 0.0, 0.0]
    elif does == "preset back":
        control.state.preset = list(control.state.preset_kept)


def _home(control: Control, block: Block, word: str, does: str) -> None:
    state = control.state
    home = control.dialect.home_mm if does == "home" else control.dialect.home2_mm
    if home is None:
        control.unknown(block.line, word)
        return
    named = {axis for axis, letter in enumerate(AXES) if letter in block.letters}
    named |= {axis for axis, letter in ((0, "U"), (2, "W")) if letter in block.letters}
    by_way = goal_of(control, block)
    if by_way is not None:
        put(control, block.line, Motion.RAPID, by_way)
    for axis, letter in enumerate(ROTARY):
        if letter in block.letters:
            control.state.rotary = [0.0 if k == axis else angle for k, angle in enumerate(state.rotary)]
    if not named and not block.letters.keys() & set(ROTARY):
        named = {0, 1, 2}
    goal = [home[axis] if axis in named else state.nose[axis] for axis in range(3)]
    put(control, block.line, Motion.RAPID, goal)


def _preset(control: Control, block: Block) -> None:
    """The place where the tool stands gets these coordinates."""
    state = control.state
    for axis, letter in enumerate(AXES):
        if (size := control.size(block, letter)) is not None:
            high = state.length_mm if axis == 2 else 0.0
            state.preset[axis] += state.nose[axis] - high - state.offset()[axis] - size


def _data(control: Control, block: Block) -> None:
    """G10: a work zero (L2 by its place, L20 by where the tool stands); other data is told as not followed."""
    state = control.state
    kind = block.letters.get("L")
    number = block.letters.get("P", 0.0)
    if kind not in (2.0, 20.0) or number not in range(10):
        if kind not in (1.0, 10.0, 11.0, 12.0, 13.0):
            control.unknown(block.line, f"G10 L{kind:g} P{number:g}" if kind is not None else "G10")
        else:
            control.said.odd("offset", block.line, word=f"G10 L{kind:g}")
        return
    words = ("G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3")
    word = state.zero_word if number == 0 else words[int(number) - 1]
    zero = control.store.zeros.setdefault(word, [0.0, 0.0, 0.0])
    for axis, letter in enumerate(AXES):
        size = control.size(block, letter)
        if size is None:
            continue
        if kind == 20.0:
            high = state.length_mm if axis == 2 else 0.0
            zero[axis] = state.nose[axis] - high - state.local[axis] - state.preset[axis] - size
        else:
            zero[axis] = size if state.absolute else zero[axis] + size
