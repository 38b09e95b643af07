"""The quick reader: lines that hold nothing but plain motion, compiled.

A plain line has N, G0 to G3, G90, G91, X Y Z A B C I J K R F with plain numbers, and comments. Every other line, and
every plain one that has something odd about it, is handed to the careful reader, whose moves these equal. Only what
such lines can change is kept here, as numbers in one array; plain.py copies it from the control's memory and back.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from steadyrest.compiled import loop
from steadyrest.program.reading.arcs import SAME_MM, centre_of, swept
from steadyrest.program.run import ByteArray, FloatArray, IntArray

# Places in the array of what is kept.
NOSE = 0
OFFSET = 3
(
    LENGTH, SCALE, ABSOLUTE, MOTION, PLANE, FEED, FEED_WAY, SURFACE, SPEED, TURNING, CAP, X_FACTOR, LEAST, TOLERANCE,
    SLACK, FEED_TOLD, WORDS_SEEN,
) = range(6, 23)  # fmt: skip
ROTARY = 23
SIZE = 26
# What F counts, at FEED_WAY.
A_MINUTE, A_TURN, INVERSE = 0.0, 1.0, 2.0
_LONGEST_LINE = 2_000
_POWERS = 10.0 ** np.arange(23)

WORDS = 11  # that a line gives a number to
_LETTERS = np.full(256, -1, np.int64)
for _place, _letter in enumerate("XYZIJKRFABCGN"):
    _LETTERS[ord(_letter)] = _LETTERS[ord(_letter.lower())] = _place
_X, _I, _R, _F, _A, _G, _N = 0, 3, 6, 7, 8, 11, 12


@loop()
def _number(text: npt.NDArray[np.uint8], at: int) -> tuple[float, bool, int]:  # pragma: no cover
    """A plain number: its value, whether it has a point, and where it ended; -1 where there is none."""
    size = len(text)
    negative = False
    while at < size and (text[at] == 32 or text[at] == 9):
        at += 1
    if at < size and (text[at] == 45 or text[at] == 43):
        negative = text[at] == 45
        at += 1
    whole = 0
    digits = 0
    behind = 0
    point = False
    while at < size:
        c = text[at]
        if 48 <= c <= 57:
            whole = whole * 10 + (c - 48)
            digits += 1
            if digits > 15:
                return 0.0, point, -1
            if point:
                behind += 1
        elif c == 46 and not point:
            point = True
        else:
            break
        at += 1
    if digits == 0:
        return 0.0, point, -1
    value = whole / _POWERS[behind]
    return -value if negative else value, point, at


@loop()
def plain_lines(  # pragma: no cover
    text: npt.NDArray[np.uint8],
    at: int,
    line: int,
    most_lines: int,
    kept: FloatArray,
    first: int,
    room: int,
    lines: IntArray,
    motions: ByteArray,
    starts: FloatArray,
    ends: FloatArray,
    centres: FloatArray,
    lengths: FloatArray,
    feeds: FloatArray,
    per_turns: FloatArray,
    rpms: FloatArray,
    rotaries: FloatArray,
    given: FloatArray,
    has: npt.NDArray[np.bool_],
    goal: FloatArray,
) -> tuple[int, int, int]:
    """Run plain lines until one is not plain, the room is used up, or so many lines have passed.

    Args:
        text: the program's bytes. at: where the next line begins. line: its number. most_lines: how many at most.
        kept: (26,) what plain lines can change; changed in place. first: index of the next row. room: rows there are.
        lines, motions, lengths, feeds, per_turns, rpms: (room,) columns to write.
        starts, ends, centres, rotaries: (room, 3) columns to write.
        given, has: (WORDS,) the words of a line. goal: (3,) where it goes; room to reckon in.
    Returns: where the next line begins, its number, index of the next row.
    """
    size = len(text)
    n = first
    passed = 0
    while at < size and n < room and passed < most_lines:
        for place in range(len(has)):
            has[place] = False
        way = -1
        absolute = kept[ABSOLUTE] != 0.0
        distance_set = False
        words = False
        p = at
        plain = True
        # ---- take the line apart
        while p < size:
            c = text[p]
            if c == 10:
                break
            if c == 32 or c == 9 or c == 13:
                p += 1
                continue
            if c == 40:
                while p < size and text[p] != 41 and text[p] != 10:
                    p += 1
                if p < size and text[p] == 41:
                    p += 1
                continue
            if c == 59:
                while p < size and text[p] != 10:
                    p += 1
                break
            place = _LETTERS[c]
            if place < 0:
                plain = False
                break
            value, point, p = _number(text, p + 1)
            if p < 0:
                plain = False
                break
            if place == _N:
                if words or point or value < 0.0:
                    plain = False
                    break
            elif place == _G:
                words = True
                if value == 90.0 or value == 91.0:
                    if distance_set:
                        plain = False
                        break
                    distance_set = True
                    absolute = value == 90.0
                elif value == 0.0 or value == 1.0 or value == 2.0 or value == 3.0:
                    if way >= 0:
                        plain = False
                        break
                    way = int(value)
                else:
                    plain = False
                    break
            else:
                words = True
                has[place] = True
                if place <= _R:
                    value *= kept[SCALE]
                    if not point and kept[LEAST] > 0.0:
                        value *= kept[LEAST]
                    if place == _X:
                        value *= kept[X_FACTOR]
                elif place == _F and kept[FEED_WAY] != INVERSE:
                    value *= kept[SCALE]
                given[place] = value
        if not plain or p - at > _LONGEST_LINE:
            break
        if words:
            motion = way if way >= 0 else int(kept[MOTION])
            moves = has[0] or has[1] or has[2]
            turned = False
            for axis in range(3):
                if has[_A + axis]:
                    angle = given[_A + axis] if absolute else kept[ROTARY + axis] + given[_A + axis]
                    turned |= angle != kept[ROTARY + axis]
            arc = motion == 2 or motion == 3
            centred = has[_I] or has[_I + 1] or has[_I + 2] or has[_R]
            if (motion < 0 or motion > 3) and (moves or centred or turned):
                break
            feed = given[_F] if has[_F] else kept[FEED]
            if moves or turned or (arc and centred):
                # ---- where to
                for axis in range(3):
                    goal[axis] = kept[NOSE + axis]
                    if has[axis]:
                        if absolute:
                            goal[axis] = kept[OFFSET + axis] + given[axis]
                            if axis == 2:
                                goal[axis] += kept[LENGTH]
                        else:
                            goal[axis] += given[axis]
                dx, dy, dz = goal[0] - kept[NOSE], goal[1] - kept[NOSE + 1], goal[2] - kept[NOSE + 2]
                far = math.sqrt(dx * dx + dy * dy + dz * dz)
                cx = cy = cz = math.nan
                way = motion
                if turned and far == 0.0 and not (arc and centred):
                    way = min(motion, 1)
                elif arc:
                    plane = int(kept[PLANE])
                    u = 0 if plane == 0 else (2 if plane == 1 else 1)
                    v = 1 if plane == 0 else (0 if plane == 1 else 2)
                    w = 3 - u - v
                    u0, v0 = kept[NOSE + u], kept[NOSE + v]
                    if has[_R]:
                        chord = math.hypot(goal[u] - u0, goal[v] - v0)
                        if chord > 2.0 * abs(given[_R]) + kept[SLACK] or chord < SAME_MM:
                            break
                        cu, cv = centre_of(u0, v0, goal[u], goal[v], given[_R], motion == 2)
                    else:
                        if not (has[_I + u] or has[_I + v]):
                            break
                        cu = u0 + (given[_I + u] if has[_I + u] else 0.0)
                        cv = v0 + (given[_I + v] if has[_I + v] else 0.0)
                    r0 = math.hypot(u0 - cu, v0 - cv)
                    r1 = math.hypot(goal[u] - cu, goal[v] - cv)
                    if not has[_R] and (abs(r0 - r1) > kept[TOLERANCE] + 1e-9 or r0 < SAME_MM):
                        break
                    around = swept(u0, v0, goal[u], goal[v], cu, cv, motion == 2)
                    far = math.hypot(0.5 * (r0 + r1) * around, goal[w] - kept[NOSE + w])
                    at_centre = (cu, cv, kept[NOSE + w])
                    cx = at_centre[0] if u == 0 else (at_centre[1] if v == 0 else at_centre[2])
                    cy = at_centre[0] if u == 1 else (at_centre[1] if v == 1 else at_centre[2])
                    cz = at_centre[0] if u == 2 else (at_centre[1] if v == 2 else at_centre[2])
                    cz -= kept[LENGTH]
                if far > 0.0 or turned:
                    if way != 0 and not feed > 0.0 and kept[FEED_TOLD] == 0.0:
                        break
                    for axis in range(3):
                        if has[_A + axis]:
                            kept[ROTARY + axis] = given[_A + axis] + (0.0 if absolute else kept[ROTARY + axis])
                        if kept[ROTARY + axis] != 0.0:
                            rotaries[n, axis] = kept[ROTARY + axis]
                    # ---- the row
                    if kept[TURNING] == 0.0:
                        rpm = 0.0
                    elif kept[SURFACE] == 0.0:
                        rpm = kept[SPEED]
                    else:
                        turn = 2.0 * math.pi * abs(goal[0] - kept[OFFSET])
                        rpm = min(kept[CAP], 1000.0 * kept[SPEED] / turn) if turn > 0.0 else kept[CAP]
                    lines[n] = line
                    motions[n] = way
                    for axis in range(3):
                        starts[n, axis] = kept[NOSE + axis]
                        ends[n, axis] = goal[axis]
                        kept[NOSE + axis] = goal[axis]
                    starts[n, 2] -= kept[LENGTH]
                    ends[n, 2] -= kept[LENGTH]
                    centres[n, 0], centres[n, 1], centres[n, 2] = cx, cy, cz
                    lengths[n] = far
                    if way != 0:
                        if kept[FEED_WAY] == A_TURN:
                            per_turns[n] = feed
                            feeds[n] = feed * rpm
                        elif kept[FEED_WAY] == INVERSE:
                            feeds[n] = feed * far
                        else:
                            feeds[n] = feed
                    rpms[n] = rpm
                    n += 1
            kept[FEED] = feed
            kept[MOTION] = motion
            kept[ABSOLUTE] = 1.0 if absolute else 0.0
            kept[WORDS_SEEN] = 1.0
        at = p + 1
        line += 1
        passed += 1
    return at, line, n
