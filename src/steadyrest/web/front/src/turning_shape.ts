// The part's surfaces as triangles in small lots. Each lot knows the few cuts that can reach it, so that a fragment has
// little to ask: a surface is drawn where no cut has taken it away, a cut's wall where there is material round it.
// Data: Turning, papers/drawing/turning_data.py; a test compares both.

export type Vec = readonly [number, number, number];

export interface Ring {
  readonly from_mm: number;
  readonly to_mm: number;
  readonly radius_from_mm: number;
  readonly radius_to_mm: number;
  readonly mark: number;
  readonly worn: number;
}

export interface Cut {
  readonly shape: "round" | "long";
  readonly at_mm: Vec;
  readonly axis: Vec;
  readonly half_mm: number;
  readonly radius_from_mm: number;
  readonly radius_to_mm: number;
  readonly across: Vec;
  readonly half_length_mm: number;
  readonly half_width_mm: number;
  readonly corner_mm: number;
  readonly feature: string | null;
  readonly mark: number;
  readonly worn: number;
}

export interface Mark {
  readonly numeral: string;
  readonly says: string;
  readonly toward: Vec;
  readonly worn: number;
}

export interface Colours {
  readonly ink: string;
  readonly body: string;
  readonly cut: string;
  readonly worn: readonly string[];
}

export interface Turning {
  readonly rings: readonly Ring[];
  readonly box_mm: Vec;
  readonly cuts: readonly Cut[];
  readonly marks: readonly Mark[];
  readonly reach_mm: number;
  readonly light: Colours;
  readonly dark: Colours;
  readonly undrawn: readonly string[];
}

/** Triangles (place and facing, six numbers a corner) with all that is the same for them. own: the cut, or -1.
 * lid: closes a round hole; where it lies outside of the part it is not drawn, but the hole is seen there. */
export interface Lot {
  readonly surface: number;
  readonly mark: number;
  readonly worn: number;
  readonly own: number;
  readonly lid: boolean;
  readonly cuts: readonly number[];
  readonly rings: readonly number[];
  readonly corners: number[];
}

export const MOST_CUTS = 8;
export const MOST_RINGS = 6;
const DEEPEST = 4;
const ROUND = 72;

type Place = (u: number, v: number) => readonly [Vec, Vec];

interface Surface {
  readonly mark: number;
  readonly worn: number;
  readonly own: number;
  readonly lid: boolean;
  readonly place: Place;
  readonly steps: readonly [number, number];
}

export const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Vec, b: Vec): Vec => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export const plus = (a: Vec, b: Vec, times: number): Vec => [a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2]];
export const unit = (a: Vec): Vec => plus([0, 0, 0], a, 1 / (Math.hypot(...a) || 1));

/** All surfaces of a part, in lots. */
export function lots(data: Turning): readonly Lot[] {
  const found = new Map<string, Lot>();
  let surface = 0;
  for (const one of surfaces(data)) {
    surface += 1;
    const [us, vs] = one.steps;
    for (let i = 0; i < us; i += 1)
      for (let j = 0; j < vs; j += 1) lay(data, found, surface, one, [i / us, (i + 1) / us, j / vs, (j + 1) / vs], 0);
  }
  return [...found.values()];
}

/** How far the part reaches from its middle in a direction. */
export function extent(data: Turning, way: Vec): number {
  if (!data.rings.length) return [0, 1, 2].reduce((sum, k) => sum + Math.abs((way[k] ?? 0) * (data.box_mm[k] ?? 0)) / 2, 0);
  const beside = Math.sqrt(Math.max(0, 1 - way[0] * way[0]));
  const ends = data.rings.flatMap((r) => [[r.from_mm, r.radius_from_mm] as const, [r.to_mm, r.radius_to_mm] as const]);
  return Math.max(...ends.map(([x, radius]) => Math.abs(way[0] * x) + beside * radius));
}

/** One four-sided piece of a surface into its lot; in four where too many cuts come near. */
function lay(
  data: Turning,
  found: Map<string, Lot>,
  surface: number,
  one: Surface,
  [u0, u1, v0, v1]: readonly [number, number, number, number],
  deep: number,
): void {
  const four = [one.place(u0, v0), one.place(u1, v0), one.place(u1, v1), one.place(u0, v1)] as const;
  const middle = four.reduce<Vec>((sum, [p]) => plus(sum, p, 0.25), [0, 0, 0]);
  const radius = 1.02 * Math.max(...four.map(([p]) => Math.hypot(...plus(p, middle, -1))));
  const cuts = data.cuts.flatMap((cut, k) => (k !== one.own && reaches(cut, middle, radius) ? [k] : []));
  const rings =
    one.own < 0
      ? []
      : data.rings.flatMap((r, k) => (r.from_mm < middle[0] + radius && r.to_mm > middle[0] - radius ? [k] : []));
  if ((cuts.length > MOST_CUTS || rings.length > MOST_RINGS) && deep < DEEPEST) {
    const [u, v] = [(u0 + u1) / 2, (v0 + v1) / 2];
    for (const part of [[u0, u, v0, v], [u, u1, v0, v], [u0, u, v, v1], [u, u1, v, v1]] as const)
      lay(data, found, surface, one, part, deep + 1);
    return;
  }
  const key = [surface, ...cuts, "r", ...rings].join(" ");
  let lot = found.get(key);
  if (!lot) {
    lot = { surface, mark: one.mark, worn: one.worn, own: one.own, lid: one.lid, cuts: cuts.slice(0, MOST_CUTS), rings: rings.slice(0, MOST_RINGS), corners: [] };
    found.set(key, lot);
  }
  for (const k of [0, 1, 2, 0, 2, 3] as const) lot.corners.push(...four[k][0], ...four[k][1]);
}

/** Whether a cut may come within a ball. */
function reaches(cut: Cut, middle: Vec, radius: number): boolean {
  const long = cut.shape === "long";
  const [line, half] = long ? [cut.across, cut.half_length_mm] : [cut.axis, cut.half_mm];
  const reach = long ? Math.hypot(cut.half_width_mm, cut.half_mm) : Math.max(cut.radius_from_mm, cut.radius_to_mm);
  const away = plus(middle, cut.at_mm, -1);
  const along = Math.min(half, Math.max(-half, dot(away, line)));
  return Math.hypot(...plus(away, line, -along)) < reach + radius;
}

function* surfaces(data: Turning): Generator<Surface> {
  yield* data.rings.length ? turned(data.rings) : boxed(data.box_mm);
  for (const [k, cut] of data.cuts.entries()) yield* sunk(cut, k);
}

function* turned(rings: readonly Ring[]): Generator<Surface> {
  let [before, last] = [0, -1];
  for (const [k, ring] of rings.entries()) {
    yield shoulder(ring.from_mm, before, ring.radius_from_mm, ring.radius_from_mm > before ? ring.mark : last);
    const long = ring.to_mm - ring.from_mm;
    const rise = ring.radius_to_mm - ring.radius_from_mm;
    yield {
      mark: ring.mark,
      worn: ring.worn,
      ...{ own: -1, lid: false },
      steps: [ROUND, Math.min(6, Math.ceil(long / (1 + ring.radius_from_mm)) || 1)],
      place: (u, v) => {
        const [c, s] = [Math.cos(2 * Math.PI * u), Math.sin(2 * Math.PI * u)];
        const r = ring.radius_from_mm + rise * v;
        return [[ring.from_mm + long * v, r * c, r * s], unit([-rise, long * c, long * s])];
      },
    };
    [before, last] = [ring.radius_to_mm, ring.mark];
    if (k === rings.length - 1) yield shoulder(ring.to_mm, before, 0, last);
  }
}

/** The face between one radius and the next, square to the axis: it belongs to the larger. */
function shoulder(at: number, before: number, after: number, mark: number): Surface {
  const way = after > before ? -1 : 1;
  return {
    ...{ mark, worn: 0, own: -1, lid: false },
    steps: [before === after ? 0 : ROUND, 1],
    place: (u, v) => {
      const r = before + (after - before) * v;
      return [[at, r * Math.cos(2 * Math.PI * u), r * Math.sin(2 * Math.PI * u)], [way, 0, 0]];
    },
  };
}

function* boxed(edges: Vec): Generator<Surface> {
  for (const k of [0, 1, 2] as const)
    for (const way of [-1, 1])
      yield {
        ...{ mark: -1, worn: 0, own: -1, lid: false },
        steps: [1, 1],
        place: (u, v) => {
          const p: [number, number, number] = [0, 0, 0];
          p[k] = (way * edges[k]) / 2;
          p[((k + 1) % 3) as 0 | 1 | 2] = (u - 0.5) * edges[((k + 1) % 3) as 0 | 1 | 2];
          p[((k + 2) % 3) as 0 | 1 | 2] = (v - 0.5) * edges[((k + 2) % 3) as 0 | 1 | 2];
          const n: [number, number, number] = [0, 0, 0];
          n[k] = way;
          return [p, n];
        },
      };
}

/** A cut's walls and its two ends; those that lie outside of the part are never seen. */
function* sunk(cut: Cut, own: number): Generator<Surface> {
  const across = cut.shape === "long" ? cut.across : unit(cross(cut.axis, Math.abs(cut.axis[0]) < 0.7 ? [1, 0, 0] : [0, 1, 0]));
  const up = cross(cut.axis, across);
  const { mark, worn } = cut;
  const at = (x: number, y: number, deep: number): Vec =>
    plus(plus(plus(cut.at_mm, across, x), up, y), cut.axis, deep * cut.half_mm);
  const scaled = (v: number): number =>
    cut.shape === "long" ? 1 : cut.radius_from_mm + (cut.radius_to_mm - cut.radius_from_mm) * v;
  const runs = outline(cut);
  for (const run of runs)
    yield {
      ...{ mark, worn, own, lid: false },
      steps: [run.length - 1, 1],
      place: (u, v) => {
        const [x, y, nx, ny] = on(run, u);
        return [at(x * scaled(v), y * scaled(v), 2 * v - 1), unit(plus(plus([0, 0, 0], across, -nx), up, -ny))];
      },
    };
  const round = runs.flat();
  for (const end of [0, 1])
    yield {
      ...{ mark, worn, own, lid: cut.shape === "round" },
      steps: [round.length - 1, 1],
      place: (u, v) => {
        const [x, y] = on(round, u);
        return [at(x * scaled(end) * v, y * scaled(end) * v, 2 * end - 1), plus([0, 0, 0], cut.axis, end ? -1 : 1)];
      },
    };
}

type Corner = readonly [number, number, number, number];

/** A place on a run of corners, u from 0 to 1. */
function on(run: readonly Corner[], u: number): Corner {
  const steps = run.length - 1;
  const k = Math.min(steps - 1, Math.floor(u * steps + 1e-9));
  const [a, b, t] = [run[k] ?? ORIGIN, run[k + 1] ?? ORIGIN, u * steps - k];
  return [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t, a[3] + (b[3] - a[3]) * t];
}

const ORIGIN = [0, 0, 0, 0] as const;

/** Round a cut: x, y and which way is out there. Sharp corners part it into runs. */
function outline(cut: Cut): readonly (readonly Corner[])[] {
  const turn = (k: number, of: number): readonly [number, number] => [Math.cos((2 * Math.PI * k) / of), Math.sin((2 * Math.PI * k) / of)];
  if (cut.shape === "round") return [Array.from({ length: 49 }, (_, k) => [...turn(k, 48), ...turn(k, 48)] as const)];
  const [a, b, q] = [cut.half_length_mm, cut.half_width_mm, cut.corner_mm];
  if (q > 0) {
    const round = [...Array(4).keys()].flatMap((side) =>
      [...Array(13).keys()].map((k) => {
        const [c, s] = turn(side * 12 + k, 48);
        const [x, y] = [side % 3 ? q - a : a - q, side > 1 ? q - b : b - q];
        return [x + q * c, y + q * s, c, s] as const;
      }),
    );
    return [[...round, round[0] ?? ORIGIN]];
  }
  return [
    [[a, -b, 1, 0], [a, b, 1, 0]],
    [[a, b, 0, 1], [-a, b, 0, 1]],
    [[-a, b, -1, 0], [-a, -b, -1, 0]],
    [[-a, -b, 0, -1], [a, -b, 0, -1]],
  ];
}
