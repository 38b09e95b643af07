"""Match: which of the reader's features speaks of which truth, and which speaks of nothing that is there.

Only the keys of the command-line contract are read, and the length where it is given.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import linear_sum_assignment

from .drawing import Drawing, Truth
from .scanner import Scan

ROUND = ("shaft", "bore")
WIDE = {"keyway": ("keyway", "slot"), "slot": ("slot", "keyway", "groove", "pocket"), "groove": ("groove", "slot")}
FAR = 1e6


@dataclass(frozen=True, slots=True)
class Said:
    """What the reader said of one size, in the part's own frame."""

    id: str
    kind: str
    size_mm: float
    at: np.ndarray
    axis: np.ndarray
    length_mm: float | None
    wear_mm: float
    nominal_mm: float | None
    odds: float
    state: str
    source: str
    shown: str


def said(answer: dict, scan: Scan) -> list[Said]:
    """Every feature that carries a diameter or a width."""
    out = []
    for f in answer["features"]:
        key = "width_mm" if f.get("width_mm") is not None and f["kind"] not in ROUND else "diameter_mm"
        kind = "shaft" if f["kind"] == "boss" and key == "diameter_mm" else f["kind"]
        if f.get(key) is None or kind not in (*ROUND, "thread", "slot", "keyway", "groove", "pocket"):
            continue
        n = f.get("nominal") or {}
        at = (np.asarray(f["at_mm"], float) - scan.shift) @ scan.turn
        axis = np.asarray(f["axis"], float) @ scan.turn
        out.append(
            Said(
                f["id"], kind, float(f[key]), at, axis / np.linalg.norm(axis), f.get("length_mm"),
                float(f.get("wear_mm") or 0), n.get(key), float(n.get("odds") or 0), n.get("state") or "none",
                n.get("source") or "", n.get("shown") or "",
            )
        )  # fmt: skip
    return out


def off_axis(s: Said, at: np.ndarray, axis: np.ndarray) -> float:
    """Distance of a feature's place from a line, mm."""
    d = s.at - at
    return float(np.linalg.norm(d - axis * (d @ axis)))


def coaxial(s: Said, diameter: float, at: np.ndarray, axis: np.ndarray) -> bool:
    """Whether a feature lies on a true axis, as near as a short or half seen one can be asked to."""
    # The axis of a small hole, half seen, cannot be asked to be straight; its diameter can.
    return abs(float(s.axis @ axis)) > (0.99 if diameter > 8 else 0.96) and off_axis(s, at, axis) < max(
        0.6, 0.04 * diameter
    )


def cost(s: Said, t: Truth) -> float:
    """How badly a feature fits a truth; FAR where it cannot mean it."""
    gap = abs(s.size_mm - t.made_mm)
    if t.kind in WIDE:
        near = float(np.linalg.norm(s.at - t.at))
        reach = t.made_mm * 2.5 + 6 + t.half_length_mm
        if t.kind == "groove":
            near = abs(float((s.at - t.at) @ t.axis)) * 3
        if s.kind not in WIDE[t.kind] or near > reach or gap > max(0.8, 0.2 * t.made_mm):
            return FAR
        return gap / 0.05 + near
    allowed = (t.kind,) if t.kind in ROUND else ("thread", "shaft")
    along = abs(float((s.at - t.at) @ t.axis))
    if s.kind not in allowed or gap > max(1.0, 0.06 * t.made_mm) or not coaxial(s, t.made_mm, t.at, t.axis):
        return FAR
    beyond = max(along - t.half_length_mm - 1, 0.0)
    return FAR if beyond > 4 else gap / 0.05 + 20 * beyond + along / max(t.half_length_mm, 1)


def match(words: list[Said], drawing: Drawing) -> dict[int, Said]:
    """The feature for each truth, by number of the truth; one feature may serve like sizes on one axis."""
    truths = drawing.truths
    if not words:
        return {}
    table = np.array([[cost(s, t) for s in words] for t in truths])
    rows, columns = linear_sum_assignment(table)
    pairs = {int(i): words[j] for i, j in zip(rows, columns, strict=True) if table[i, j] < FAR}
    for i, t in enumerate(truths):
        if i in pairs or t.kind not in ROUND:
            continue
        for k, s in list(pairs.items()):
            twin = truths[k].kind == t.kind and abs(truths[k].nominal_mm - t.nominal_mm) < 1e-6
            if twin and coaxial(s, t.made_mm, t.at, t.axis):
                pairs[i] = s
    return pairs


def false_cylinder(s: Said, drawing: Drawing) -> bool:
    """Whether a shaft or bore that matched no truth is a surface that the part does not have."""
    if s.kind not in ROUND:
        return False
    for t in drawing.truths:
        if t.kind in ROUND or t.kind == "thread":
            slack = max(0.4, 0.04 * t.made_mm) + (abs(t.wear.depth_mm) * 2 if t.wear else 0)
            slack = 0.25 * t.made_mm if t.kind == "thread" else slack
            same = t.kind == s.kind or (t.kind == "thread" and s.kind == "shaft")
            if same and abs(s.size_mm - t.made_mm) < slack and coaxial(s, t.made_mm, t.at, t.axis):
                return False
    return not any(
        abs(s.size_mm - d) < max(0.6, 0.12 * d)
        and abs(float(s.axis @ axis)) > 0.97
        and off_axis(s, at, axis) < 0.8 + 0.06 * d
        for d, at, axis in drawing.lesser
    )


def on_invented(s: Said, scan: Scan) -> bool:
    """Whether more than half of the corners near a cylinder's surface were made up by the scanner."""
    if s.kind not in ROUND:
        return False
    off = (scan.points - scan.shift) @ scan.turn - s.at
    along = off @ s.axis
    radial = np.linalg.norm(off - np.outer(along, s.axis), axis=1)
    length = s.length_mm or s.size_mm
    close = (np.abs(radial - s.size_mm / 2) < 0.15) & (np.abs(along) < 0.55 * length)
    return bool(close.sum() > 10 and scan.invented[close].mean() > 0.5)
