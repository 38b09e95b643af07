// Finds what comes alive on the page, and mounts it. Every page works without this.
import { mount as once } from "./once";
import { mount as progress } from "./progress";
import { mount as turning } from "./turning";

type Mount = (root: HTMLElement) => () => void;

const mounts: Readonly<Record<string, Mount>> = { once, progress, turning };
const ends: (() => void)[] = [];

for (const root of document.querySelectorAll<HTMLElement>("[data-mount]")) {
  const mount = mounts[root.dataset["mount"] ?? ""];
  if (mount) ends.push(mount(root));
}
addEventListener("pagehide", () => ends.splice(0).forEach((end) => end()));
