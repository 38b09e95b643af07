// Which mark is seen where, worked out here on a coarse grid: reading it back from the painting would make it wait.

import { type Look, scaleOf } from "./turning_paint";
import { cross, type Cut, dot, type Lot, plus, type Turning, type Vec } from "./turning_shape";

/** From the top left; 0 is none, else the mark's place in the list and one. */
export interface Seen {
  readonly across: number;
  readonly down: number;
  readonly marks: Uint8Array;
}

const ACROSS = 200;

/** What is seen of a part, on a grid of the picture's shape (its width by its height). */
export function seen(data: Turning, all: readonly Lot[], look: Look, shape: number): Seen {
  const [across, down] = [ACROSS, Math.max(8, Math.round(ACROSS / shape))];
  const marks = new Uint8Array(across * down);
  const near = new Float32Array(across * down).fill(-Infinity);
  const scale = (scaleOf(data, look, shape) * across) / 2;
  const [right, up, eye] = look.turn;
  const [left, top] = [((1 + look.shift[0]) * across) / 2, (down - look.shift[1] * across) / 2];
  for (const lot of all) {
    const cuts = lot.cuts.flatMap((k) => data.cuts[k] ?? []);
    for (let k = 0; k + 17 < lot.corners.length; k += 18) {
      const [a, b, c] = [corner(lot, k), corner(lot, k + 6), corner(lot, k + 12)];
      const [ax, bx, cx] = [a, b, c].map((p) => left + scale * dot(right, p)) as [number, number, number];
      const [ay, by, cy] = [a, b, c].map((p) => top - scale * dot(up, p)) as [number, number, number];
      const area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay);
      if (Math.abs(area) < 1e-9) continue;
      const [x0, x1] = [Math.max(0, Math.ceil(Math.min(ax, bx, cx) - 0.5)), Math.min(across - 1, Math.max(ax, bx, cx) - 0.5)];
      const [y0, y1] = [Math.max(0, Math.ceil(Math.min(ay, by, cy) - 0.5)), Math.min(down - 1, Math.max(ay, by, cy) - 0.5)];
      for (let y = y0; y <= y1; y += 1)
        for (let x = x0; x <= x1; x += 1) {
          const [px, py] = [x + 0.5 - ax, y + 0.5 - ay];
          const v = (px * (cy - ay) - (cx - ax) * py) / area;
          const w = ((bx - ax) * py - px * (by - ay)) / area;
          if (v < 0 || w < 0 || v + w > 1) continue;
          const p = plus(plus(plus([0, 0, 0], a, 1 - v - w), b, v), c, w);
          const at = y * across + x;
          const deep = dot(eye, p);
          if (deep <= (near[at] ?? 0) || cuts.some((cut) => taken(cut, p))) continue;
          if (lot.own >= 0 && !lot.lid && !inside(data, p)) continue;
          near[at] = deep;
          marks[at] = lot.mark + 1;
        }
    }
  }
  return { across, down, marks };
}

const corner = (lot: Lot, k: number): Vec => [lot.corners[k] ?? 0, lot.corners[k + 1] ?? 0, lot.corners[k + 2] ?? 0];

/** Whether a cut has taken away what was at a place; as the painting has it. */
function taken(cut: Cut, p: Vec): boolean {
  const away = plus(p, cut.at_mm, -1);
  const deep = dot(away, cut.axis);
  if (Math.abs(deep) > cut.half_mm) return false;
  if (cut.shape === "round") {
    const radius = cut.radius_from_mm + (cut.radius_to_mm - cut.radius_from_mm) * (0.5 + (0.5 * deep) / cut.half_mm);
    return Math.hypot(...plus(away, cut.axis, -deep)) < radius;
  }
  const x = Math.abs(dot(away, cut.across)) - cut.half_length_mm + cut.corner_mm;
  const y = Math.abs(dot(away, cross(cut.axis, cut.across))) - cut.half_width_mm + cut.corner_mm;
  return Math.hypot(Math.max(x, 0), Math.max(y, 0)) + Math.min(Math.max(x, y), 0) < cut.corner_mm;
}

/** Whether a place lies within the part's outside. */
function inside(data: Turning, p: Vec): boolean {
  if (!data.rings.length) return p.every((x, k) => Math.abs(x) < (data.box_mm[k] ?? 0) / 2);
  return data.rings.some((r) => {
    const share = (p[0] - r.from_mm) / (r.to_mm - r.from_mm || 1);
    return share >= 0 && share <= 1 && Math.hypot(p[1], p[2]) < r.radius_from_mm + (r.radius_to_mm - r.radius_from_mm) * share;
  });
}
