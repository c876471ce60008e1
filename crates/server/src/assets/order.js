// Running order: entries are moved by Alt and an arrow, or dragged; pieces are dragged in from the
// tray. All of it ends in one wish, and the page is laid anew by the server's answer.

import { calm, renew, wish } from "/assets/page.js";

const spreads = () => document.getElementById("spreads");
const entries = () => [...spreads().querySelectorAll("[data-entry]")];
const idOf = (name) => `e-${encode(name)}`;

/** The same encoding as the server's, so that ids agree. */
function encode(name) {
  return encodeURIComponent(name).replace(/[!'()*]/g, (letter) => `%${letter.charCodeAt(0).toString(16).toUpperCase()}`);
}

function address(name) {
  return name ? `/order?entry=${encode(name)}` : "/order";
}

async function move(name, to) {
  const count = Number(spreads().dataset.entries);
  const at = Math.max(0, Math.min(count - 1, to));
  if (await wish({ wish: "move", entry: name, to: at })) await renew(new URL(address(name), location.href).href, idOf(name));
  else await renew();
}

// Keyboard.

document.addEventListener("keydown", async (event) => {
  const entry = event.target.closest?.("[data-entry]");
  if (!entry || event.ctrlKey || event.metaKey) return;
  const index = Number(entry.dataset.index);
  const name = entry.dataset.entry;
  const step = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 }[event.key];
  if (event.altKey && step) {
    event.preventDefault();
    await move(name, index + step);
  } else if (!event.altKey && (event.key === "ArrowLeft" || event.key === "ArrowRight")) {
    event.preventDefault();
    const all = entries();
    all[all.indexOf(entry) + step]?.focus();
  } else if (event.key === "Delete") {
    event.preventDefault();
    const all = entries();
    const neighbour = all[all.indexOf(entry) + 1] ?? all[all.indexOf(entry) - 1];
    if (await wish({ wish: "remove", entry: name })) await renew(new URL("/order", location.href).href, neighbour?.id);
    else await renew();
  }
});

// Choosing an entry brings its tools to the bench.

document.addEventListener("click", (event) => {
  const entry = event.target.closest?.("[data-entry]");
  if (!entry || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  if (dragged) return;
  renew(entry.href, entry.id);
});

// Dragging, by any pointer that is a mouse or a pen; fingers scroll, and have the buttons.

let drag = null;
let dragged = false;

document.addEventListener("pointerdown", (event) => {
  if (event.button !== 0 || event.pointerType === "touch") return;
  const entry = event.target.closest("[data-entry]");
  const piece = event.target.closest("[data-piece]");
  const element = entry ?? piece;
  if (!element) return;
  dragged = false;
  drag = { element, entry: entry?.dataset.entry, index: Number(entry?.dataset.index), piece: piece?.dataset.piece, x: event.clientX, y: event.clientY, ghost: null, to: null };
});

document.addEventListener("pointermove", (event) => {
  if (!drag) return;
  if (!drag.ghost) {
    if (Math.hypot(event.clientX - drag.x, event.clientY - drag.y) < 6) return;
    begin();
  }
  drag.ghost.style.transform = `translate(${event.clientX - drag.left}px, ${event.clientY - drag.top}px)`;
  aim(event.clientX, event.clientY);
  edge(event.clientY);
});

document.addEventListener("pointerup", async () => {
  if (!drag) return;
  const { entry, index, piece, to } = drag;
  end();
  if (to === null) return;
  if (piece) {
    await putIn(piece, to);
  } else {
    // The place is counted with the entry still in it.
    const at = to > index ? to - 1 : to;
    if (at !== index) await move(entry, at);
  }
});

/** Puts a piece in, and chooses the entry that this makes. */
async function putIn(piece, at) {
  const before = new Set(entries().map((element) => element.dataset.entry));
  if (!(await wish({ wish: "insert", piece, at }))) return renew();
  await renew(new URL("/order", location.href).href);
  const added = entries().find((element) => !before.has(element.dataset.entry));
  if (added) await renew(added.href, added.id);
}

// The tray's buttons do the same without dragging.
document.addEventListener("submit", (event) => {
  const piece = event.target.querySelector("[data-piece]")?.dataset.piece;
  if (!piece) return;
  event.preventDefault();
  event.stopPropagation();
  if (!dragged) putIn(piece, new FormData(event.target).get("at"));
}, { capture: true });

document.addEventListener("pointercancel", () => end());
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") end();
});
document.addEventListener("dragstart", (event) => event.preventDefault());

function begin() {
  const box = (drag.element.querySelector(".leaves") ?? drag.element).getBoundingClientRect();
  drag.left = drag.x - box.left;
  drag.top = drag.y - box.top;
  drag.ghost = (drag.element.querySelector(".leaves") ?? drag.element).cloneNode(true);
  drag.ghost.classList.add("ghost");
  drag.ghost.style.width = `${box.width}px`;
  drag.ghost.style.height = `${box.height}px`;
  drag.ghost.setAttribute("aria-hidden", "true");
  drag.mark = document.createElement("span");
  drag.mark.className = "drop-mark";
  drag.mark.setAttribute("aria-hidden", "true");
  document.body.append(drag.ghost, drag.mark);
  drag.element.classList.add("lifted");
  document.body.classList.add("dragging");
}

function end() {
  if (drag?.ghost) {
    dragged = true;
    // The click that follows a drag is not a choice.
    setTimeout(() => (dragged = false), 0);
    drag.ghost.remove();
    drag.mark.remove();
    drag.element.classList.remove("lifted");
    document.body.classList.remove("dragging");
  }
  drag = null;
}

/** Finds the nearest gap between entries and marks it. */
function aim(x, y) {
  let best = null;
  for (const element of entries()) {
    const box = element.querySelector(".leaves").getBoundingClientRect();
    if (y < box.top - 30 || y > box.bottom + 60) continue;
    for (const [edgeX, to] of [[box.left, Number(element.dataset.index)], [box.right, Number(element.dataset.index) + 1]]) {
      const distance = Math.abs(x - edgeX);
      if (!best || distance < best.distance) best = { distance, to, x: edgeX, box };
    }
  }
  drag.to = best?.to ?? null;
  drag.mark.hidden = !best;
  if (best) {
    drag.mark.style.transform = `translate(${best.x - 2}px, ${best.box.top - 6}px)`;
    drag.mark.style.height = `${best.box.height + 12}px`;
  }
}

/** Scrolls when the pointer nears the top or the bottom. */
function edge(y) {
  const bench = document.getElementById("bench").getBoundingClientRect().top;
  const speed = y < 90 ? -14 : y > bench - 40 && y < bench ? 14 : 0;
  if (speed) scrollBy({ top: speed, behavior: "instant" });
}

// The chosen entry stays in sight.
document.addEventListener("renewed", () => {
  const current = spreads()?.querySelector('[aria-current="true"]');
  if (current && !visible(current)) current.scrollIntoView({ block: "nearest", behavior: calm() ? "auto" : "smooth" });
});

function visible(element) {
  const box = element.getBoundingClientRect();
  return box.top >= 70 && box.bottom <= document.getElementById("bench").getBoundingClientRect().top;
}
