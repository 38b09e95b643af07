"""The night sheet: the plan of the week, time running down, a column for each person and machine, like a timetable.

Work stands as blocks with the job's number; the new job has a heavy outline and says so in a word. Hours in which
somebody is not in, and in a machine's column hours in which nobody is, are shaded. A run with nobody at it has a line
down its middle, a machine held idle has dots. Nights in which nothing happens are folded.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.night_columns import Block, Column, close, columns_of, idle, window
from steadyrest.papers.drawing.night_time import HEADING_MM, Scale, hours, scale
from steadyrest.promise.answer import PlanRow
from steadyrest.promise.calendars import in_words, merged
from steadyrest.shop.floor import Machine, Person

AXIS_MM = 13.0
TEXT_MM = 3.3
HEAD_MM = 3.5
MARK_MM = 4.0
SMALLEST_MM = 2.5


def night_sheet_svg(
    rows: Sequence[PlanRow],
    people: Sequence[Person],
    machines: Sequence[Machine],
    *,
    now: datetime,
    due: datetime,
    timezone: str,
    width_mm: float = 95.0,
    height_mm: float | None = None,
    dark: bool = False,
) -> str:
    """The plan as a picture. 95 mm is a phone's width; 180 fits A4.

    Args:
        rows: the plan; rows with `new` are the new job's.
        people, machines: of the shop, in its order; machines without work in the window are left out.
        now, due: aware.
        timezone: the shop's.
        width_mm: of the drawing.
        height_mm: the most it may take, as far as it stays legible; None: as long as it needs to be.
        dark: for a dark page.
    Returns: SVG text.
    """
    zone = ZoneInfo(timezone)
    start, end = window(rows, now, due)
    shown = [row for row in rows if row.end > start and row.start < end]
    columns = columns_of(shown, people, machines, start, end, timezone)
    busy = merged([*(span for column in columns for span in column.here), *((row.start, row.end) for row in shown)])
    head_mm = _head_height(columns, _pitch(columns, width_mm))
    free = None if height_mm is None else height_mm - head_mm - 12
    time = scale(busy, start=start, end=end, zone=zone, top=head_mm, height_mm=free, hour_mm=7.5)
    colours = ink.DARK if dark else ink.LIGHT
    body = [ink.element("rect", x=0, y=0, width=width_mm, height=time.bottom + 12, fill=colours.paper)]
    body += _ground(columns, time, width_mm, colours)
    body += _hours(time, zone, width_mm, colours)
    for n, column in enumerate(columns):
        body += _work(column, n, columns, time, width_mm, colours)
    body += _folds(time, zone, width_mm, colours)
    body += _heads(columns, head_mm, width_mm, colours)
    body += _moments(rows, columns, time, due, start, end, timezone, width_mm, colours)
    body += _legend(time.bottom + 5.5, width_mm, colours)
    return ink.svg(body, width_mm=width_mm, height_mm=time.bottom + 12, title="Night sheet",
                   description=_in_words(rows, timezone, due))  # fmt: skip


def _pitch(columns: Sequence[Column], width_mm: float) -> float:
    return (width_mm - AXIS_MM - 1.0) / max(1, len(columns))


def _left(columns: Sequence[Column], n: int, width_mm: float) -> float:
    return AXIS_MM + n * _pitch(columns, width_mm)


def _head_height(columns: Sequence[Column], pitch: float) -> float:
    """Names stand level where all of them fit, else they run up the page."""
    widest = max((ink.text_width(column.head, HEAD_MM) for column in columns), default=0.0)
    return 8.0 if widest <= pitch - 1 else widest + 5.0


def _ground(columns: Sequence[Column], time: Scale, width_mm: float, colours: ink.Palette) -> list[str]:
    """Shade where somebody (in a machine's column: everybody) is not in."""
    pitch, body = _pitch(columns, width_mm), list[str]()
    for n, column in enumerate(columns):
        x = _left(columns, n, width_mm)
        for segment in time.segments:
            body.append(_box(x, segment.top, pitch, segment.bottom, colours.cut))
            for a, b in column.here:
                low, high = max(a, segment.start), min(b, segment.end)
                if low < high and not segment.folded:
                    top = time.down(low, opens=True)
                    body.append(_box(x, top, pitch, time.down(high), colours.paper))
    return body


def _box(x: float, top: float, wide: float, bottom: float, fill: str) -> str:
    return ink.element("rect", x=x, y=top, width=wide, height=bottom - top, fill=fill)


def _hours(time: Scale, zone: ZoneInfo, width_mm: float, colours: ink.Palette) -> list[str]:
    """Hour lines and their times, a heading for each day, a torn edge and a word where the night is folded."""
    body: list[str] = []
    every = 1 if time.hour_mm >= 5 else 2 if time.hour_mm >= 2.6 else 4
    for y, day in time.headings:
        name = in_words(datetime(day.year, day.month, day.day, 12, tzinfo=zone), str(zone)).rsplit(" ", 1)[0]
        body.append(_box(0, y, width_mm, y + HEADING_MM, colours.paper))
        body.append(ink.text((1, y + HEADING_MM - 2.9), name, size=4.2, fill=colours.ink, bold=True))
        body.append(ink.line((0, y + 0.2), (width_mm, y + 0.2), colours.ink, width=0.4))
    for segment in time.segments:
        if segment.folded:
            continue
        for moment in hours(segment, zone, every):
            y = time.down(moment) if moment > segment.start else segment.top
            body.append(ink.line((AXIS_MM - 1.5, y), (width_mm - 1, y), colours.soft, width=0.1))
            if y + 1 < time.bottom:
                label = f"{moment.astimezone(zone):%H:%M}"
                body.append(
                    ink.text((AXIS_MM - 2.2, y + TEXT_MM / 3), label, size=TEXT_MM, fill=colours.soft, anchor="end")
                )
    return body


def _folds(time: Scale, zone: ZoneInfo, width_mm: float, colours: ink.Palette) -> list[str]:
    """A torn edge where a night is folded, and until when; over the blocks, as a machine may be held through it."""
    body: list[str] = []
    for segment in time.segments:
        if not segment.folded:
            continue
        teeth = int((width_mm - AXIS_MM - 1) / 2)
        edge = [(AXIS_MM + 2 * k, segment.top + (0.5 if k % 2 else -0.5)) for k in range(teeth + 1)]
        body.append(ink.polyline(edge, colours.soft, width=0.25))
        if segment is time.segments[-1]:
            continue
        said, y = f"nobody in until {_short(segment.end, str(zone))}", (segment.top + segment.bottom) / 2 + TEXT_MM / 3
        body.append(_box(AXIS_MM + 1, y - TEXT_MM, ink.text_width(said, TEXT_MM) + 1, y + 0.9, colours.cut))
        body.append(ink.text((AXIS_MM + 1.5, y), said, size=TEXT_MM, fill=colours.soft))
    return body


def _work(
    column: Column, n: int, columns: Sequence[Column], time: Scale, width_mm: float, colours: ink.Palette
) -> list[str]:
    """The blocks of one column; the new job last, so that its outline is whole."""
    x, wide = _left(columns, n, width_mm) + 0.7, _pitch(columns, width_mm) - 1.4
    body: list[str] = []
    for block in sorted(column.blocks, key=lambda block: block.new):
        top, bottom = time.down(block.start, opens=True), time.down(block.end)
        tall = max(bottom - top, 0.6)
        words = _label(block, x, wide, top, bottom, colours)
        under = top + len(words) * (TEXT_MM + 0.5) + 0.8
        stroke, heavy, corner = (colours.ink, 0.9, 0.6) if block.new else (colours.soft, 0.25, 0.0)
        outline = ink.element("rect", x=x, y=top, width=wide, height=tall, fill="none", stroke=stroke,
                              stroke_width=heavy, rx=corner)  # fmt: skip
        shapes = [ink.element("rect", x=x, y=top, width=wide, height=tall, fill=colours.paper)]
        for a, b, attended in close(block.parts):
            y, low = time.down(a, opens=True), time.down(b)
            shapes.append(_box(x, y, wide, max(low, y + 0.4), colours.cut if block.new else colours.body))
            if not attended:
                shapes += _middle_line(x + wide / 2, max(y, under), low, colours, "none")
        for a, b in idle(block):
            shapes += _middle_line(x + wide / 2, max(time.down(a, opens=True), under), time.down(b), colours, "0.2 1.6")
        body.append(ink.element("g", "".join((_title(block), *shapes, outline, *words))))
    return body


def _middle_line(x: float, top: float, bottom: float, colours: ink.Palette, dash: str) -> list[str]:
    return [ink.line((x, top), (x, bottom), colours.soft, width=0.6, dash=dash)] if bottom > top else []


def _title(block: Block) -> str:
    return ink.element("title", ink.escape(f"{block.job} {block.name}".strip()))


def _label(block: Block, x: float, wide: float, top: float, bottom: float, colours: ink.Palette) -> list[str]:
    """The job's number, then "new" or what is done, as far as the block has room; nothing is set too small to read."""
    found: list[str] = []
    for k, said in enumerate(each for each in (block.job, "new" if block.new else block.name) if each):
        size = min(TEXT_MM, (wide - (1.6 if block.new else 0.8)) / ink.text_width(said, 1.0))
        down = top + (len(found) + 1) * (TEXT_MM + 0.5)
        if size >= SMALLEST_MM and down <= bottom + 0.5:
            at = (x + wide / 2, down - 0.7)
            found.append(ink.text(at, said, size=size, fill=colours.ink, anchor="middle", bold=k == 0 or block.new))
    return found


def _heads(columns: Sequence[Column], head_mm: float, width_mm: float, colours: ink.Palette) -> list[str]:
    """Names above the columns, and a stronger line between people and machines."""
    pitch, body = _pitch(columns, width_mm), list[str]()
    level = head_mm <= 8.0
    for n, column in enumerate(columns):
        x = _left(columns, n, width_mm)
        at = (x + pitch / 2, head_mm - 2.5) if level else (x + pitch / 2 + HEAD_MM / 3, head_mm - 2.0)
        said = ink.text(
            at, column.head, size=HEAD_MM, fill=colours.ink, anchor="middle" if level else "start", bold=True
        )
        turn = f"rotate(-90 {ink.number(at[0])} {ink.number(at[1])})"
        body.append(said if level else ink.element("g", said, transform=turn))
    return body


def _moments(
    rows: Sequence[PlanRow],
    columns: Sequence[Column],
    time: Scale,
    due: datetime,
    start: datetime,
    end: datetime,
    timezone: str,
    width_mm: float,
    colours: ink.Palette,
) -> list[str]:
    """The due time as a heavy dashed line, and where the new job is done as a plain one, each with its words."""
    body: list[str] = []
    done = max((row.end for row in rows if row.new), default=None)
    marks = [(due, f"due {_short(due, timezone)}", "2.4 1.6", 0.8)]
    if done is not None:
        marks.append((done, f"done {_short(done, timezone)}", "none", 0.5))
    taken: list[float] = []
    for moment, said, dash, stroke in marks:
        if not start <= moment <= end:
            continue
        y, wide = time.down(moment), ink.text_width(said, MARK_MM)
        places = [place for place in (y - 1.2, y + MARK_MM) if all(abs(place - other) > MARK_MM for other in taken)]
        label = min(places or [y - 1.2], key=lambda at: _hidden(at, width_mm - wide - 2.5, columns, time, width_mm))
        taken.append(label)
        body.append(ink.line((AXIS_MM - 1.5, y), (width_mm - 1, y), colours.ink, width=stroke, dash=dash))
        body.append(_box(width_mm - wide - 2.5, label - 3.5, wide + 1.5, label + 0.8, colours.paper))
        body.append(ink.text((width_mm - 1.8, label), said, size=MARK_MM, fill=colours.ink, anchor="end", bold=True))
    return body


def _hidden(label: float, left: float, columns: Sequence[Column], time: Scale, width_mm: float) -> float:
    """How much work (mm of block, all columns) words at this height would hide."""
    hidden = 0.0
    for n, column in enumerate(columns):
        if _left(columns, n + 1, width_mm) > left:
            for block in column.blocks:
                top, bottom = time.down(block.start, opens=True), time.down(block.end)
                hidden += max(0.0, min(bottom, label + 0.8) - max(top, label - 3.5))
    return hidden


def _short(moment: datetime, timezone: str) -> str:
    words = in_words(moment, timezone).split()
    return f"{words[0]} {words[-1]}"


def _legend(y: float, width_mm: float, colours: ink.Palette) -> list[str]:
    lines = (
        "Shaded: not in. Heavy edge: the new job.",
        "Line down the middle: runs alone. Dots: held, idle.",
    )
    return [
        ink.text(
            (1, y + 4.2 * k), said, size=min(TEXT_MM, (width_mm - 2) / ink.text_width(said, 1.0)), fill=colours.soft
        )
        for k, said in enumerate(lines)
    ]


def _in_words(rows: Sequence[PlanRow], timezone: str, due: datetime) -> str:
    """The same for someone who cannot see the picture."""
    mine = sorted((row for row in rows if row.new), key=lambda row: row.start)
    said = [f"{row.name} from {in_words(row.start, timezone)} to {in_words(row.end, timezone)}" for row in mine]
    return f"Due {in_words(due, timezone)}. " + "; ".join(said)
