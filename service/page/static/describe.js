// A draft on the screen: forms are sent as they change, one after the other; a click in a drawing picks what the list would.
// Whatever is typed while an answer is on its way stays.

let line = Promise.resolve();
let refused = 0;

const work = () => document.getElementById("work");

function values(form, changed) {
  const found = {};
  const one = form.dataset.live === "one" && changed;
  for (const field of form.elements) {
    if (!field.name || field.disabled || field.type === "submit" || field.localName === "button") continue;
    if (field.type === "checkbox" && !field.checked) continue;
    if (one && field !== changed && field.type !== "hidden" && !("always" in field.dataset)) continue;
    found[field.name] = field.value;
  }
  return found;
}

function send(form, changed) {
  const address = form.getAttribute("action");
  const asked = values(form, changed);
  const before = refused;
  line = line.then(async () => {
    if (before !== refused || !work()) return; // what was asked on top of something that was refused makes no sense any more
    asked.step = work().dataset.step;
    await htmx.ajax("POST", address, { target: "#work", swap: "outerHTML", values: asked });
  }).catch(() => undefined);
}

function look(address, focus) {
  line = line.then(() => htmx.ajax("GET", address, { target: "#work", swap: "outerHTML" })).then(() => {
    history.replaceState(history.state, "", address);
    const field = focus && document.getElementById(focus);
    (field || document.getElementById("panel-heading"))?.focus();
  }).catch(() => undefined);
}

document.addEventListener("change", (event) => {
  const into = event.target.dataset.into;
  if (into && event.target.files?.length) {
    event.target.files[0].text().then((text) => { document.getElementById(into).value = text; });
  }
  const form = event.target.form;
  if (form && "live" in form.dataset && !("quiet" in event.target.dataset)) {
    delete event.target.dataset.typed;
    send(form, event.target);
  }
});

document.addEventListener("input", (event) => {
  const field = event.target;
  if (field.form && "sizes" in field.form.dataset && field.inputMode && field.name !== "length") {
    const size = field.form.elements.namedItem("size"); // a size that is typed counts, not the one that was picked before
    if (size) size.value = "";
  }
  if (field.closest?.("#work")) field.dataset.typed = "";
});

document.addEventListener("focusout", (event) => {
  const field = event.target;
  if (field.dataset?.typed === "again" && field.form && "live" in field.form.dataset && field.value !== field.defaultValue) {
    delete field.dataset.typed; // the browser saw no change of it: it was put back while it was being typed
    send(field.form, field);
  }
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.closest("#work")) return;
  event.preventDefault();
  send(form);
});

document.addEventListener("click", (event) => {
  if (event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const link = event.target.closest?.("#work a[data-choose], #work a[data-show]");
  if (link) {
    event.preventDefault();
    look(link.getAttribute("href"), "show" in link.dataset ? link.id : link.dataset.field);
    return;
  }
  const about = event.target.closest?.("#work [data-about]")?.dataset.about;
  if (about) picked(about);
});

function picked(about) {
  const [kind, number] = about.split(":");
  if (kind === "seam") document.getElementById(`weld-seam-${number}`)?.click();
  else document.getElementById(`pick-${kind}-${number}`)?.click();
}

document.addEventListener("pick", (event) => {
  const { kind, name } = event.detail || {};
  if (event.target.id === "space" && (kind === "part" || kind === "weld") && name) picked(name);
});

document.addEventListener("keydown", (event) => {
  if (!work() || !(event.ctrlKey || event.metaKey) || event.altKey) return;
  const key = event.key.toLowerCase();
  const way = key === "z" && !event.shiftKey ? "undo" : key === "y" || (key === "z" && event.shiftKey) ? "redo" : "";
  const field = event.target;
  if (!way || (field.matches?.("input, textarea") && field.value !== field.defaultValue)) return; // the field's own undo
  event.preventDefault();
  document.getElementById(way)?.click();
});

// What was typed since the answer that is now shown was asked for.
let typing = null;
document.addEventListener("htmx:beforeSwap", (event) => {
  const field = document.activeElement;
  typing = null;
  if (event.detail.target?.id !== "work") return;
  if (field?.id && field.closest("#work")) {
    const typed = "typed" in field.dataset && field.value !== field.defaultValue;
    typing = { id: field.id, value: typed ? field.value : null, start: typed ? field.selectionStart : null };
  }
});
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.target?.id !== "work" && event.detail.elt?.id !== "work") return;
  const status = event.detail.xhr?.status;
  if (status >= 400) refused += 1;
  const field = typing && document.getElementById(typing.id);
  if (field) {
    if (typing.value !== null && status < 400) {
      field.value = typing.value;
      field.dataset.typed = "again";
      field.setSelectionRange?.(typing.start, typing.start);
    }
    field.focus();
  } else if (status < 400 && typing) {
    document.getElementById("panel-heading")?.focus();
  }
  typing = null;
  showInSpace();
  const said = document.getElementById("status");
  if (said) said.textContent = work()?.dataset.said || "";
  document.getElementById("conflict")?.scrollIntoView({ block: "nearest" });
});

function showInSpace() {
  const { space, picked: marked } = work().dataset;
  const view = document.getElementById("space");
  document.getElementById("in-space").hidden = !space;
  if (space && view.getAttribute("src") !== space) view.setAttribute("src", space);
  if (marked) view.setAttribute("picked", marked);
  else view.removeAttribute("picked");
}
if (document.getElementById("space")) showInSpace();
