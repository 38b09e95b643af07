// Turning the part by hand: by finger, mouse, wheel and keys; and going over to a given view.

import type { Look } from "./turning_paint";
import { cross, dot, plus, unit, type Vec } from "./turning_shape";

type Turn = Look["turn"];
const STEP = Math.PI / 12;
const NEAREST = 12;
const FARTHEST = 0.6;
const GOING_MS = 350;

/** The view for an eye that stands in a direction, the part's length lying as level as may be. */
export function from(eye: Vec): Turn {
  const z = unit(eye);
  const level = plus([1, 0, 0], z, -z[0]);
  const x = Math.hypot(...level) > 1e-3 ? unit(level) : unit(cross([0, 1, 0], z));
  return [x, cross(z, x), z];
}

/** A view turned about a direction of the screen. */
export function turned(turn: Turn, axis: Vec, angle: number): Turn {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  // The part's directions as seen are the columns; the rows are right, up and eye.
  const columns = [0, 1, 2].map((k) => {
    const v: Vec = [turn[0][k] ?? 0, turn[1][k] ?? 0, turn[2][k] ?? 0];
    return plus(plus(plus([0, 0, 0], v, c), cross(axis, v), s), axis, dot(axis, v) * (1 - c));
  });
  const row = (k: 0 | 1 | 2): Vec => [columns[0]?.[k] ?? 0, columns[1]?.[k] ?? 0, columns[2]?.[k] ?? 0];
  const z = unit(row(2));
  const x = unit(plus(row(0), z, -dot(row(0), z)));
  return [x, cross(z, x), z];
}

/** The one turn, about a direction of the screen, that leads from a view to another. */
function between(a: Turn, b: Turn): readonly [Vec, number] {
  const at = (i: number, j: number): number =>
    [0, 1, 2].reduce((sum, k) => sum + (b[i]?.[k] ?? 0) * (a[j]?.[k] ?? 0), 0);
  const angle = Math.acos(Math.min(1, Math.max(-1, (at(0, 0) + at(1, 1) + at(2, 2) - 1) / 2)));
  const axis: Vec = [at(2, 1) - at(1, 2), at(0, 2) - at(2, 0), at(1, 0) - at(0, 1)];
  return Math.hypot(...axis) > 1e-4 ? [unit(axis), angle] : [[0, 1, 0], angle];
}

export interface Hand {
  readonly look: () => Look;
  /** Over to a view. whole: the whole part in the picture again. */
  readonly go: (turn: Turn, whole: boolean) => void;
  /** Half round, or any angle about the screen's upright. */
  readonly round: (angle: number) => void;
  readonly nearer: (times: number) => void;
  readonly end: () => void;
}

/** The hand on a picture. moved: told after every change; still: whether it has come to rest; asked: by a button. */
export function hand(canvas: HTMLCanvasElement, first: Turn, moved: (still: boolean, asked: boolean) => void): Hand {
  let look: Look = { turn: first, zoom: 1, shift: [0, 0] };
  let going = 0;
  const held = new Map<number, readonly [number, number]>();
  const stop = new AbortController();
  const listen = { signal: stop.signal };

  const set = (next: Partial<Look>, still = true, asked = false): void => {
    look = { ...look, ...next };
    moved(still, asked);
  };
  const slowly = (axis: Vec, angle: number, last: Partial<Look>): void => {
    cancelAnimationFrame(going);
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) return set(last, true, true);
    const [began, start] = [performance.now(), look.turn];
    const frame = (now: number): void => {
      const share = Math.min(1, Math.max(0, (now - began) / GOING_MS));
      if (share === 1) return set(last, true, true);
      set({ turn: turned(start, axis, angle * share * share * (3 - 2 * share)) }, false, true);
      going = requestAnimationFrame(frame);
    };
    going = requestAnimationFrame(frame);
  };
  const zoomAt = (times: number, x: number, y: number, asked = false): void => {
    const zoom = Math.min(NEAREST, Math.max(FARTHEST, look.zoom * times));
    const grown = zoom / look.zoom;
    set({ zoom, shift: zoom <= 1 ? [0, 0] : [x + (look.shift[0] - x) * grown, y + (look.shift[1] - y) * grown] }, true, asked);
  };
  /** A place on the picture in half widths from its middle. */
  const place = (event: MouseEvent): readonly [number, number] => {
    const box = canvas.getBoundingClientRect();
    const half = box.width / 2;
    return [(event.clientX - box.left) / half - 1, (box.height / 2 - (event.clientY - box.top)) / half];
  };
  const middle = (): readonly [number, number, number] => {
    const [a, b] = [...held.values()];
    if (!a || !b) return [0, 0, 1];
    return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, Math.hypot(a[0] - b[0], a[1] - b[1]) || 1e-3];
  };

  canvas.addEventListener("pointerdown", (event) => {
    if (event.button > 0) return;
    cancelAnimationFrame(going);
    canvas.setPointerCapture(event.pointerId);
    held.set(event.pointerId, place(event));
  }, listen);
  canvas.addEventListener("pointermove", (event) => {
    const old = held.get(event.pointerId);
    if (!old) return;
    const before = middle();
    const now = place(event);
    held.set(event.pointerId, now);
    if (held.size === 1) {
      const [dx, dy] = [now[0] - old[0], now[1] - old[1]];
      const far = Math.hypot(dx, dy);
      if (far > 0) set({ turn: turned(look.turn, [-dy / far, dx / far, 0], far * Math.PI * 0.6) }, false);
    } else if (held.size === 2) {
      const after = middle();
      const zoom = Math.min(NEAREST, Math.max(FARTHEST, (look.zoom * after[2]) / before[2]));
      const grown = zoom / look.zoom;
      set({ zoom, shift: [after[0] + (look.shift[0] - before[0]) * grown, after[1] + (look.shift[1] - before[1]) * grown] }, false);
    }
  }, listen);
  for (const name of ["pointerup", "pointercancel"] as const)
    canvas.addEventListener(name, (event) => {
      if (held.delete(event.pointerId) && held.size === 0) moved(true, false);
    }, listen);
  // The wheel scrolls the page until the picture was taken in hand.
  canvas.addEventListener("wheel", (event) => {
    if (document.activeElement !== canvas && !event.ctrlKey) return;
    event.preventDefault();
    zoomAt(Math.exp(-event.deltaY / 400), ...place(event));
  }, { ...listen, passive: false });
  canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const turns: Readonly<Record<string, readonly [Vec, number]>> = {
      ArrowLeft: [[0, 1, 0], -STEP], ArrowRight: [[0, 1, 0], STEP], ArrowUp: [[1, 0, 0], -STEP], ArrowDown: [[1, 0, 0], STEP],
    };
    const turn = turns[event.key];
    cancelAnimationFrame(going);
    if (turn && event.shiftKey) {
      const [axis, angle] = turn;
      set({ shift: [look.shift[0] + (axis[1] * angle) / 2, look.shift[1] - (axis[0] * angle) / 2] });
    } else if (turn) set({ turn: turned(look.turn, ...turn) });
    else if (event.key === "+" || event.key === "=") zoomAt(1.25, 0, 0);
    else if (event.key === "-") zoomAt(0.8, 0, 0);
    else if (event.key === "0") set({ turn: first, zoom: 1, shift: [0, 0] });
    else return;
    event.preventDefault();
  }, listen);

  return {
    look: () => look,
    go: (turn, whole) => {
      const last = whole ? { turn, zoom: 1, shift: [0, 0] as const } : { turn };
      slowly(...between(look.turn, turn), last);
    },
    round: (angle) => slowly([0, 1, 0], angle, { turn: turned(look.turn, [0, 1, 0], angle) }),
    nearer: (times) => zoomAt(times, 0, 0, true),
    end: () => {
      cancelAnimationFrame(going);
      stop.abort();
    },
  };
}
