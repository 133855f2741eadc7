// The buttons below a view in space: where one looks from, and the ways that are played.

const LOOKS = [["home", "All"], ["above", "Above"], ["front", "Front"], ["side", "Side"]];

/** Return the buttons that say where one looks from. */
export function controls(view) {
  const bar = toolbar("Look from");
  for (const [name, words] of LOOKS) bar.append(button(words, () => view.look(name)));
  bar.append(button("+", () => view.zoom(1.25), "Closer"), button("\u2212", () => view.zoom(0.8), "Farther"));
  return bar;
}

/** Return the buttons that play ways, as {element, refresh}; out of sight as long as there is no way. */
export function wayControls(player) {
  const bar = toolbar("Ways in and out");
  const choice = document.createElement("select");
  choice.setAttribute("aria-label", "Which way");
  choice.addEventListener("change", () => player.choose(Number(choice.value)));
  const back = button("Back", () => player.back());
  const play = button("Play", () => (player.playing ? player.pause() : player.play()));
  const step = button("Step", () => player.step());
  const said = document.createElement("span");
  said.className = "space-view-step";
  said.setAttribute("role", "status");
  bar.append(choice, back, play, step, said);

  let shown = null;
  function refresh() {
    const { ways, way, number, done } = player;
    if (shown !== ways) {
      shown = ways;
      choice.replaceChildren(...["all in place", ...ways.map((each) => each.label)].map((label, at) => new Option(label, at - 1)));
    }
    bar.hidden = !ways.length;
    choice.value = String(number);
    play.textContent = player.playing ? "Pause" : "Play";
    allow(back, number > 0 || done > 0);
    allow(step, number < ways.length - 1 || !player.ended);
    said.textContent = way ? way.said(done) : "";
  }
  refresh();
  return { element: bar, refresh };
}

/** Say that a button does nothing now; it keeps the focus, which `disabled` would take away. */
function allow(button, able) {
  if (able) button.removeAttribute("aria-disabled");
  else button.setAttribute("aria-disabled", "true");
}

function toolbar(label) {
  const bar = document.createElement("div");
  bar.className = "space-view-bar";
  bar.setAttribute("role", "group");
  bar.setAttribute("aria-label", label);
  return bar;
}

function button(words, act, label = null) {
  const made = Object.assign(document.createElement("button"), { type: "button", textContent: words });
  if (label) made.setAttribute("aria-label", label);
  made.addEventListener("click", act);
  return made;
}
