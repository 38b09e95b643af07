"""What forming and moulding answer, as the contract prints it and as words."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json, number, sentences
from steadyrest.desk.form import FormAnswer
from steadyrest.shop.figure import Figure, Reason
from steadyrest.stations.form.heating import Heated
from steadyrest.stations.form.thinning import Thinned
from steadyrest.stations.mould.clamp import Clamped
from steadyrest.units import show_time
from steadyrest.wording.say import say


def form_answer(answer: FormAnswer) -> Json:
    """The contract's section 5 document."""
    found = answer.found
    doubts = sentences(found.doubts) if isinstance(found, Thinned) else []
    return {
        **_figures(answer),
        "answer": found.answer,
        "why": sentences(found.cannot or _why(answer)),
        "cautions": sentences(answer.cautions),
        "doubts": [*doubts, *(f"{place}: this key was not read" for place in answer.unread)],
    }


def _figures(answer: FormAnswer) -> dict[str, Json]:
    found = answer.found
    if isinstance(found, Thinned):
        return {
            "points": [{"id": name, "thickness_mm": number(figure.value)} for name, figure in found.points],
            "mean_mm": number(found.mean.value),
            "min_mm": number(found.least.value),
            "min_at_mm": [number(one) for one in found.least_at_mm],
        }
    if isinstance(found, Heated):
        return {"time_s": _value(found.time), "surface_c": _value(found.surface)}
    if isinstance(found, Clamped):
        return {"force_kn": number(found.force.value / 1000), "area_mm2": number(found.shown_mm2)}
    return {"time_s": _value(found.time)}


def _value(figure: Figure | None) -> float | None:
    return None if figure is None else number(figure.value)


def _why(answer: FormAnswer) -> tuple[Reason, ...]:
    found = answer.found
    if isinstance(found, Thinned):
        return found.mean.why
    if isinstance(found, Clamped):
        return found.force.why
    return () if found.time is None else found.time.why


def form_lines(answer: FormAnswer) -> Iterator[str]:
    """The same in words: the figure first, what makes it so, what to mind."""
    found = answer.found
    if isinstance(found, Thinned):
        yield from _thickness_lines(found)
    elif isinstance(found, Clamped):
        yield f"{found.answer}: the mould needs {found.force.value / 1000:.1f} kN to stay shut"
        yield from (f"  {say(reason)}" for reason in found.force.why)
    elif found.time is None:
        yield f"{found.answer}: never"
    else:
        face = ""
        if isinstance(found, Heated) and found.surface is not None:
            face = f", the face then at {found.surface.value:.1f} °C"
        yield f"{found.answer}: {found.time.value:.1f} s ({show_time(found.time.value)}){face}"
        yield from (f"  {say(reason)}" for reason in found.time.why)
    yield from (f"  {say(reason)}" for reason in found.cannot)
    yield from (f"  caution: {say(caution)}" for caution in answer.cautions)
    if isinstance(found, Thinned):
        yield from (f"  {say(doubt)}" for doubt in found.doubts)
    yield from (f"  {place}: this key was not read" for place in answer.unread)


def _thickness_lines(found: Thinned) -> Iterator[str]:
    yield f"{found.answer}: thinnest {found.least.value:.3f} mm, on average {found.mean.value:.3f} mm"
    yield from (f"  {say(reason)}" for reason in (*found.least.why, *found.mean.why))
    yield from (f"  {name}: {figure.value:.3f} mm, {say(figure.why[0])}" for name, figure in found.points)
