// The Ask screen: what is kept as one types is kept and no more, though the button that plans has the focus already; looking
// for a rule sends nothing.

document.addEventListener("htmx:configRequest", (event) => {
  if (event.detail.triggeringEvent?.type === "change") event.detail.parameters.do = "keep";
});
document.addEventListener("keydown", (event) => {
  if (event.key === "Enter" && event.target.id === "rule-q") event.preventDefault();
});
