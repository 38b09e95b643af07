"""Programs made up line by line, as the oracle in tests/oracles/slow_program.py reads them too."""

from __future__ import annotations

import math

from hypothesis import strategies as st
from hypothesis.strategies import SearchStrategy, composite, sampled_from

sizes = st.integers(-9_000, 9_000).map(lambda n: n / 100)


def shown(value: float) -> SearchStrategy[str]:
    """A number as a post-processor may write it."""
    texts = [f"{value:.3f}", f"{value:g}", f"{value:.4f}"]
    if value == int(value):
        texts.append(f"{int(value)}.")
    return sampled_from(texts)


@composite
def word(draw: st.DrawFn, letter: str, values: SearchStrategy[float] = sizes) -> str:
    blank = draw(sampled_from(["", "", "", " "]))
    return letter + blank + draw(shown(draw(values)))


@composite
def axis_words(draw: st.DrawFn, letters: str = "XYZ", least: int = 1) -> list[str]:
    chosen = draw(st.lists(sampled_from(letters), min_size=least, max_size=len(letters), unique=True))
    return [draw(word(letter)) for letter in chosen]


@composite
def plain_motion(draw: st.DrawFn) -> list[str]:
    words = draw(st.lists(sampled_from(["G0", "G1", "G01", "g00"]), max_size=1))
    words += draw(st.lists(sampled_from(["G90", "G91"]), max_size=1))
    words += draw(axis_words())
    if draw(st.integers(0, 4)) == 0:
        words.append(draw(word("F", st.integers(1, 3000).map(float))))
    return draw(st.permutations(words))


@composite
def arcs(draw: st.DrawFn) -> list[str]:
    words = [draw(sampled_from(["G2", "G3", "G02", "G03"]))]
    words += draw(axis_words(least=0))
    if draw(st.booleans()):
        words.append(draw(word("R", st.integers(-900, 900).filter(bool).map(lambda n: n / 10))))
    else:
        words += draw(axis_words("IJK", least=2))
    return words


@composite
def true_arcs(draw: st.DrawFn) -> list[str]:
    """An arc whose ends lie on one circle, told by steps; sometimes a helix."""
    radius, first, turn = draw(st.integers(1, 500)) / 10, draw(st.integers(0, 359)), draw(st.integers(1, 359))
    letters, centre, across = draw(sampled_from([("XY", "IJ", "Z"), ("ZX", "KI", "Y"), ("YZ", "JK", "X")]))
    plane = {"XY": "G17", "ZX": "G18", "YZ": "G19"}[letters]
    a, b = math.radians(first), math.radians(first + turn)
    words = [plane, "G91", draw(sampled_from(["G2", "G3"]))]
    words += [f"{letters[0]}{radius * (math.cos(b) - math.cos(a)):.4f}"]
    words += [f"{letters[1]}{radius * (math.sin(b) - math.sin(a)):.4f}"]
    words += [f"{centre[0]}{-radius * math.cos(a):.4f}", f"{centre[1]}{-radius * math.sin(a):.4f}"]
    if draw(st.booleans()):
        words.append(draw(word(across)))
    return words


@composite
def cycles(draw: st.DrawFn) -> list[str]:
    words = [draw(sampled_from(["G81", "G82", "G83", "G85"])), draw(sampled_from(["G98", "G99"]))]
    words += draw(axis_words("XY", least=0))
    incremental = draw(st.booleans())
    near = draw(st.integers(-50, 50)) / 10
    deep = draw(st.integers(1, 300)) / 10
    words += [f"R{near}", f"Z{-deep if incremental else near - deep:.3f}", f"Q{draw(st.integers(5, 100)) / 10}", "P250"]
    words.append("G91" if incremental else "G90")
    if draw(st.booleans()):
        words.append(f"L{draw(st.integers(0, 3))}")
    return words


def others() -> SearchStrategy[list[str]]:
    return sampled_from([
        ["G20"], ["G21"], ["G54"], ["G55"], ["G94"], ["G95"], ["G96", "S120"], ["G97", "S900"], ["S2000", "M3"], ["M4"],
        ["M5"], ["M8"], ["M9"], ["T1", "M6"], ["T2", "M6"], ["T3"], ["M6"], ["M0"], ["M1"], ["G4", "P500"], ["G80"],
        ["G91", "G28", "Z0"], ["G90"], ["G40", "G49", "G80"], ["M77"], ["G187"], ["F250"], ["F0.2", "G95"], [],
        ["M98", "P1000"], ["M98", "P1000", "L3"], ["M98", "P4444"],
    ])  # fmt: skip


@composite
def beyond(draw: st.DrawFn) -> list[str]:
    """What the plain reader does not know: rotary axes, inverse time, tool lengths, shifts, variables."""
    fixed = [
        ["G93", "F4"], ["G94", "F300"], ["G43", "H1"], ["G49"], ["G52", "X3"], ["G92", "Y0"], ["G92.1"], ["G61"],
        ["G64"], ["#1=#1+1"], ["X[#1*2]"], ["G90.1"], ["G91.1"], ["G53", "Z0"], ["G31", "Z-9", "F50"],
        ["G33", "Z1", "K2"],
    ]  # fmt: skip
    if draw(st.booleans()):
        return draw(sampled_from(fixed))
    return draw(plain_motion()) + draw(axis_words("ABC"))


@composite
def line(draw: st.DrawFn, calls: bool, more: bool = False) -> str:
    kinds = [plain_motion(), plain_motion(), plain_motion(), arcs(), true_arcs(), others()]
    if more:
        kinds += [beyond(), beyond(), plain_motion()]
    words = draw(draw(sampled_from(kinds)))
    if not calls:
        words = [] if "M98" in words else words
    text = draw(sampled_from(["", " "])).join(words)
    if draw(st.integers(0, 3)) == 0:
        text = f"N{draw(st.integers(1, 9999))} {text}"
    if draw(st.integers(0, 4)) == 0:
        text += " (a comment, G1 X5)"
    return text.lower() if draw(st.integers(0, 5)) == 0 else text


@composite
def holes(draw: st.DrawFn) -> list[str]:
    """A stretch of canned cycles: its own plane XY, one kind of distance, one unit, until G80."""
    first = draw(cycles())
    rest = draw(st.lists(axis_words("XY"), max_size=3))
    return ["G17", "G0 Z60", " ".join(first), *(" ".join(words) for words in rest), "G80 G90"]


@composite
def programs(draw: st.DrawFn, more: bool = False) -> str:
    """A whole program: a header, lines, stretches of holes, the end, one subprogram."""
    lines = ["%", "O1"]
    lines += draw(sampled_from([[], ["G21 G90 G17"], ["G20 G90"], ["G18 G21"], ["G19 G21"]]))
    for _ in range(draw(st.integers(1, 8))):
        if draw(st.integers(0, 3)) == 0:
            lines += draw(holes())
        else:
            lines += draw(st.lists(line(calls=True, more=more), min_size=1, max_size=6))
    lines += ["M30", "O1000"]
    lines += draw(st.lists(line(calls=False), max_size=4))
    lines += ["M99", "%"]
    return "\n".join(lines)
