// The part, to be turned. Where there is no WebGL, or the browser takes it away, this picture stays out of sight: the
// flat one beside it and the list of sizes say the same.

import { from, hand } from "./turning_hand";
import { labels } from "./turning_labels";
import { painter } from "./turning_paint";
import { seen } from "./turning_seen";
import { extent, lots, type Turning, type Vec } from "./turning_shape";

const FIRST: Vec = [-0.42, 0.38, 0.82];
const HALF = Math.PI / 2;
const SAID_MS = 700;
const FINEST = 2;
// How high the picture is: by how slender the part is, within what a phone and a page have room for.
const HIGH = { least: 210, most: 460, slender: 0.34, stout: 0.68 };

export function mount(root: HTMLElement): () => void {
  let close = open(root);
  const canvas = root.querySelector("canvas");
  const lost = (event: Event): void => {
    event.preventDefault();
    close();
    close = () => undefined;
  };
  const back = (): void => {
    close = open(root);
  };
  canvas?.addEventListener("webglcontextlost", lost);
  canvas?.addEventListener("webglcontextrestored", back);
  return () => {
    canvas?.removeEventListener("webglcontextlost", lost);
    canvas?.removeEventListener("webglcontextrestored", back);
    close();
  };
}

/** Brings the picture up, if that can be done; gives back what takes it down. */
function open(root: HTMLElement): () => void {
  const canvas = root.querySelector("canvas");
  const stage = root.querySelector<HTMLElement>('[data-part="stage"]');
  const said = root.querySelector<HTMLElement>('[data-part="said"]');
  const text = root.querySelector('script[type="application/json"]')?.textContent;
  if (!canvas || !stage || !said || !text) return () => undefined;
  const data = JSON.parse(text) as Turning;
  const all = lots(data);
  const paint = painter(canvas, data, all);
  if (!paint) return () => undefined;
  root.hidden = false;

  const dark = matchMedia("(prefers-color-scheme: dark)");
  const stop = new AbortController();
  let [chosen, frame, telling, view] = [-1, 0, 0, "Aslant"];
  let shown: readonly number[] = [];

  const tell = (): void => {
    const numerals = shown.map((k) => data.marks[k]?.numeral ?? "").sort((a, b) => Number(a) - Number(b));
    said.textContent = `${view}. In sight: ${numerals.length ? numerals.join(", ") : "none of the numbers"}.`;
  };
  const draw = (): void => {
    frame = 0;
    shown = numbers.show(seen(data, all, by.look(), canvas.width / canvas.height));
    paint.draw(by.look(), chosen, dark.matches ? data.dark : data.light);
  };
  const soon = (still: boolean): void => {
    frame ||= requestAnimationFrame(draw);
    clearTimeout(telling);
    if (still) telling = window.setTimeout(tell, SAID_MS);
  };
  const choose = (mark: number): void => {
    chosen = mark;
    numbers.choose(mark);
    soon(true);
  };

  const by = hand(canvas, from(FIRST), (still, asked) => {
    if (!asked) view = "Turned";
    soon(still);
  });
  const numbers = labels(stage, data.marks, (mark) => {
    choose(mark);
    toSizes(data.marks[mark]?.numeral ?? "");
  });
  const views: Readonly<Record<string, readonly [string, () => void]>> = {
    side: ["From the side", () => by.go(from([0, 0, 1]), true)],
    end: ["End on", () => by.go(from([by.look().turn[2][0] > 0.9 ? -1 : by.look().turn[2][0] < -0.9 ? 1 : sign(by.look().turn[2][0]), 0, 0]), true)],
    round: ["Turned half round", () => by.round(2 * HALF)],
    near: ["Nearer", () => by.nearer(1.4)],
    far: ["Farther", () => by.nearer(1 / 1.4)],
    first: ["As at first", () => by.go(from(FIRST), true)],
  };
  for (const button of root.querySelectorAll<HTMLButtonElement>("button[data-view]")) {
    const [words, go] = views[button.dataset["view"] ?? ""] ?? ["", () => undefined];
    button.addEventListener("click", () => {
      go();
      view = words;
    }, { signal: stop.signal });
  }
  const links = data.marks.flatMap((mark, k) => {
    const cell = document.getElementById(`size-${mark.numeral}`)?.firstElementChild;
    if (!cell) return [];
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain show";
    button.textContent = "Show it";
    button.setAttribute("aria-label", `Show no. ${mark.numeral} in the picture`);
    button.addEventListener("click", () => {
      choose(k);
      by.go(from(mark.toward), true);
      view = `No. ${mark.numeral}, ${mark.says}`;
      stage.scrollIntoView({ block: "center" });
      canvas.focus({ preventScroll: true });
    });
    cell.append(button);
    return [button];
  });

  const fit = (): void => {
    const width = stage.clientWidth;
    if (!width) return;
    const stout = Math.min(HIGH.stout, Math.max(HIGH.slender, (2 * extent(data, [0, 0, 1])) / (2 * extent(data, [1, 0, 0]))));
    const high = Math.round(Math.min(HIGH.most, Math.max(HIGH.least, stout * width)));
    const strip = numbers.strip(width);
    const dots = Math.min(FINEST, devicePixelRatio || 1);
    [canvas.width, canvas.height] = [Math.round(width * dots), Math.round(high * dots)];
    canvas.style.height = `${high}px`;
    canvas.style.marginBlock = `${strip}px`;
    soon(false);
  };
  const sizes = new ResizeObserver(fit);
  sizes.observe(stage);
  dark.addEventListener("change", () => soon(false), { signal: stop.signal });
  fit();
  return () => {
    root.hidden = true;
    sizes.disconnect();
    stop.abort();
    cancelAnimationFrame(frame);
    clearTimeout(telling);
    by.end();
    numbers.end();
    for (const link of links) link.remove();
  };
}

const sign = (x: number): number => (x < 0 ? -1 : 1);

/** To a feature's row in the list of sizes. */
function toSizes(numeral: string): void {
  const row = document.getElementById(`size-${numeral}`);
  if (!row) return;
  const folded = row.closest("details");
  if (folded) folded.open = true;
  for (const other of document.querySelectorAll("tr.chosen")) other.classList.remove("chosen");
  row.classList.add("chosen");
  row.tabIndex = -1;
  row.focus({ preventScroll: true });
  row.scrollIntoView({ block: "center" });
}
