// A button that puts a box on the whole screen, in large letters for a class, and takes it back.
import { el } from "./dom.js";

export class WholeScreen {
  constructor(box, app) {
    Object.assign(this, { box, app });
    this.button = el("button", { class: "plain after", "aria-pressed": "false", onclick: () => this.change() }, "Full screen");
    document.addEventListener("fullscreenchange", () => {
      this.button.setAttribute("aria-pressed", this.on);
      this.button.textContent = this.on ? "Leave full screen" : "Full screen";
    });
  }

  get on() {
    return document.fullscreenElement === this.box;
  }

  /** focused: what has the keyboard then. */
  change(focused = this.button) {
    if (this.on) return this.leave();
    this.box.requestFullscreen?.().then(() => focused.focus(), () => this.app.say("This browser does not allow the whole screen here."));
  }

  leave() {
    if (this.on) document.exitFullscreen();
  }
}
