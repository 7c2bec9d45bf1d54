// A place to drop files on, or to choose them from disk.
import { el, fresh } from "../dom.js";

const MOST = 2_000_000;

/** label: what to drop here; taken([{name, text}]); failed(faults) where a file cannot be used. */
export function dropZone({ label, accept, multiple = false, taken, failed }) {
  const id = fresh("file");
  const input = el("input", { type: "file", id, accept, multiple, onchange: () => use(input.files) });
  const zone = el("div", { class: "drop" }, el("label", { for: id }, label), input);
  let within = 0;
  const light = (by) => {
    within = Math.max(within + by, 0);
    zone.classList.toggle("over", within > 0);
  };
  const use = async (files) => {
    const list = [...files];
    const large = list.filter((file) => file.size > MOST);
    if (large.length) failed(large.map((file) => ({ place: file.name, key: "", message: `must be at most ${MOST / 1e6} MB; got ${(file.size / 1e6).toFixed(1)} MB` })));
    else if (list.length) taken(await Promise.all((multiple ? list : list.slice(0, 1)).map(async (file) => ({ name: file.name, text: await file.text() }))));
    input.value = "";
  };
  const holds = (event) => event.dataTransfer?.types.includes("Files");
  zone.addEventListener("dragenter", (event) => holds(event) && light(1));
  zone.addEventListener("dragleave", (event) => holds(event) && light(-1));
  zone.addEventListener("dragover", (event) => holds(event) && event.preventDefault());
  zone.addEventListener("drop", (event) => {
    if (!holds(event)) return;
    event.preventDefault();
    event.stopPropagation();
    light(-within);
    use(event.dataTransfer.files);
  });
  return zone;
}
