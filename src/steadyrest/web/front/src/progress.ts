// How far a reading or a check is, without the page asking again: listens, moves the bar, and asks anew when it ended.

interface Told {
  readonly state: "waiting" | "running" | "done" | "failed" | "stopped";
  readonly says: string;
  readonly tenths: number;
}

export function mount(root: HTMLElement): () => void {
  const says = root.querySelector<HTMLElement>('[data-part="says"]');
  const bar = root.querySelector<HTMLProgressElement>('[data-part="bar"]');
  const task = root.dataset["task"];
  if (!says || !bar || !task) return () => undefined;
  const source = new EventSource(`/reading/${task}/watch`);
  source.addEventListener("message", (event: MessageEvent<string>) => {
    const told = JSON.parse(event.data) as Told;
    if (says.textContent !== told.says) says.textContent = told.says;
    bar.value = told.tenths;
    if (told.state !== "waiting" && told.state !== "running") location.reload();
  });
  return () => source.close();
}
