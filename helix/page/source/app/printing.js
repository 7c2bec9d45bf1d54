// The page on paper: the head, the joint as it is turned now, the tables of its shape, and the pane that is open.
import { el } from "./dom.js";

const SIZE = { width: "1000px", height: "380px", flex: "none", minHeight: "0" }; // of the joint with its labels; print.css makes it smaller

/** app: the page; parts: of its layout. What print.css shows is made before a browser prints, and taken away after. */
export function printing(app, { stage, bench }) {
  const seen = el("img", { class: "printed", alt: "The joint" });
  const date = el("p", { class: "printed-on" });
  stage.prepend(seen);
  bench.prepend(date);
  const fill = () => {
    date.textContent = `${app.state.kept.title || "Untitled joint"}. Printed ${new Date().toISOString().slice(0, 10)}.`;
    app.tabs.make("shape");
    if (!app.viewer) return;
    Object.assign(stage.style, SIZE);
    app.viewer.resize();
    seen.src = app.viewer.picture();
  };
  const clear = () => {
    seen.removeAttribute("src");
    for (const name of Object.keys(SIZE)) stage.style[name] = "";
    app.viewer?.resize();
  };
  addEventListener("beforeprint", fill);
  addEventListener("afterprint", clear);
}
