// The joint for another screen: its address to copy, and as a code for the camera of a phone.
import { write } from "../address.js";
import { el } from "../dom.js";
import { buttons, goButton } from "./form.js";

const SVG = "http://www.w3.org/2000/svg";
const ALL = "It holds the joint and your pull tests.";
const BARE = "It holds the joint and how many of your pieces unwound, not their loads: there are too many of them for an address.";
const QUIET = 4; // dots left free round a code

/** -> {element, changed()}: changed is called when the joint in hand is another one. */
export function share(app) {
  const line = el("input", { type: "text", class: "link", readonly: true, "aria-label": "The address of this joint", onfocus: () => line.select() });
  const bare = el("p", { class: "small", hidden: true });
  const held = () => (app.state.pulled?.sent ? ALL : BARE);
  const code = el("figure", { class: "code-box", hidden: true });
  const address = () => `${location.origin}/#${write({ ...app.state.address, pane: "", light: "" })}`;
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(line.value);
      app.say(`Address copied${here ? ": it opens on this computer only" : ""}.${app.pieces.complete.length ? ` ${held()}` : ""}`);
    } catch {
      line.focus(); // another machine's page has no clipboard: it is selected, to copy by hand
      app.say("The address is selected: copy it with Ctrl and C.");
    }
  };
  const here = /^(localhost|127\.|\[::1\])/.test(location.host);
  const only = el("p", { class: "small", hidden: !here }, "This address, and its QR code, opens on this computer only, while helix runs here; a phone opens it only if helix runs on the phone itself. For somebody else: Save the recipe, or send the interactive page or the sheet above.");
  const show = async () => {
    try {
      const { address: shown, size, path } = await app.api.post("/api/code", { address: line.value });
      code.replaceChildren(drawn(size, path), el("figcaption", {}, here ? "Only for a phone on which helix itself runs: another cannot open it. It holds " : "Scan it, and this joint opens there. It holds ", el("code", {}, shown)));
    } catch (error) {
      code.replaceChildren(el("p", { class: "wrong" }, error.faults?.[0].message ?? error.message));
    }
    code.hidden = false;
  };
  const changed = () => {
    bare.hidden = !app.pieces.complete.length;
    bare.textContent = held();
    const now = address();
    if (now === line.value) return;
    line.value = now;
    if (!code.hidden) show();
  };
  changed();
  return { element: el("div", { class: "share" }, only, bare, line, buttons(goButton("Copy the address", copy, "plain"), goButton("Show it as a QR code", show, "plain")), code), changed };
}

/** A code of so many dots along a side, dark on white in any light. */
function drawn(size, path) {
  const svg = document.createElementNS(SVG, "svg"), dots = document.createElementNS(SVG, "path"), paper = document.createElementNS(SVG, "rect");
  const whole = size + 2 * QUIET;
  svg.setAttribute("viewBox", `${-QUIET} ${-QUIET} ${whole} ${whole}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", "QR code of this joint's address");
  svg.setAttribute("shape-rendering", "crispEdges");
  for (const [name, value] of Object.entries({ x: -QUIET, y: -QUIET, width: whole, height: whole, fill: "#fff" })) paper.setAttribute(name, value);
  dots.setAttribute("d", path);
  dots.setAttribute("fill", "#000");
  svg.append(paper, dots);
  return svg;
}
