// How many: a slider and a number for the quantity, and one picture that follows at once. While somebody
// slides, one request is on its way at most; when it comes back, the newest quantity goes next. At rest,
// the dates are made firm and the outcome is said.

import { relay, say, unreachable } from "/assets/page.js";

/** What the server gives anew for a quantity, by id. */
const PARTS = ["quantity-chart", "one-picture", "quantity-cash", "quantity-stock"];
/** Milliseconds without a touch after which the slider is at rest. */
const REST = 300;

let wish = null;
let busy = false;
let resting = 0;

const slider = () => document.getElementById("quantity-slider");
const number = () => document.getElementById("quantity-number");

/** Looks at a quantity; the last one wished for wins. */
async function look(copies, moving) {
  wish = { copies, moving };
  if (busy) return;
  busy = true;
  try {
    while (wish) {
      const now = wish;
      wish = null;
      const answer = await fetch(`/quantity/look?copies=${now.copies}${now.moving ? "&moving=1" : ""}`, {
        headers: { Accept: "application/json, text/html" },
      });
      if (!answer.ok) {
        say((await answer.json()).said);
        continue;
      }
      const next = new DOMParser().parseFromString(await answer.text(), "text/html");
      for (const id of PARTS) {
        const [old, fresh] = [document.getElementById(id), next.getElementById(id)];
        if (old && fresh) relay(old, fresh);
      }
      document.getElementById("one-picture").dataset.copies = now.copies;
      if (!now.moving) {
        document.getElementById("quantity-heard").textContent = next.getElementById("quantity-heard").textContent;
        history.replaceState(null, "", `/quantity?copies=${now.copies}`);
      }
    }
  } catch {
    unreachable();
  } finally {
    busy = false;
  }
}

function move(copies) {
  slider().setAttribute("aria-valuetext", `${copies} copies`);
  look(copies, true);
  clearTimeout(resting);
  resting = setTimeout(() => look(copies, false), REST);
}

/** Takes the number as it is typed; a word that is no number is left alone. */
function typed() {
  const copies = Number(number().value.replaceAll(",", ""));
  if (!Number.isInteger(copies) || copies < 1) return;
  slider().value = copies;
  move(copies);
}

document.addEventListener("input", (event) => {
  if (event.target.id !== "quantity-slider") return;
  number().value = slider().value;
  move(Number(slider().value));
});

document.addEventListener("change", (event) => {
  if (event.target.id === "quantity-number") typed();
});

document.addEventListener("submit", (event) => {
  if (!event.target.matches(".quantity-number")) return;
  event.preventDefault();
  typed();
});
