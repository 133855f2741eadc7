// What neither the server nor htmx does for a page: moments in the browser's own clock, and the way to what was found wrong.

function tellMoments(within) {
  for (const time of within.querySelectorAll("time[datetime]:not([data-told])")) {
    const at = new Date(time.dateTime);
    if (time.dateTime.includes("T") && !Number.isNaN(at.valueOf())) {
      time.title = time.textContent;
      time.textContent = at.toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
      time.dataset.told = "";
    }
  }
}

function leadToFaults(within) {
  within.querySelector("#faults, #refused")?.focus();
}

function showProblems() {
  document.getElementById("problems")?.scrollIntoView({ block: "nearest" });
}

tellMoments(document);
leadToFaults(document);
document.addEventListener("htmx:load", (event) => {
  tellMoments(event.detail.elt);
  leadToFaults(event.detail.elt);
  if (event.detail.elt.closest("#problems")) showProblems();
});
document.addEventListener("htmx:beforeRequest", () => document.getElementById("problems")?.replaceChildren());
document.addEventListener("htmx:sendError", () => {
  const told = document.createElement("p");
  told.className = "problem";
  told.textContent = "The server cannot be reached. What you typed is still here; try again once it is back.";
  document.getElementById("problems")?.replaceChildren(told);
  showProblems();
});
