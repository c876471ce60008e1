// Proofs: a measurement is handed in by choosing or by dropping it, and is sent with its progress.

import { renew, say, unreachable } from "/assets/page.js";

const form = () => document.getElementById("read-form");

/** Says why a file is not taken, or takes that back. */
function problem(text) {
  const words = document.getElementById("upload-problem");
  words.hidden = !text;
  words.textContent = text;
}

async function send() {
  const file = document.getElementById("measurement").files[0];
  if (!file) return;
  if (file.size > Number(form().dataset.most)) {
    problem(`This file has ${Math.ceil(file.size / 2 ** 20)} MB, and a measurement may have ${Math.floor(form().dataset.most / 2 ** 20)} MB. Scan only the strip, or at 300 ppi.`);
    return;
  }
  problem("");
  say(`Handing in ${file.name} …`);
  const button = document.getElementById("read-measurement");
  button.disabled = true;
  try {
    const answer = await fetch("/proofs/read", { method: "POST", body: new FormData(form()), headers: { Accept: "application/json" } });
    // What is wrong with it comes with the page.
    if (answer.ok) form().reset();
    await renew("/proofs");
  } catch {
    unreachable();
  } finally {
    button.disabled = false;
  }
}

document.addEventListener("submit", (event) => {
  if (event.target !== form()) return;
  event.preventDefault();
  send();
});

for (const name of ["dragenter", "dragover", "dragleave", "drop"]) {
  document.addEventListener(name, (event) => {
    if (!event.dataTransfer?.types.includes("Files")) return;
    // A file that is dropped beside the place must not be opened instead of the page.
    event.preventDefault();
    const over = event.target.closest?.("#drop");
    document.getElementById("drop").toggleAttribute("data-over", Boolean(over) && name !== "drop" && name !== "dragleave");
    if (name !== "drop" || !over) return;
    document.getElementById("measurement").files = event.dataTransfer.files;
    send();
  });
}
