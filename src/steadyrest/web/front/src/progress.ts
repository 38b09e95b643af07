// How far a reading is, without the page asking again: listens, moves the bar, and opens the job when it is there.

interface Told {
  readonly state: "waiting" | "running" | "done" | "failed" | "stopped";
  readonly says: string;
  readonly tenths: number;
  readonly job: number;
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
    if (told.state === "done") location.replace(`/jobs/${told.job}`);
    else if (told.state === "failed" || told.state === "stopped") location.reload();
  });
  return () => source.close();
}
