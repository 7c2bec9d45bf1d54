// Panes as tabs: one is open; arrows, Home and End move between their tabs.
import { el } from "./dom.js";

/** Let a pane do something; its failing is its own: the rest of the page goes on. */
export function attempt(act) {
  try {
    return act();
  } catch (error) {
    console.error(error);
    return null;
  }
}

export class Tabs {
  /** panes: [{name, title, make(holder, app)}]; moved(name): another one was opened by hand. */
  constructor(list, panel, panes, app, moved) {
    Object.assign(this, { list, panel, app, moved, made: new Map(), name: "" });
    this.panes = new Map(panes.map((pane) => [pane.name, pane]));
    for (const pane of panes) {
      const holder = el("div", { role: "tabpanel", id: `panel-${pane.name}`, class: `pane ${pane.name}`, "aria-labelledby": `tab-${pane.name}`, tabindex: "0", hidden: true });
      const tab = el("button", {
        role: "tab", id: `tab-${pane.name}`, "aria-controls": holder.id, "aria-selected": "false", tabindex: "-1",
        onclick: () => this.open(pane.name, true),
      }, pane.title);
      list.append(tab);
      panel.append(holder);
      Object.assign(pane, { tab, holder });
    }
    list.addEventListener("keydown", (event) => this.#key(event));
  }

  /** Open a pane; an unknown name opens the first. byHand: somebody pressed its tab. */
  open(name, byHand = false) {
    const pane = this.panes.get(name) || this.#shown()[0];
    this.name = this.panel.parentElement.dataset.pane = pane.name;
    for (const other of this.panes.values()) {
      const open = other === pane;
      other.tab.setAttribute("aria-selected", open);
      other.tab.tabIndex = open ? 0 : -1;
      other.holder.hidden = !open;
    }
    this.make(pane.name);
    this.panel.scrollTop = 0;
    pane.tab.scrollIntoView({ block: "nearest", inline: "nearest" });
    if (byHand) this.moved(pane.name);
  }

  /** A pane as when it is looked at. */
  make(name) {
    const pane = this.panes.get(name);
    if (!this.made.has(name)) this.made.set(name, attempt(() => pane.make(pane.holder, this.app)) || {});
    attempt(() => this.made.get(name).shown?.());
  }

  /** Tell the open pane of a new answer. */
  changed(answer) {
    attempt(() => this.made.get(this.name)?.changed?.(answer));
  }

  #shown() {
    return [...this.panes.values()].filter((pane) => pane.tab.offsetParent !== null || !this.list.offsetParent);
  }

  #key(event) {
    const shown = this.#shown(), at = shown.findIndex((pane) => pane.name === this.name);
    const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: shown.length - 1 }[event.key];
    if (to === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    const pane = shown[(to + shown.length) % shown.length];
    this.open(pane.name, true);
    pane.tab.focus();
  }
}
