"""What was found beside what was drawn, feature by feature."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np

from steadyrest.shop.part import Feature, Part
from tests.scoring.drawings import Drawing, Drawn

ROUND = ("bore", "shaft", "boss")


@dataclass
class Tally:
    """Counts over many parts; `lines` tell what went wrong, with its seed."""

    drawn: Counter = field(default_factory=Counter)
    found: Counter = field(default_factory=Counter)
    right: Counter = field(default_factory=Counter)
    named: Counter = field(default_factory=Counter)
    false: Counter = field(default_factory=Counter)
    errors: dict = field(default_factory=lambda: defaultdict(list))
    checks: Counter = field(default_factory=Counter)
    passed: Counter = field(default_factory=Counter)
    lines: list = field(default_factory=list)

    def check(self, name: str, good: bool, line: str) -> None:
        self.checks[name] += 1
        self.passed[name] += good
        if not good:
            self.lines.append(f"{name}: {line}")

    def table(self) -> str:
        rows = [f"{'kind':10}{'drawn':>7}{'found':>7}{'size':>7}{'kind':>7}{'false':>7}{'p95':>9}{'worst':>9}"]
        for kind in sorted(set(self.drawn) | set(self.false)):
            errors = sorted(self.errors[kind])
            p95 = errors[int(0.95 * (len(errors) - 1))] if errors else 0.0
            rows.append(
                f"{kind:10}{self.drawn[kind]:7}{self.found[kind]:7}{self.right[kind]:7}{self.named[kind]:7}"
                f"{self.false[kind]:7}{p95:9.4f}{errors[-1] if errors else 0.0:9.4f}"
            )
        drawn, right = sum(self.drawn.values()), sum(self.right.values())
        rows.append(f"sizes right {right}/{drawn} = {right / max(drawn, 1):.3f}")
        rows += [f"{name}: {self.passed[name]}/{self.checks[name]}" for name in sorted(self.checks)]
        return "\n".join(rows)


def judge(
    part: Part, drawing: Drawing, to_file, turn, tally: Tally, tag: str, *, size_tol: float, depth_tol: float
) -> None:
    """Count one part. to_file: points of the drawing to the file's frame; turn: directions likewise."""
    left = list(part.features)
    for true in drawing.features:
        key, size = true.sizes[0]
        axis, at = turn @ np.array(true.axis), to_file(np.array(true.at))
        best = nearest(left, true, key, size, axis, at)
        tally.drawn[true.kind] += 1
        if best is None:
            tally.lines.append(f"missed: {tag} {true.kind} {key} {size} at {tuple(round(c, 1) for c in true.at)}")
            continue
        left.remove(best)
        tally.found[true.kind] += 1
        got = best.size(key)
        error = abs(got.estimate - size) if got else np.inf
        tally.errors[true.kind].append(error)
        tally.right[true.kind] += error <= size_tol
        if error > size_tol:
            tally.lines.append(f"size: {tag} {true.kind} {key} {size}: {got.estimate if got else None}")
        kinds = {true.kind} | ({"bore", "cone", "chamfer"} if true.kind == "cone" else set())
        kinds |= {"slot"} if true.kind == "keyway" else set()
        tally.named[true.kind] += best.kind in (kinds - ({"slot"} if true.kind == "keyway" else set()))
        if best.kind not in kinds:
            tally.lines.append(f"kind: {tag} {true.kind} {size} said {best.kind}")
        if true.through is not None:
            tally.check("through", best.through == true.through, f"{tag} {true.kind} {size} said {best.through}")
        unseen = any(reason.key == "features.bottom_unseen" for reason in best.why)
        for name, value in true.sizes[1:]:
            if unseen:
                tally.check("bottom said to be unseen", True, tag)
                continue
            other = best.size(name)
            off = abs(other.estimate - value) if other else np.inf
            tally.errors[name].append(off) if other else None
            tally.check(
                name, off <= depth_tol, f"{tag} {true.kind} {size}: {value} said {other.estimate if other else None}"
            )
    for feature in left:
        if feature.kind in (*ROUND, "slot", "pocket", "keyway", "hexagon", "flat", "groove", "thread", "sphere"):
            tally.false[feature.kind] += 1
            sizes = ", ".join(f"{s.name} {s.estimate:.3f}" for s in feature.sizes)
            tally.lines.append(f"false: {tag} {feature.kind} {sizes} at {tuple(round(c, 1) for c in feature.at_mm)}")
    whole(part, drawing, tally, tag, size_tol=size_tol)


def nearest(left: list[Feature], true: Drawn, key: str, size: float, axis, at) -> Feature | None:
    """The feature on the same line with the nearest size."""
    best, least = None, np.inf
    for feature in left:
        got = feature.size(key)
        if got is None:
            continue
        direction = np.array(feature.axis)
        offset = np.array(feature.at_mm) - at
        if true.kind in ("keyway", "flat"):
            reach = 40.0 if true.kind == "flat" else max(3.0, 0.5 * size)
            if abs(offset @ axis) > reach or (true.kind == "flat" and feature.kind != "flat"):
                continue
        elif abs(direction @ axis) < 0.98 or np.linalg.norm(offset - (offset @ axis) * axis) > 0.6:
            continue
        cost = (
            abs(got.estimate - size) / size
            + 0.002 * np.linalg.norm(offset)
            + (0.05 if feature.kind != true.kind else 0)
        )
        if abs(got.estimate - size) < 0.06 * size + 0.3 and cost < least:
            best, least = feature, cost
    return best


def whole(part: Part, drawing: Drawing, tally: Tally, tag: str, *, size_tol: float) -> None:
    """Patterns, box, turned or not, directions."""
    for count, circle in drawing.patterns:
        good = any(p.count == count and abs((p.diameter_mm or 0) - circle) < 2 * size_tol for p in part.patterns)
        tally.check(
            "pattern", good, f"{tag} {count} on {circle} said {[(p.count, p.diameter_mm) for p in part.patterns]}"
        )
    circles = [p for p in part.patterns if p.kind == "bolt circle"]
    tally.check("no other pattern", len(circles) <= len(drawing.patterns) + 1, f"{tag} {len(circles)}")
    tally.check("turned", part.axisymmetric == drawing.turned, f"{tag} said {part.axisymmetric}")
    tally.check("solids", part.solids in (1, None), f"{tag} said {part.solids}")
    got, want = np.sort(part.size_mm), np.sort(drawing.size_mm)
    if drawing.turned:
        return
    off = float(np.abs(got - want).max())
    tally.check("size_mm", off < max(6 * size_tol, 1e-3), f"{tag} {np.round(got, 3)} for {np.round(want, 3)}")
    least = least_directions(drawing)
    tally.check(
        "directions", part.approach_directions_min == least, f"{tag} {least} said {part.approach_directions_min}"
    )


def least_directions(drawing: Drawing) -> int:
    """The fewest directions that reach every cut."""
    all_ = sorted({d for need in drawing.mouths for d in need})
    for count in range(1, 7):
        for choice in combinations(all_, count):
            if all(set(choice) & set(need) for need in drawing.mouths):
                return count
    return 6
