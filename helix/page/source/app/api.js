// Questions to the program that serves this page. A reply with faults is thrown as an Error with `.faults`.
const POLL_MS = 250;
const NARROW = "(max-width: 46rem)"; // as in panes.css

/** What went wrong, with its faults: [{place, key, message}]; `status` is that of the reply, 0 where there was none. */
export class Faulty extends Error {
  constructor(faults, status = 0) {
    super(faults.map((fault) => fault.message).join("\n"));
    this.name = "Faulty";
    this.faults = faults;
    this.status = status;
  }
}

/** Whether an error only says that nobody wanted the reply any more. */
export const dropped = (error) => error.name === "AbortError";

export const GONE = "helix is not running any more. Start it again with: helix page";
let tell = () => {};

/** heard(yes) is called after each question: whether the program that serves this page was there to hear it. */
export const onHeard = (heard) => (tell = heard);

/** Whether the program is there. */
export async function there() {
  try {
    await ask("/icon", { method: "HEAD" });
    return true;
  } catch {
    return false;
  }
}

async function ask(path, options) {
  let reply;
  try {
    reply = await fetch(path, { cache: "no-store", credentials: "omit", ...options });
  } catch (error) {
    if (dropped(error)) throw error;
    tell(false);
    throw new Faulty([{ place: "", key: "", message: GONE }]);
  }
  tell(true);
  return reply;
}

async function read(reply) {
  let body;
  try {
    body = await reply.json();
  } catch (error) {
    if (dropped(error)) throw error;
    body = {};
  }
  if (reply.ok && body.ok !== false) return body;
  const faults = body.faults?.length ? body.faults : [{ place: "", key: "", message: `helix answered ${reply.status}.` }];
  throw new Faulty(faults, reply.status);
}

const json = (body, signal) => ({
  method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal,
});

export const get = async (path, { signal } = {}) => read(await ask(path, { signal }));

export const post = async (path, body, { signal } = {}) => read(await ask(path, json(body, signal)));

/** Ask for something that may take long; the result. said(line): its progress. An aborted signal ends the work too. */
export async function job(path, body, { said = () => {}, signal } = {}) {
  return follow(await post(path, body, { signal }), said, signal);
}

/** Ask a pane's question, as `job`; where the window is as narrow as a phone its charts are drawn for that. */
export const pane = (name, body, more) => job(`/api/pane/${name}`, matchMedia(NARROW).matches ? { ...body, narrow: true } : body, more);

async function follow(started, said, signal) {
  if (!started.job) return started;
  const path = `/api/job/${started.job}`;
  const end = () => fetch(path, { method: "DELETE", keepalive: true }).catch(() => {});
  try {
    for (;;) {
      await rest(POLL_MS, signal);
      const now = await get(path, { signal });
      if (now.said) said(now.said);
      if (now.state === "done") return now.result;
      if (now.state === "failed") throw new Faulty(now.faults || [{ place: "", key: "", message: "This failed." }]);
      if (now.state === "cancelled") throw new DOMException("cancelled", "AbortError");
    }
  } catch (error) {
    if (dropped(error)) end();
    throw error;
  }
}

function rest(time, signal) {
  return new Promise((done, fail) => {
    const stop = () => {
      clearTimeout(timer);
      fail(new DOMException("dropped", "AbortError"));
    };
    const timer = setTimeout(() => {
      signal?.removeEventListener("abort", stop);
      done();
    }, time);
    if (signal?.aborted) stop();
    else signal?.addEventListener("abort", stop, { once: true });
  });
}

/** Have /api/file/NAME made and saved by the browser; the name it was saved under. */
export async function download(name, body, { said, signal } = {}) {
  const reply = await ask(`/api/file/${name}`, json(body, signal));
  const isJob = reply.status === 202;
  if (!reply.ok || isJob) {
    const { file } = await follow(await read(reply), said || (() => {}), signal);
    const bytes = Uint8Array.from(atob(file.base64), (letter) => letter.charCodeAt(0));
    return save(file.name, new Blob([bytes], { type: file.type }));
  }
  const told = /filename="([^"]+)"/.exec(reply.headers.get("Content-Disposition") || "");
  return save(told ? told[1] : name, await reply.blob());
}

/** Hand a file to the browser to keep. */
export function save(name, blob) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  return name;
}
