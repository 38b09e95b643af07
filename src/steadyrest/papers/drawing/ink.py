"""Strokes, text and colours of every drawing. SVG with presentation attributes only: no style, no script, no fonts."""

from __future__ import annotations

import colorsys
from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

FONT = "'Segoe UI', 'Helvetica Neue', 'DejaVu Sans', 'Liberation Sans', 'Libertinus Sans', sans-serif"
WEAR_HUE = 22 / 360
WEAR_STEPS_MM = (0.05, 0.1, 0.2, 0.4)
LIGHTNESS = (0.90, 0.80, 0.68, 0.55, 0.42)
DARK_LIGHTNESS = (0.24, 0.32, 0.41, 0.52, 0.64)
# How wide a character is on average, in heights of the text; generous, so that columns never touch.
CHARACTER = 0.62
BOLD_CHARACTER = 0.69

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours of one drawing. dark: light ink on a dark page. marked: numerals that stand filled, as what changed."""

    ink: str
    soft: str
    body: str
    cut: str
    paper: str
    dark: bool
    marked: frozenset[str] = frozenset()

    def wear(self, step: int) -> str:
        """The fill of a wear step, 1 (least) to 5: one hue, by lightness."""
        lightness = (DARK_LIGHTNESS if self.dark else LIGHTNESS)[step - 1]
        red, green, blue = colorsys.hls_to_rgb(WEAR_HUE, lightness, 0.75)
        return f"#{round(red * 255):02x}{round(green * 255):02x}{round(blue * 255):02x}"

    def on_wear(self, step: int) -> str:
        """The ink that reads on a wear step."""
        return ("#1c1a17" if step <= 3 else "#ffffff") if not self.dark else ("#ffffff" if step <= 3 else "#1c1a17")


LIGHT = Palette(ink="#1c2126", soft="#68707a", body="#eceff1", cut="#dfe4e8", paper="#ffffff", dark=False)
DARK = Palette(ink="#eceae4", soft="#a3aab3", body="#30363d", cut="#3c444d", paper="#16191d", dark=True)


def wear_step(wear_mm: float) -> int:
    """The step of a wear depth: 1 to 0.05 mm, 2 to 0.1, 3 to 0.2, 4 to 0.4, 5 beyond."""
    return 1 + sum(wear_mm > edge for edge in WEAR_STEPS_MM)


def number(value: float) -> str:
    """A coordinate: two decimals at most, so that the same input gives the same bytes everywhere."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def element(name: str, body: str = "", **attributes: str | float) -> str:
    """One SVG element. Attribute names are written with underscores for dashes."""
    parts = [name]
    for key, value in attributes.items():
        text = number(value) if isinstance(value, (int, float)) else value
        parts.append(f"{key.rstrip('_').replace('_', '-')}={quoteattr(text)}")
    return f"<{' '.join(parts)}>{body}</{name}>" if body else f"<{' '.join(parts)}/>"


def line(a: Point, b: Point, stroke: str, *, width: float = 0.25, dash: str = "none") -> str:
    """A straight stroke from a to b."""
    dashes = {} if dash == "none" else {"stroke_dasharray": dash}
    return element(
        "line", x1=a[0], y1=a[1], x2=b[0], y2=b[1], stroke=stroke, stroke_width=width, stroke_linecap="round", **dashes
    )


def polygon(points: Sequence[Point], *, fill: str, stroke: str = "none", width: float = 0.5) -> str:
    """A closed outline."""
    path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return element("polygon", points=path, fill=fill, stroke=stroke, stroke_width=width, stroke_linejoin="round")


def polyline(points: Sequence[Point], stroke: str, *, width: float = 0.25) -> str:
    """An open stroke through points."""
    path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return element("polyline", points=path, fill="none", stroke=stroke, stroke_width=width, stroke_linejoin="round",
                   stroke_linecap="round")  # fmt: skip


def circle(centre: Point, radius: float, *, fill: str, stroke: str = "none", width: float = 0.3) -> str:
    """A circle."""
    return element("circle", cx=centre[0], cy=centre[1], r=radius, fill=fill, stroke=stroke, stroke_width=width)


def text(
    at: Point, said: str, *, size: float, fill: str, anchor: str = "start", bold: bool = False, klass: str = ""
) -> str:
    """A line of text with its baseline at a point. size: mm."""
    extra: dict[str, str] = {"font_weight": "600"} if bold else {}
    if klass:
        extra["class_"] = klass
    return element("text", escape(said), x=at[0], y=at[1], font_size=size, fill=fill, text_anchor=anchor,
                   font_family=FONT, **extra)  # fmt: skip


def text_width(said: str, size: float, *, bold: bool = False) -> float:
    """About how wide a text is, mm; on the generous side."""
    return len(said) * (BOLD_CHARACTER if bold else CHARACTER) * size


def svg(body: Sequence[str], *, width_mm: float, height_mm: float, title: str, description: str) -> str:
    """A whole drawing: one unit is one millimetre on paper; on a page it fills the width that it is given."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(width_mm)} {number(height_mm)}" '
        f'width="{number(width_mm)}mm" height="{number(height_mm)}mm" role="img">'
    )
    return (
        "\n".join((head, element("title", escape(title)), element("desc", escape(description)), *body, "</svg>")) + "\n"
    )
