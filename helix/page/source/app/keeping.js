// What the browser keeps: "local" for this address of this browser, "session" for this tab, over a reload.

const store = (where) => (where === "local" ? localStorage : sessionStorage);

/** Keep a value under a name; a browser that keeps nothing, or has no room, is no fault. */
export function keep(where, name, value) {
  try {
    store(where).setItem(name, JSON.stringify(value));
  } catch {
    // not kept
  }
}

/** What was kept, or null. */
export function recall(where, name) {
  try {
    return JSON.parse(store(where).getItem(name));
  } catch {
    return null;
  }
}
