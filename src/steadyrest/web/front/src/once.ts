// A form is sent once: a second press while the first is under way does nothing, and the button says what goes on.

export function mount(root: HTMLElement): () => void {
  const button = root.querySelector<HTMLButtonElement>('button[type="submit"]');
  if (!button) return () => undefined;
  const words = button.textContent;
  let sent = false;
  const send = (event: Event): void => {
    if (sent) event.preventDefault();
    sent = true;
    button.textContent = `${root.dataset["busy"] ?? words} ...`;
    button.setAttribute("aria-disabled", "true");
  };
  root.addEventListener("submit", send);
  return () => {
    // The page may come back out of the browser's memory.
    root.removeEventListener("submit", send);
    button.textContent = words;
    button.removeAttribute("aria-disabled");
  };
}
