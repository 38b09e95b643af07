// Asks again and again whether somebody who is alone is asked or did not answer, and says it on a page left open.
// Without this a page says it when it is opened.

interface Alarm {
  readonly says: string;
  readonly missed: boolean;
}

const EVERY_MS = 20_000;
const LOST_AFTER = 3;
const LOST = "This screen does not reach the shop's machine: it would not tell you of somebody alone.";

export function mount(root: HTMLElement): () => void {
  let shown = [...root.querySelectorAll("strong")].map((one) => one.textContent).join("\n");
  let failed = 0;
  let watched = shown !== "";

  const show = (lines: readonly string[], answer: boolean): void => {
    root.replaceChildren(
      ...lines.map((line) => {
        const section = document.createElement("section");
        section.className = "alarm";
        const text = document.createElement("strong");
        text.textContent = line;
        const said = document.createElement("p");
        said.append(text);
        section.append(said);
        if (answer) {
          const way = document.createElement("a");
          way.className = "button";
          way.href = "/alone";
          way.textContent = "Answer";
          section.append(way);
        }
        return section;
      }),
    );
    if (lines.length > 0) navigator.vibrate?.([400, 200, 400]);
  };

  const ask = async (): Promise<void> => {
    try {
      const answer = await fetch("/alone/now", { headers: { accept: "application/json" }, redirect: "error" });
      if (!answer.ok) throw new Error(String(answer.status));
      const found = (await answer.json()) as { readonly running: number; readonly alarms: readonly Alarm[] };
      const says = found.alarms.map((one) => one.says);
      failed = 0;
      watched = found.running > 0;
      if (says.join("\n") !== shown) {
        shown = says.join("\n");
        show(says, true);
      }
    } catch {
      failed += 1;
      // Said only where somebody is alone: elsewhere a page that is merely open has nothing to fear.
      if (failed === LOST_AFTER && watched) {
        shown = "";
        show([LOST], false);
      }
    }
  };

  const timer = setInterval(() => void ask(), EVERY_MS);
  return () => clearInterval(timer);
}
