// One thing picked in any view, list or the view in space is picked in all of them; ways in and out are shown where they are asked for.

const fixture = document.querySelector("[data-fixture]");
const space = document.querySelector("space-view");
const ways = JSON.parse(space.querySelector('script[type="application/json"]').textContent);
let picked = fixture.dataset.pick;
let way = "";

function shown(about) {
  const [sort, id] = [about.split(":", 1)[0], about.slice(about.indexOf(":") + 1)];
  return sort === "weld" ? [about, `torch:${id}`] : [about];
}

function mark() {
  const wanted = new Set([...(picked ? shown(picked) : []), ...(way ? [`way:${way}`] : [])]);
  for (const one of document.querySelectorAll("[data-about]")) one.classList.toggle("picked", wanted.has(one.dataset.about));
  for (const link of document.querySelectorAll("[data-pick]")) {
    if (link !== fixture) link.toggleAttribute("aria-current", link.dataset.pick === picked);
  }
  for (const button of document.querySelectorAll("[data-way]")) button.setAttribute("aria-pressed", String(button.dataset.way === way));
}

function address(about) {
  return `${fixture.dataset.address}?${new URLSearchParams({ pick: about })}`;
}

function play(name) {
  const number = ways.findIndex((one) => one.name === name);
  if (number < 0) return;
  space.pause();
  space.choose(number);
  space.play();
}

function show(about) {
  pick(about);
  window.htmx.ajax("GET", address(about), { target: "#picked", swap: "outerHTML" });
}

function pick(about) {
  picked = about;
  mark();
  if (about) space.setAttribute("picked", about);
  document.querySelector("#missing-form input[name=pick]")?.setAttribute("value", about);
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-pick]");
  const button = event.target.closest("button[data-way]");
  const drawn = event.target.closest(".drawing [data-about]");
  if (link) {
    pick(link.dataset.pick);
  } else if (button) {
    way = way === button.dataset.way ? "" : button.dataset.way;
    mark();
    if (way) play(way);
    else space.pause();
  } else if (drawn && fixture.contains(drawn)) {
    show(drawn.dataset.about);
  }
});

space.addEventListener("pick", (event) => {
  const { kind, id } = event.detail;
  if (kind !== "table") show(`${kind}:${id}`);
});

// What was said to be missing so far goes along with whatever is asked about this fixture.
document.addEventListener("htmx:configRequest", ({ detail }) => {
  if (detail.verb !== "get" || detail.elt.id === "missing-form" || !["picked", "missing", "findings"].includes(detail.target?.id)) return;
  for (const entry of document.querySelectorAll("#missing-form input[name=entry]")) detail.formData.append("entry", entry.value);
  if (picked && !detail.path.includes("pick=")) detail.formData.set("pick", picked);
});
document.addEventListener("htmx:load", mark);
mark();
