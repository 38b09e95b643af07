// Finds the pictures and forms on the page that come alive, and mounts them. Every page works without this.
type Mount = (root: HTMLElement) => () => void;

const mounts: Readonly<Record<string, Mount>> = {};

for (const root of document.querySelectorAll<HTMLElement>("[data-mount]")) {
  mounts[root.dataset["mount"] ?? ""]?.(root);
}
