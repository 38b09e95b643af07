"""The picture of a part: its view to scale, features by numeral, wear by lightness, sizes with limits and trust below.

Everything that a shade or a mark says stands there as a word or a number too. A turned part is drawn from its profile,
a flat one from its outlines, another from its box and holes. One unit of the drawing is one millimetre on paper, so
text keeps its size: ask for width_mm=180 for a page, 95 for a telephone.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from steadyrest import units
from steadyrest.papers.drawing import datum_marks, ink, legend, numerals
from steadyrest.papers.drawing.besides import Frame
from steadyrest.papers.drawing.box_views import box_views
from steadyrest.papers.drawing.drawn import Drawn
from steadyrest.papers.drawing.flat_picture import flat_view
from steadyrest.papers.drawing.ink import Palette
from steadyrest.papers.drawing.numerals import Mark
from steadyrest.papers.drawing.turned_view import WEAR_FROM_MM, turned_view
from steadyrest.papers.drawing.wear_contours import wear_contours
from steadyrest.shop.part import Feature, Part, Profile

MARGIN = 6.0
LOWEST_MM = 60.0
HIGHEST_SHARE = 0.5
NARROWEST_MM = 80.0
LISTED = ("shaft", "bore", "cone", "sphere", "thread", "keyway", "groove", "slot", "hexagon", "flat", "pocket", "boss",
          "chamfer", "fillet")  # fmt: skip


def part_svg(
    part: Part, *, unit: str = "mm", width_mm: float = 180.0, dark: bool = False, marked: Collection[str] = ()
) -> str:
    """The picture of a part as SVG text.

    Args:
        part: as read and named.
        unit: "mm" or "in", the reader's, for limits and the overall length.
        width_mm: of the drawing on paper; at least 80.
        dark: light ink for a dark page.
        marked: ids of features whose numerals stand filled: they alone are listed, the largest 24 else.
    Returns: SVG text: valid XML, with title and description for those who listen instead.
    Raises: ValueError: the drawing is too narrow for its text.
    """
    if width_mm < NARROWEST_MM:
        raise ValueError(f"part_svg: width_mm {width_mm!r} must be at least {NARROWEST_MM}")
    numerals_marked = frozenset(one.lstrip("F") or one for one in marked)
    colours = replace(ink.DARK if dark else ink.LIGHT, marked=numerals_marked)
    named = (*LISTED, "face", "free") if part.flat is not None else LISTED
    listed = tuple(sorted((f for f in part.features if f.kind in named and f.sizes), key=by_number))
    if part.flat is not None:
        drawn = flat_view(part, part.flat, listed=listed, width=width_mm, unit=unit, colours=colours)
    elif part.profile is not None and part.profile.outside:
        drawn = turned(part, part.profile, unit=unit, width=width_mm, colours=colours)
    else:
        drawn = box_views(part, width=width_mm, unit=unit, colours=colours)
    shapes = list(drawn.shapes)
    y = drawn.height + 2
    key = wear_key(part, unit=unit, width=width_mm, top=y, colours=colours)
    shapes.extend(key.shapes)
    y += key.height
    flat = wear_contours(part, unit=unit, width=width_mm, top=y, colours=colours)
    shapes.extend(flat.shapes)
    y += flat.height
    told = tuple(one for one in listed if one.id in marked) if marked else listed
    rows = legend.legend(part, told, unit=unit, width=width_mm, top=y, colours=colours)
    shapes.extend(rows.shapes)
    y += rows.height
    from_datums = datum_marks.place_list(part, told, unit=unit, width=width_mm, top=y, colours=colours)
    shapes.extend(from_datums.shapes)
    y += from_datums.height
    if drawn.left_out:
        said = f"Too close together to point at in the picture: {', '.join(drawn.left_out)}"
        for row in legend.wrapped(said, legend.SMALL, width_mm - 4):
            y += 4.7
            shapes.append(ink.text((2, y), row, size=legend.SMALL, fill=colours.soft))
    kind = "flat part" if part.flat is not None else "turned part" if part.profile is not None else "part"
    title = f"{part.name}: {kind} with {len(listed)} features"
    return ink.svg(
        shapes, width_mm=width_mm, height_mm=y + 3, title=title, description=described(part, listed, unit, marked)
    )


def by_number(feature: Feature) -> tuple[int, str]:
    """Order of the list: by numeral."""
    digits = "".join(c for c in feature.id if c.isdigit())
    return (int(digits) if digits else 0, feature.id)


def turned(part: Part, profile: Profile, *, unit: str, width: float, colours: Palette) -> Drawn:
    """A turned part's side view with its numerals and overall length."""
    room = width - 2 * MARGIN - 2
    highest = max(LOWEST_MM, HIGHEST_SHARE * width)
    scale = min(room / profile.length_mm, highest / profile.largest_mm)
    left = (width - profile.length_mm * scale) / 2
    half = profile.largest_mm / 2 * scale
    measured = turned_view(part, profile, Frame(left, 0.0, scale, profile.outside[0].from_mm), colours)
    top_marks, low_marks = shared(part, measured.above, measured.below, width)
    upper = numerals.row(top_marks, level=0.0, up=True, left=2, right=width - 2, colours=colours)
    axis = upper.height + numerals.CLEAR + half + 2
    view = turned_view(part, profile, Frame(left, axis, scale, profile.outside[0].from_mm), colours)
    marks = view.above | view.below
    top = [marks[of_numeral(part, m.numeral).id] for m in top_marks]
    low = [below_axis(view.above, view.below, of_numeral(part, m.numeral), axis) for m in low_marks]
    over = numerals.row(top, level=axis - half - numerals.CLEAR, up=True, left=2, right=width - 2, colours=colours)
    under = numerals.row(low, level=axis + half + numerals.CLEAR, up=False, left=2, right=width - 2, colours=colours)
    foot = axis + half + (numerals.CLEAR + under.height if low else 0.0)
    length = overall(part, profile, unit=unit, left=left, scale=scale, y=foot + 6, colours=colours)
    letters = datum_marks.on_turned(part, profile, Frame(left, axis, scale, profile.outside[0].from_mm), colours)
    shapes = (*view.shapes, *over.shapes, *under.shapes, *length, *letters)
    return Drawn(shapes, foot + 9, over.left_out + under.left_out)


def shared(part: Part, above: dict[str, Mark], below: dict[str, Mark], width: float) -> tuple[list[Mark], list[Mark]]:
    """Which numerals stand above and which below: as they lie, but every other one moved where one side is full."""
    order = {f.id: (f.kind in ("chamfer", "fillet"), -f.area_mm2) for f in part.features}
    top = [above[k] for k in sorted(above, key=lambda k: order[k])]
    low = [below[k] for k in sorted(below, key=lambda k: order[k])]
    most = int((width - 4 - 2 * numerals.RADIUS) / numerals.PITCH) + 1
    if len(top) > most and len(low) < most:
        by_place = sorted(top, key=lambda m: m.low + m.high)
        moved = by_place[1::2][: most - len(low)]
        top = [m for m in top if m not in moved]
        low = [*low, *moved]
    return top, low


def of_numeral(part: Part, said: str) -> Feature:
    """The feature with this numeral."""
    return next(f for f in part.features if (f.id.lstrip("F") or f.id) == said)


def below_axis(above: dict[str, Mark], below: dict[str, Mark], feature: Feature, axis: float) -> Mark:
    """A mark for a numeral that stands below: an outside one is pointed at on the lower edge."""
    if feature.id in below:
        return below[feature.id]
    mark = above[feature.id]
    return Mark(mark.numeral, mark.low, mark.high, 2 * axis - mark.y)


def overall(
    part: Part, profile: Profile, *, unit: str, left: float, scale: float, y: float, colours: Palette
) -> list[str]:
    """The overall length with its arrows: as the drawing would have shown it, else as read."""
    right = left + profile.length_mm * scale
    said = units.show_length(round(profile.length_mm, 2), "in" if unit == "in" else "mm", fractions=False)
    named = next((s.nominal for f in part.features if f.kind == "face" for s in f.sizes if s.name == "length_mm"), None)
    if part.unit.state == "ask":
        said = f"{profile.length_mm:.4g} (unit?)"
    elif named is not None and named.state != "ask":
        said = named.shown
    half = ink.text_width(said, 4.3) / 2 + 1.5
    middle = (left + right) / 2
    shapes = [ink.text((middle, y + 1.5), said, size=4.3, fill=colours.ink, anchor="middle")]
    if right - left > 2 * half + 8:
        for end, way in ((left, 1), (right, -1)):
            shapes.append(ink.line((end, y), (middle - way * half, y), colours.ink, width=0.22))
            shapes.append(
                ink.polygon([(end, y), (end + way * 2.6, y - 0.7), (end + way * 2.6, y + 0.7)], fill=colours.ink)
            )
    shapes.extend(ink.line((end, y - 3), (end, y + 1.8), colours.soft, width=0.18) for end in (left, right))
    return shapes


def wear_key(part: Part, *, unit: str, width: float, top: float, colours: Palette) -> legend.Block:
    """What the numbered shades mean; only where something is worn."""
    if not any((f.wear_mm or 0.0) >= WEAR_FROM_MM for f in part.features):
        return legend.Block((), 0.0)
    reader = "in" if unit == "in" else "mm"
    ends = [units.show_length(edge, reader, fractions=False).split(" ")[0] for edge in ink.WEAR_STEPS_MM]
    said = [f"to {ends[0]}", *(f"to {end}" for end in ends[1:]), f"over {ends[-1]}"]
    head = f"Worn, {reader} deep:"
    shapes = [ink.text((2, top + 4.4), head, size=legend.SMALL, fill=colours.ink, bold=True)]
    x, y = 2 + ink.text_width(head, legend.SMALL, bold=True) + 2, top
    for step, words in enumerate(said, start=1):
        wide = 6.4 + ink.text_width(words, legend.SMALL) + 2.6
        if x + wide > width - 1:
            x, y = 2.0, y + 7
        shapes.append(
            ink.element(
                "rect",
                x=x,
                y=y + 0.8,
                width=5,
                height=5,
                fill=colours.wear(step),
                stroke=colours.soft,
                stroke_width=0.2,
            )
        )
        shapes.append(
            ink.text((x + 2.5, y + 4.5), str(step), size=3.4, fill=colours.on_wear(step), anchor="middle", bold=True)
        )
        shapes.append(ink.text((x + 6.4, y + 4.4), words, size=legend.SMALL, fill=colours.ink))
        x += wide
    return legend.Block(tuple(shapes), y - top + 9)


def described(part: Part, listed: tuple[Feature, ...], unit: str, marked: Collection[str] = ()) -> str:
    """The picture in words, for those who listen to it."""
    said = [f"{len(listed)} features."]
    if part.broken:
        said.append("One end is broken off.")
    changed = ", ".join(one.id.lstrip("F") or one.id for one in listed if one.id in marked)
    if changed:
        said.append(f"Filled numerals: {changed}.")
    for feature in listed:
        first = feature.sizes[0]
        state = first.nominal.state if first.nominal is not None else "ask"
        text = f"{feature.id.lstrip('F')}: {feature.kind} {legend.size_text(part, first, unit)}, {state}"
        limits = legend.limits_text(first.nominal, unit)
        rest = legend.rest_text(part, feature, unit).replace(" · ", ", ")
        said.append(", ".join(t for t in (text, limits, rest) if t) + ".")
    return " ".join(said)
