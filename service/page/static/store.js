// A stock list is read from a file into the field it could be pasted into; so nothing is sent before it was seen.

const LARGEST = 900_000;
const WAYS = [[[0xff, 0xfe], "utf-16le"], [[0xfe, 0xff], "utf-16be"]];

function text(bytes) {
  const way = WAYS.find(([mark]) => mark.every((byte, at) => bytes[at] === byte));
  return new TextDecoder(way ? way[1] : "utf-8", { fatal: true }).decode(bytes);
}

async function take(file, told, into) {
  if (file.size > LARGEST) {
    told.textContent = `${file.name} has ${file.size.toLocaleString()} bytes; at most ${LARGEST.toLocaleString()} are read here.`;
    return;
  }
  try {
    into.value = text(new Uint8Array(await file.arrayBuffer()));
    told.textContent = `${file.name} was read; look it through below.`;
  } catch {
    told.textContent = `${file.name} is not text in UTF-8; save it as CSV UTF-8.`;
  }
}

function offerFiles(within) {
  for (const field of within.querySelectorAll("[data-file-for][hidden]")) {
    const file = field.querySelector("input[type=file]");
    file.addEventListener("change", () => {
      if (file.files[0]) take(file.files[0], field.querySelector("[role=status]"), document.getElementById(field.dataset.fileFor));
    });
    field.hidden = false;
  }
}

offerFiles(document);
document.addEventListener("htmx:load", (event) => {
  offerFiles(event.detail.elt);
  event.detail.elt.querySelector("#looked, #done")?.focus();
});
