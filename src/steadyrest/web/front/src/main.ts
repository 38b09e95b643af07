// Finds what comes alive on the page, and mounts it. Every page works without this.
import { mount as alone } from "./alone";
import { mount as once } from "./once";
import { mount as progress } from "./progress";
import { mount as turning } from "./turning";

type Mount = (root: HTMLElement) => () => void;

const mounts: Readonly<Record<string, Mount>> = { alone, once, progress, turning };
const ends: (() => void)[] = [];

function begin(): void {
  for (const root of document.querySelectorAll<HTMLElement>("[data-mount]")) {
    const mount = mounts[root.dataset["mount"] ?? ""];
    if (mount) ends.push(mount(root));
  }
}

begin();
addEventListener("pagehide", () => ends.splice(0).forEach((end) => end()));
// The page may come back out of the browser's memory.
addEventListener("pageshow", (event) => {
  if (event.persisted) begin();
});
