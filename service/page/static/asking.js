// The Ask screen: what is kept as one types is kept and no more, though the button that plans has the focus already.

document.addEventListener("htmx:configRequest", (event) => {
  if (event.detail.triggeringEvent?.type === "change") event.detail.parameters.do = "keep";
});
