"""NC programs of the invented shop, written line by line: one that may be left, one that may if, one that may not.

They make the demo part's right-hand side, spacers from the bar, and its keyway. Sizes are the part's (stage_lift.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

SPACERS = 30
INCH_MM = 25.4


def write_programs(folder: Path) -> tuple[Path, ...]:
    """Write all programs.

    Args:
        folder: made if there is none.
    Returns: the files.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written: list[Path] = []
    for name, lines in PROGRAMS.items():
        file = folder / name
        # As a control would take it, on every system: carriage return and line feed.
        file.write_bytes(("\r\n".join(lines()) + "\r\n").encode("ascii"))
        written.append(file)
    return tuple(written)


def number(value: float) -> str:
    """A coordinate as a program writes it: with its point, to a micrometre."""
    text = f"{value:.3f}".rstrip("0")
    return text if not text.startswith("-0.") or float(text) else "0."


def shaft_side() -> Iterator[str]:
    """The right-hand side of the stage lift's shaft: journal, seat and collar, roughed and finished. Lathe."""
    journal, seat, collar = 1.25 * INCH_MM, (1 + 7 / 16) * INCH_MM, 1.75 * INCH_MM
    first, second, third = (2 + 5 / 16) * INCH_MM, (4 + 1 / 8) * INCH_MM, (5 + 1 / 8) * INCH_MM
    allow = 0.5
    yield from ("%", "O0101 (STAGE LIFT SHAFT, RIGHT-HAND SIDE)", "G21 G18 G40 G90 G95")
    yield from ("G0 X200. Z60.", "T0303 (FACE)", "G50 S2400", "G96 S190 M3", "M8")
    yield from ("G0 X50. Z0.2", "G1 X-1.6 F0.2", "G0 Z2.", "X50.", "Z0.", "G1 X-1.6 F0.12", "G0 X200. Z60.")
    yield from ("T0101 (ROUGH)", "G50 S2400", "G96 S180 M3", "M8")
    across = 45.0
    while across > journal + allow:
        across = max(across - 3.0, journal + allow)
        # Down to the collar first, then to the seat, then to the journal: each as far as it is wanted.
        end = third if across >= collar + allow else second if across >= seat + allow else first
        yield from (
            f"G0 X{number(across)} Z2.",
            f"G1 Z{number(-(end - 0.2))} F0.3",
            f"X{number(across + 3.4)}",
            "G0 Z2.",
        )
    yield "G0 X200. Z60."
    yield from ("T0202 (FINISH)", "G50 S2400", "G96 S230 M3", "M8")
    yield from (f"G0 X{number(journal - 7)} Z2.", "G1 Z0. F0.12")
    yield from (f"X{number(journal - 3)}", f"X{number(journal)} Z-1.5", f"Z{number(-(first - 0.8))}")
    yield from (f"G2 X{number(journal + 1.6)} Z{number(-first)} I0.8 K0.", f"G1 X{number(seat - 2)}")
    yield from (f"X{number(seat)} Z{number(-(first + 1))}", f"Z{number(-(second - 1))}")
    yield from (f"G2 X{number(seat + 2)} Z{number(-second)} I1. K0.", f"G1 X{number(collar - 2)}")
    yield from (f"X{number(collar)} Z{number(-(second + 1))}", f"Z{number(-third)}", "X47.")
    yield from ("G0 X200. Z60.", "M9", "M5", "M30", "%")


def spacers() -> Iterator[str]:
    """Thirty spacers from the bar, drilled, turned and parted off, the bar pulled on after each. Lathe, bar feed."""
    yield from ("%", "O0201 (SPACERS 28 X 12 X 20, FROM THE BAR)", "G21 G18 G40 G90 G95", "G0 X200. Z60.")
    yield from (f"M98 P0202 L{SPACERS}", "G0 X200. Z60.", "M9", "M5", "M30")
    yield from ("O0202 (ONE SPACER)", "T0505 (DRILL 11.5)", "G97 S900 M3", "M8", "G0 X0. Z3.")
    yield from ("G83 Z-26. R2. Q8. F0.14", "G80", "G0 X200. Z60.")
    yield from ("T0101 (ROUGH)", "G50 S2400", "G96 S180 M3", "M8")
    yield from ("G0 X38. Z0.", "G1 X10. F0.12", "G0 X36. Z2.")
    for across in (33.5, 32.0, 30.5, 29.0, 28.5):
        yield from (f"G0 X{number(across)} Z2.", "G1 Z-24. F0.12", "X38.", "G0 Z2.")
    yield "G0 X200. Z60."
    yield from ("T0202 (FINISH)", "G50 S2400", "G96 S220 M3", "M8")
    yield from ("G0 X26. Z2.", "G1 Z0. F0.1", "X28. Z-1.", "Z-23.5", "X38.", "G0 X200. Z60.")
    yield from ("T0909 (PART OFF)", "G50 S1800", "G96 S110 M3", "M8")
    yield from ("G0 X38. Z-23.", "G1 X10. F0.06", "G0 X38.", "X200. Z60.", "M9", "M70", "M99", "%")


def keyway() -> Iterator[str]:
    """The keyway 3/8 in, stepped down with a smaller slot drill, measured by hand, then its walls. Mill."""
    width, depth, length = 0.375 * INCH_MM, 0.1875 * INCH_MM, 2.25 * INCH_MM
    middle = (width - 8.0) / 2  # of the 8 mm slot drill's way to either wall
    far = length - width
    yield from ("%", "O0301 (KEYWAY 3/8)", "G21 G17 G40 G49 G80 G90 G94", "G28 G91 Z0.", "G90")
    yield from ("T3 M6", "G54", "S2000 M3", "G0 X0. Y0.", "G43 H3 Z5.", "M8")
    level = 0.0
    while level < depth - 1e-9:
        level = min(level + 1.2, depth)
        yield from ("G0 X0. Y0.", "Z1.", f"G1 Z{number(-level)} F60.", f"X{number(far)} F160.", "G0 Z2.")
    yield from ("Z50.", "M9", "M5", "M0 (MEASURE THE WIDTH WITH A SLIP GAUGE)", "S2200 M3", "M8")
    yield from ("G0 X0. Y0.", "Z1.", f"G1 Z{number(-depth)} F60.", f"Y{number(middle)} F120.", f"X{number(far)}")
    yield from (f"G2 X{number(far)} Y{number(-middle)} I0. J{number(-middle)}", "G1 X0.")
    yield from (f"G2 X0. Y{number(middle)} I0. J{number(middle)}", "G1 Y0.", "G0 Z50.")
    yield from ("M9", "M5", "G28 G91 Z0.", "G90", "M30", "%")


PROGRAMS = {"shaft-side-1.nc": shaft_side, "spacers.nc": spacers, "keyway.nc": keyway}
MACHINES = {"shaft-side-1.nc": "lathe", "spacers.nc": "lathe", "keyway.nc": "mill"}
