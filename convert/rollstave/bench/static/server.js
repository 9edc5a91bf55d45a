// Asking the bench's server.

const token = document.querySelector('meta[name="bench-token"]').content;

/** Post data as JSON. Resolves to { status, data }; rejects if nobody answers. */
export async function post(path, data) {
  const body = JSON.stringify(data);
  const answer = await fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-Bench-Token": token },
    body,
    // What is sent while the page closes still arrives; browsers allow 64 KiB for that.
    keepalive: body.length < 20_000,
  });
  return { status: answer.status, data: await read(answer) };
}

/** The file as it is on disk: { status, data }. */
export async function readFile() {
  const answer = await fetch("/document");
  return { status: answer.status, data: await read(answer) };
}

async function read(answer) {
  const words = await answer.text();
  try {
    return JSON.parse(words);
  } catch {
    return { error: words };
  }
}

/** Listen to what the server tells: an object of event names and functions of their data.
 * `lost(bool)` is called when the connection goes and when it is back. */
export function listen(ears, lost) {
  const source = new EventSource("/events");
  source.addEventListener("open", () => lost(false));
  source.addEventListener("error", () => lost(true));
  for (const [name, ear] of Object.entries(ears)) {
    source.addEventListener(name, (event) => ear(JSON.parse(event.data)));
  }
}
