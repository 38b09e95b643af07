// Numerals as buttons above and below the part, each with a line to what it means; what is behind has none.
// Lines run up to a level clear of the part and from there to their buttons, in the same order, so that none cross.

import type { Seen } from "./turning_seen";
import type { Mark } from "./turning_shape";

export const TARGET = 48;
const LEAST = 3;
const STAY = 0.08;

/** Where a mark is seen: the middle of what is seen of it, in shares of the picture. */
interface Spot {
  readonly mark: number;
  readonly x: number;
  readonly y: number;
}

/** The marks that are seen, each at the place of its own that is nearest to its middle. */
export function spots(seen: Seen, count: number): readonly Spot[] {
  const sums = Array.from({ length: count }, () => ({ n: 0, x: 0, y: 0 }));
  seen.marks.forEach((one, k) => {
    const sum = sums[one - 1];
    if (!sum) return;
    sum.n += 1;
    sum.x += k % seen.across;
    sum.y += Math.floor(k / seen.across);
  });
  return sums.flatMap(({ n, x, y }, mark) => {
    if (n < LEAST) return [];
    const [mx, my] = [x / n, y / n];
    if (seen.marks[Math.round(my) * seen.across + Math.round(mx)] === mark + 1) return [spot(mark, mx, my, seen)];
    let [best, at] = [Infinity, 0];
    seen.marks.forEach((one, k) => {
      if (one !== mark + 1) return;
      const far = Math.hypot((k % seen.across) - mx, Math.floor(k / seen.across) - my);
      if (far < best) [best, at] = [far, k];
    });
    return [spot(mark, at % seen.across, Math.floor(at / seen.across), seen)];
  });
}

const spot = (mark: number, x: number, y: number, seen: Seen): Spot => ({
  mark,
  x: (x + 0.5) / seen.across,
  y: (y + 0.5) / seen.down,
});

/** Places at least a pitch apart, in order, as near as may be to the wanted ones (pool adjacent violators). */
export function apart(wanted: readonly number[], pitch: number, low: number, high: number): readonly number[] {
  const blocks: { mean: number; count: number }[] = [];
  wanted.forEach((x, k) => {
    let block = { mean: x - k * pitch, count: 1 };
    for (let last = blocks.at(-1); last && last.mean > block.mean; last = blocks.at(-1)) {
      const count = last.count + block.count;
      block = { mean: (last.mean * last.count + block.mean * block.count) / count, count };
      blocks.pop();
    }
    blocks.push(block);
  });
  const most = Math.max(low, high - (wanted.length - 1) * pitch);
  return blocks
    .flatMap(({ mean, count }) => Array<number>(count).fill(Math.min(most, Math.max(low, mean))))
    .map((x, k) => x + k * pitch);
}

/** A new shape in a drawing. */
function drawn<Name extends "polyline" | "circle">(into: SVGElement, name: Name): SVGElementTagNameMap[Name] {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  into.append(made);
  return made;
}

export interface Labels {
  /** How high the strip above, and the one below, must be for so wide a picture. */
  readonly strip: (width: number) => number;
  readonly show: (seen: Seen) => readonly number[];
  readonly choose: (mark: number) => void;
  readonly end: () => void;
}

/** The buttons on a stage. press: told which mark. */
export function labels(stage: HTMLElement, marks: readonly Mark[], press: (mark: number) => void): Labels {
  const lines = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  lines.setAttribute("aria-hidden", "true");
  const strokes = marks.map(() => drawn(lines, "polyline"));
  const tips = marks.map(() => drawn(lines, "circle"));
  const group = document.createElement("div");
  group.className = "numerals";
  const buttons = marks.map((mark, k) => {
    const button = document.createElement("button");
    button.type = "button";
    button.hidden = true;
    button.textContent = mark.numeral;
    button.setAttribute("aria-label", `${mark.numeral}, ${mark.says}: to its sizes`);
    button.addEventListener("click", () => press(k));
    group.append(button);
    return button;
  });
  stage.append(lines, group);
  const above = new Map<number, boolean>();

  const rows = (width: number): number => (marks.length <= 2 * Math.floor(width / (TARGET + 2)) ? 1 : 2);

  /** One side's buttons in their places. */
  const row = (side: readonly Spot[], up: boolean, width: number, height: number, two: boolean): void => {
    const strip = TARGET * rows(width);
    const xs = apart(side.map(({ x }) => x * width), two ? TARGET / 2 + 1 : TARGET + 2, TARGET / 2, width - TARGET / 2);
    side.forEach(({ mark, x, y }, k) => {
      const [button, stroke, tip, at] = [buttons[mark], strokes[mark], tips[mark], xs[k] ?? 0];
      if (!button || !stroke || !tip) return;
      // Where there are two rows the far one is the row at the edge.
      const far = rows(width) === 2 && two && k % 2 === 1;
      const centre = up ? strip - TARGET / 2 - (far ? TARGET : 0) : height - strip + TARGET / 2 + (far ? TARGET : 0);
      const level = up ? strip + 10 : height - strip - 10;
      const [px, py] = [x * width, strip + y * (height - 2 * strip)];
      button.hidden = false;
      button.style.transform = `translate(${at - TARGET / 2}px, ${centre - TARGET / 2}px)`;
      const near = up ? strip - 6 : height - strip + 6;
      stroke.setAttribute("points", `${px},${py} ${px},${level} ${at},${near} ${at},${centre}`);
      for (const [name, value] of [["cx", px], ["cy", py], ["r", 3]] as const) tip.setAttribute(name, String(value));
    });
  };

  return {
    strip: (width) => TARGET * rows(width),
    show: (seen) => {
      const [width, height] = [stage.clientWidth, stage.clientHeight];
      const found = spots(seen, marks.length);
      const pitch = rows(width) === 2 ? TARGET / 2 + 1 : TARGET + 2;
      const most = Math.max(1, Math.floor((width - TARGET) / pitch) + 1);
      // The first marks tell the most: they keep their places where there are too many.
      const kept = found.slice(0, 2 * most);
      for (const { mark, y } of kept) {
        const was = above.get(mark);
        above.set(mark, was === undefined ? y < 0.5 : was ? y < 0.5 + STAY : y < 0.5 - STAY);
      }
      const order = [...kept].sort((a, b) => a.y - b.y);
      let top = order.filter(({ mark }) => above.get(mark));
      let low = order.filter(({ mark }) => !above.get(mark));
      if (top.length > most) [top, low] = [order.slice(0, most), order.slice(most)];
      else if (low.length > most) [top, low] = [order.slice(0, -most), order.slice(-most)];
      buttons.forEach((button, k) => {
        if (kept.some(({ mark }) => mark === k)) return;
        button.hidden = true;
        strokes[k]?.setAttribute("points", "");
        tips[k]?.setAttribute("r", "0");
      });
      for (const [side, up] of [[top, true], [low, false]] as const)
        row([...side].sort((a, b) => a.x - b.x), up, width, height, (side.length - 1) * (TARGET + 2) > width - TARGET);
      return kept.map(({ mark }) => mark);
    },
    choose: (mark) => buttons.forEach((button, k) => button.classList.toggle("chosen", k === mark)),
    end: () => {
      lines.remove();
      group.remove();
    },
  };
}
