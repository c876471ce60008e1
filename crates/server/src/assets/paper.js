// On paper: a spread or another sheet at full depth, in tiles of 512 pixels, as on the screen, as
// printed, or side by side. All measures here are millimetres on paper, from the fold's top (for
// another sheet: from its trim's top left), until they are drawn.

import { calm } from "/assets/page.js";

const viewer = document.getElementById("viewer");
const canvas = document.getElementById("canvas");
const divider = document.getElementById("divider");
const facts = JSON.parse(viewer.dataset.facts);
const pen = canvas.getContext("2d", { alpha: false });
const TILE = 512;
const SURROUND = "#747474";
const dots = facts.ppi / 25.4;

let sheets = [];
let folds = [];
let levels = [];
let extent = null;
let zoom = 1;
let centre = { x: 0, y: 0 };
let fitted = true;
let view = "both";
let side = "print";
let share = 0.5;
// A place that is read, in millimetres; whether arrow keys move it.
let cross = null;
let reading = false;
// Pictures of figures that are tried, by sheet; and whether they go once tiles are there.
const trials = new Map();
let leaving = false;
let opened = null;

/** For each choice of the paper side: what is laid on the left and on the right. */
const SIDES = {
  print: ["screen", "print"],
  adapted: ["screen", "adapted"],
  reach: ["screen", "reach"],
  ink: ["print", "ink"],
  shadows: ["screen", "shadows"],
  sharpening: ["plain", "print"],
};
const NAMES = {
  screen: "As on screen",
  print: "As printed, with the paper's tint",
  adapted: "As printed, to eyes used to the paper",
  reach: "Out of reach",
  ink: "Ink in all",
  shadows: "Shadow detail",
  plain: "Before sharpening",
};
const guides = { bleed: false, trim: false, safe: false, fold: false };

// What lies on the table.

/** A printed sheet beside the pages, by its word; undefined for a page. */
const flatOf = (page) => facts.flats.find((flat) => flat.id === page);

/** Opens a page with the page that faces it, or another printed sheet. */
function open(page, keep = false) {
  facts.page = page;
  const { width, height } = facts.trim;
  const flat = flatOf(page);
  if (flat) {
    sheets = [{ id: flat.id, name: flat.name, x: 0, width: flat.width, height: flat.height, bleed: flat.bleed, pixels: flat.pixels, inner: [], clear: flat.clear }];
    folds = flat.upright;
    levels = flat.level;
    say(`${flat.name}: ${flat.panels.join(", ")}`, flat.name);
  } else {
    const left = page % 2 ? page - 1 : page;
    const numbers = [left, left + 1].filter((number) => number >= 1 && number <= facts.pages);
    sheets = numbers.map((number) => ({
      id: String(number),
      x: number % 2 ? 0 : -width,
      width,
      height,
      pixels: number % 2 ? facts.right : facts.left,
      // Facing pages meet at the fold: neither shows its bleed there.
      inner: numbers.length === 2 ? [number % 2 ? "left" : "right"] : [],
      name: `Page ${number}`,
      bleed: facts.bleed,
      clear: [],
    }));
    folds = [0];
    levels = [];
    const names = [...new Set(numbers.map((number) => facts.names[number - 1]).filter(Boolean))];
    const words = numbers.length === 2 ? `Pages ${numbers[0]} and ${numbers[1]}` : `Page ${numbers[0]}`;
    say(names.length ? `${words}: ${names.join(", ")}` : words, words);
  }
  const left = Math.min(...sheets.map((sheet) => sheet.x));
  const right = Math.max(...sheets.map((sheet) => sheet.x + sheet.width));
  extent = { left, right, top: 0, bottom: sheets[0].height };
  for (const link of document.querySelectorAll("#strip a[data-pages]")) {
    const here = link.dataset.pages.split(" ").includes(String(page));
    if (here) {
      link.setAttribute("aria-current", "true");
      reveal(link);
    } else link.removeAttribute("aria-current");
  }
  const kept = new URLSearchParams(location.search).get("for");
  history.replaceState(null, "", `/paper?page=${page}${kept ? `&for=${encodeURIComponent(kept)}` : ""}`);
  if (opened !== null && opened !== page) {
    cross = null;
    document.dispatchEvent(new CustomEvent("opened", { detail: { page } }));
  }
  opened = page;
  if (!keep || fitted) fit();
  draw();
}

function say(words, short) {
  document.getElementById("pages").textContent = short;
  canvas.setAttribute("aria-label", words);
  document.getElementById("where").textContent = words;
}

/** Brings the chosen spread into the strip's view without moving the page. */
function reveal(link) {
  const strip = link.closest("ul");
  const [box, frame] = [link.getBoundingClientRect(), strip.getBoundingClientRect()];
  strip.scrollBy({ left: box.left + box.width / 2 - frame.left - frame.width / 2, behavior: calm() ? "auto" : "smooth" });
}

/** What of a sheet is shown: up to its trim, or with its bleed. */
function shownPart(sheet) {
  const over = guides.bleed ? sheet.bleed : 0;
  const left = sheet.inner.includes("left") ? 0 : over;
  const right = sheet.inner.includes("right") ? 0 : over;
  return { x: sheet.x - left, y: -over, width: sheet.width + left + right, height: sheet.height + 2 * over };
}

// Tiles.

const tiles = new Map();
let wanted = [];
let loading = 0;
// What the last drawing lacked, and why.
let lacking = false;
let trouble = "";

function tileOf(sheet, side, level, column, row) {
  const address = `/tile/${sheet.id}/${side}/${level}/${column}/${row}`;
  const tile = tiles.get(address);
  if (tile) {
    // The map keeps the order of use, so the first is the one longest unused.
    tiles.delete(address);
    tiles.set(address, tile);
    if (tile.state === "ready") return tile.image;
    if (tile.state === "failed") trouble = tile.trouble;
    else lacking = true;
  } else lacking = true;
  if (!tile || tile.state === "waiting") wanted.push(address);
  if (!tile) tiles.set(address, { state: "waiting" });
  return null;
}

function fetchTiles() {
  while (loading < 4 && wanted.length) {
    const address = wanted.shift();
    const tile = tiles.get(address);
    if (!tile || tile.state !== "waiting") continue;
    tile.state = "loading";
    loading += 1;
    load(address, tile).finally(() => {
      loading -= 1;
      draw();
    });
  }
  for (const [address, tile] of tiles) {
    if (tiles.size <= 400) break;
    if (tile.state === "loading") continue;
    tile.image?.close();
    tiles.delete(address);
  }
}

async function load(address, tile) {
  try {
    const answer = await fetch(address, { headers: { Accept: "application/json, image/*" } });
    if (answer.ok) {
      tile.image = await createImageBitmap(await answer.blob());
      tile.state = "ready";
    } else {
      tile.state = "failed";
      const { said, hint } = await answer.json();
      tile.trouble = `${said} ${hint}`;
    }
  } catch {
    tile.state = "failed";
    tile.trouble = "Foredge does not answer. Is it still running in the terminal?";
  }
}

function deepest(sheet) {
  return Math.max(0, Math.ceil(Math.log2(Math.max(sheet.pixels.width, sheet.pixels.height) / TILE)));
}

// Drawing.

let scheduled = false;
let all = false;

/** Draws at the next frame; only the trial where nothing else has changed. */
function draw(onlyTrial = false) {
  if (!onlyTrial) all = true;
  if (scheduled) return;
  scheduled = true;
  requestAnimationFrame(() => {
    scheduled = false;
    if (!all && paintTrial()) return;
    all = false;
    paint();
    fetchTiles();
  });
}

/** Draws the paper side alone, where every open page has a trial: a slider must not wait for tiles. */
function paintTrial() {
  const [, right] = SIDES[side];
  if (view === "screen" || !isPrint(right) || leaving || sheets.some((sheet) => !trials.has(sheet.id))) return false;
  part(right, view === "both" ? Math.round(share * canvas.width) : 0, canvas.width, true);
  lines();
  if (cross) hair();
  measure();
  return true;
}

const isPrint = (name) => name === "print" || name === "adapted";

const onScreen = (x, y) => [(x - centre.x) * zoom + canvas.width / 2, (y - centre.y) * zoom + canvas.height / 2];

function paint() {
  wanted = [];
  lacking = false;
  trouble = "";
  pen.setTransform(1, 0, 0, 1, 0, 0);
  pen.fillStyle = SURROUND;
  pen.fillRect(0, 0, canvas.width, canvas.height);
  const cut = Math.round(share * canvas.width);
  const [left, right] = SIDES[side];
  if (view !== "print") part(left, 0, view === "both" ? cut : canvas.width, false);
  if (view !== "screen") part(right, view === "both" ? cut : 0, canvas.width, true);
  lines();
  if (cross) hair();
  measure();
  report();
  const percent = Math.round((zoom / dots) * 100);
  document.getElementById("zoomed").textContent =
    percent === 100 ? "One press pixel on one screen pixel" : `${percent} % of press pixels`;
}

let slow = null;

/** Says that pixels are on their way, once that takes long, or why they do not come. */
function report() {
  const words = document.getElementById("waiting");
  viewer.dataset.drawn = trouble ? "failed" : lacking ? "partly" : "whole";
  if (trouble || !lacking) {
    clearTimeout(slow);
    slow = null;
    if (words.textContent !== trouble) words.textContent = trouble;
  } else {
    slow ??= setTimeout(() => (words.textContent = "Getting the page ready…"), 400);
  }
}

/** Notes how long a touch of a slider took to show on all open pages. */
function measure() {
  const shown = sheets.map((sheet) => trials.get(sheet.id));
  if (!shown.length || shown.some((trial) => !trial || trial.measured || trial.number !== shown[0]?.number)) return;
  performance.measure("slider to picture", { start: shown[0].since, end: performance.now() });
  for (const trial of shown) trial.measured = true;
}

function part(name, from, to, onPaper) {
  pen.save();
  pen.beginPath();
  pen.rect(from, 0, to - from, canvas.height);
  pen.clip();
  for (const sheet of sheets) {
    const part = shownPart(sheet);
    const [x, y] = onScreen(part.x, part.y);
    const [right, bottom] = onScreen(part.x + part.width, part.y + part.height);
    const box = { x: Math.round(x), y: Math.round(y), right: Math.round(right), bottom: Math.round(bottom) };
    pen.save();
    pen.beginPath();
    pen.rect(box.x, box.y, box.right - box.x, box.bottom - box.y);
    pen.clip();
    pen.fillStyle = "#ffffff";
    pen.fillRect(box.x, box.y, box.right - box.x, box.bottom - box.y);
    const best = Math.min(deepest(sheet), Math.max(0, Math.floor(Math.log2(dots / zoom) + 0.01)));
    const covered = onPaper && isPrint(name) && trials.has(sheet.id) && !leaving;
    for (let level = deepest(sheet); level >= best && !covered; level -= 1) {
      if (level !== best && level !== deepest(sheet)) continue;
      raster(sheet, name, level, from, to);
    }
    if (onPaper) tried(sheet, name);
    pen.restore();
  }
  pen.restore();
}

/** The picture of figures that are tried lies over the tiles. */
function tried(sheet, name) {
  const trial = trials.get(sheet.id);
  if (!trial || !isPrint(name)) return;
  if (leaving && !lacking) {
    trial.image.close();
    trials.delete(sheet.id);
    return;
  }
  const { trim } = sheet.pixels;
  const [wide, high] = [sheet.width / trim.width, sheet.height / trim.height];
  const [x, y] = onScreen(sheet.x - trim.left * wide, -trim.top * high);
  pen.imageSmoothingEnabled = true;
  pen.imageSmoothingQuality = "high";
  pen.drawImage(trial.image, x, y, sheet.pixels.width * wide * zoom, sheet.pixels.height * high * zoom);
}

/** The reading cross, open in the middle so that it does not hide what it reads. */
function hair() {
  const ratio = devicePixelRatio;
  const [x, y] = onScreen(cross.x, cross.y);
  for (const [colour, width] of [["#ffffff", 3.5], ["#111111", 1.5]]) {
    pen.strokeStyle = colour;
    pen.lineWidth = width * ratio;
    pen.beginPath();
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
      pen.moveTo(x + dx * 4 * ratio, y + dy * 4 * ratio);
      pen.lineTo(x + dx * 18 * ratio, y + dy * 18 * ratio);
    }
    pen.stroke();
  }
}

function raster(sheet, name, level, from, to) {
  // The trim in pixels is laid exactly on the trim in millimetres, so that facing pages meet.
  const { trim } = sheet.pixels;
  const [wide, high] = [sheet.width / trim.width, sheet.height / trim.height];
  const step = TILE * 2 ** level;
  const across = Math.ceil(sheet.pixels.width / 2 ** level);
  const down = Math.ceil(sheet.pixels.height / 2 ** level);
  const [left, top] = [sheet.x - trim.left * wide, -trim.top * high];
  pen.imageSmoothingEnabled = zoom / dots < 2;
  pen.imageSmoothingQuality = "high";
  const jobs = [];
  for (let row = 0; row * TILE < down; row += 1) {
    for (let column = 0; column * TILE < across; column += 1) {
      const [x, y] = onScreen(left + column * step * wide, top + row * step * high);
      const width = Math.min(TILE, across - column * TILE) * 2 ** level * wide * zoom;
      const height = Math.min(TILE, down - row * TILE) * 2 ** level * high * zoom;
      if (x > to || x + width < from || y > canvas.height || y + height < 0) continue;
      jobs.push({ column, row, x, y, width, height, far: Math.hypot(x + width / 2 - canvas.width / 2, y + height / 2 - canvas.height / 2) });
    }
  }
  // The middle of the table is fetched first.
  jobs.sort((one, other) => one.far - other.far);
  for (const { column, row, x, y, width, height } of jobs) {
    const image = tileOf(sheet, name, level, column, row);
    if (!image) continue;
    const [x0, y0] = [Math.floor(x), Math.floor(y)];
    pen.drawImage(image, x0, y0, Math.ceil(x + width) - x0, Math.ceil(y + height) - y0);
  }
}

/** Guides: each has a line of its own kind, and its name beside it. */
function lines() {
  const ratio = devicePixelRatio;
  pen.font = `${12 * ratio}px "Libre Franklin", sans-serif`;
  const stroke = (dash, trace) => {
    for (const [colour, width] of [["#ffffff", 3], ["#111111", 1.25]]) {
      pen.strokeStyle = colour;
      pen.lineWidth = width * ratio;
      pen.setLineDash(dash.map((length) => length * ratio));
      pen.beginPath();
      trace();
      pen.stroke();
    }
    pen.setLineDash([]);
  };
  const word = (text, x, y) => {
    const width = pen.measureText(text).width + 8 * ratio;
    pen.fillStyle = "#111111";
    pen.fillRect(x, y - 15 * ratio, width, 17 * ratio);
    pen.fillStyle = "#ffffff";
    pen.fillText(text, x + 4 * ratio, y - 2.5 * ratio);
  };
  const frame = (dash, inset, name, innerToo, shift = 0) => {
    for (const sheet of sheets) {
      const left = sheet.inner.includes("left") && !innerToo ? 0 : inset;
      const right = sheet.inner.includes("right") && !innerToo ? 0 : inset;
      const [x, y] = onScreen(sheet.x + left, inset);
      const [r, b] = onScreen(sheet.x + sheet.width - right, sheet.height - inset);
      stroke(dash, () => pen.rect(x, y, r - x, b - y));
      if (sheet === sheets[0]) word(name, x + shift * ratio, inset > 0 ? y + 17 * ratio : y);
    }
  };
  if (guides.bleed && sheets[0].bleed > 0) frame([2, 4], -sheets[0].bleed, "bleed", false);
  if (guides.trim) frame([], 0, "trim", true, 60);
  // A sheet with folds has places of its own to keep clear, instead of a margin all around.
  if (guides.safe && !flatOf(facts.page)) frame([9, 5], facts.safe, "safe", true);
  if (guides.safe) {
    for (const [left, top, width, height] of sheets[0].clear) {
      const [x, y] = onScreen(left, top);
      const [r, b] = onScreen(left + width, top + height);
      stroke([9, 5], () => pen.rect(x, y, r - x, b - y));
      word("keep clear", x, Math.min(b, y + 17 * ratio));
    }
  }
  if (guides.fold) {
    const offsets = flatOf(facts.page) ? [0] : [-facts.fold, 0, facts.fold];
    for (const level of levels) {
      const [x, y] = onScreen(extent.left, level);
      const [right] = onScreen(extent.right, level);
      stroke([14, 4, 2, 4], () => {
        pen.moveTo(x - 10 * ratio, y);
        pen.lineTo(right + 10 * ratio, y);
      });
    }
    for (const fold of folds) {
      for (const offset of offsets) {
        if (fold + offset < extent.left || fold + offset > extent.right) continue;
        const [x, y] = onScreen(fold + offset, extent.top);
        const [, bottom] = onScreen(fold, extent.bottom);
        stroke(offset === 0 ? [14, 4, 2, 4] : [4, 4], () => {
          pen.moveTo(x, y - 10 * ratio);
          pen.lineTo(x, bottom + 10 * ratio);
        });
        if (offset === 0) word("fold", x, bottom + 22 * ratio);
      }
    }
  }
}

// Moving and zooming.

function size() {
  const box = canvas.getBoundingClientRect();
  canvas.width = Math.max(1, Math.round(box.width * devicePixelRatio));
  canvas.height = Math.max(1, Math.round(box.height * devicePixelRatio));
  if (fitted) fit();
  place();
  draw();
}

function fit() {
  const room = 56 * devicePixelRatio;
  const over = guides.bleed ? sheets[0].bleed : 0;
  zoom = Math.min((canvas.width - room) / (extent.right - extent.left + 2 * over), (canvas.height - room) / (extent.bottom + 2 * over));
  zoom = Math.max(zoom, 0.01);
  centre = { x: (extent.left + extent.right) / 2, y: extent.bottom / 2 };
  fitted = true;
  draw();
}

/** Zooms by a factor, or to a scale, around a point of the canvas. */
function zoomTo(next, x = canvas.width / 2, y = canvas.height / 2) {
  const least = Math.min(canvas.width / (extent.right - extent.left), canvas.height / extent.bottom) / 3;
  const limited = Math.min(dots * 8, Math.max(least, next));
  const at = { x: (x - canvas.width / 2) / zoom + centre.x, y: (y - canvas.height / 2) / zoom + centre.y };
  zoom = limited;
  centre = { x: at.x - (x - canvas.width / 2) / zoom, y: at.y - (y - canvas.height / 2) / zoom };
  fitted = false;
  hold();
  draw();
}

function pan(dx, dy) {
  centre = { x: centre.x + dx / zoom, y: centre.y + dy / zoom };
  fitted = false;
  hold();
  draw();
}

/** The paper never leaves the table wholly. */
function hold() {
  centre.x = Math.min(extent.right, Math.max(extent.left, centre.x));
  centre.y = Math.min(extent.bottom, Math.max(extent.top, centre.y));
}

/** A hundred percent of the paper, as far as the screen knows its own size (96 px an inch). */
const actual = () => (96 / 25.4) * devicePixelRatio;

function turn(by) {
  // Before page 1 lie the other sheets, the last of them next to it.
  const place = facts.flats.findIndex((flat) => flat.id === facts.page);
  if (place >= 0) {
    const next = place + by;
    if (next >= 0) open(facts.flats[next]?.id ?? 1, true);
    return;
  }
  const left = facts.page % 2 ? facts.page - 1 : facts.page;
  const next = left + by * 2;
  if (next < 0 && facts.flats.length) open(facts.flats.at(-1).id, true);
  else if (next >= 0 && next <= facts.pages) open(Math.max(1, next), true);
}

canvas.addEventListener("wheel", (event) => {
  event.preventDefault();
  const box = canvas.getBoundingClientRect();
  const ratio = devicePixelRatio;
  zoomTo(zoom * 2 ** (-event.deltaY / 400), (event.clientX - box.left) * ratio, (event.clientY - box.top) * ratio);
}, { passive: false });

let grip = null;
canvas.addEventListener("pointerdown", (event) => {
  if (event.button !== 0) return;
  grip = { x: event.clientX, y: event.clientY, moved: 0 };
  canvas.setPointerCapture(event.pointerId);
  canvas.classList.add("held");
});
canvas.addEventListener("pointermove", (event) => {
  if (grip) {
    const [dx, dy] = [grip.x - event.clientX, grip.y - event.clientY];
    grip.moved += Math.abs(dx) + Math.abs(dy);
    // A hand that trembles does not move the page.
    if (grip.moved > 3) pan(dx * devicePixelRatio, dy * devicePixelRatio);
    Object.assign(grip, { x: event.clientX, y: event.clientY });
  }
  point(event);
});
for (const name of ["pointerup", "pointercancel"]) {
  canvas.addEventListener(name, (event) => {
    if (grip && grip.moved <= 3 && name === "pointerup") setCross(placeOf(event));
    grip = null;
    canvas.classList.remove("held");
  });
}
canvas.addEventListener("pointerleave", () => {
  clearTimeout(asking);
  if (cross) read(cross);
  else unread();
});

/** Where on the paper a pointer is. */
function placeOf(event) {
  const box = canvas.getBoundingClientRect();
  return {
    x: ((event.clientX - box.left) * devicePixelRatio - canvas.width / 2) / zoom + centre.x,
    y: ((event.clientY - box.top) * devicePixelRatio - canvas.height / 2) / zoom + centre.y,
  };
}

const sheetAt = ({ x, y }) => sheets.find((one) => x >= one.x && x < one.x + one.width && y >= 0 && y < one.height);

function point(event) {
  const place = placeOf(event);
  if (sheetAt(place)) read(place);
}

/** Lays the reading cross on a place of the paper, and reads there. */
function setCross(place) {
  cross = {
    x: Math.min(extent.right - 0.01, Math.max(extent.left, place.x)),
    y: Math.min(extent.bottom - 0.01, Math.max(0, place.y)),
  };
  follow();
  draw();
  read(cross);
}

/** Moves the page where the cross would leave the table. */
function follow() {
  const [x, y] = onScreen(cross.x, cross.y);
  const room = 40 * devicePixelRatio;
  const beyond = (at, end) => (at < room ? at - room : at > end - room ? at - end + room : 0);
  const [dx, dy] = [beyond(x, canvas.width), beyond(y, canvas.height)];
  if (dx || dy) pan(dx, dy);
}

const readingButton = document.getElementById("reading");

/** Gives the arrow keys to the cross, or back to the page. */
function setReading(on) {
  reading = on;
  readingButton.setAttribute("aria-pressed", String(on));
  if (on) setCross(cross ?? centre);
  else {
    cross = null;
    unread();
    draw();
  }
}

readingButton.addEventListener("click", () => {
  setReading(!reading);
  if (reading) canvas.focus({ preventScroll: true });
});

let asking = null;
const numbers = document.getElementById("numbers");

function unread() {
  numbers.hidden = true;
  document.getElementById("where").textContent = canvas.getAttribute("aria-label");
}

/** Says where a place is and, once the hand rests, which colours lie there. */
function read(place) {
  const sheet = sheetAt(place);
  if (!sheet) return;
  document.getElementById("where").textContent = `${sheet.name}, ${(place.x - sheet.x).toFixed(1)} mm across, ${place.y.toFixed(1)} mm down`;
  clearTimeout(asking);
  const { trim } = sheet.pixels;
  const column = Math.floor(trim.left + ((place.x - sheet.x) / sheet.width) * trim.width);
  const row = Math.floor(trim.top + (place.y / sheet.height) * trim.height);
  asking = setTimeout(async () => {
    const answer = await fetch(`/under/${sheet.id}/${column}/${row}`).catch(() => null);
    if (answer?.ok) tell(await answer.json());
  }, 60);
}

/** Writes what was read, and says it once where keys asked for it. */
function tell({ screen, paper, ink, total, art, print, difference, words }) {
  const lab = ([l, a, b]) => `${l.toFixed(0)} ${a.toFixed(0)} ${b.toFixed(0)}`;
  const set = (id, text) => (document.getElementById(id).textContent = text);
  document.getElementById("chip-screen").setAttribute("fill", `rgb(${screen.join(",")})`);
  document.getElementById("chip-paper").setAttribute("fill", `rgb(${paper.join(",")})`);
  set("read-rgb", screen.join(" "));
  set("read-art", lab(art));
  set("read-ink", ink.map((part) => part.toFixed(0)).join(" "));
  set("read-total", `${total.toFixed(0)} %`);
  set("read-print", lab(print));
  set("read-difference", difference.toFixed(1));
  numbers.hidden = false;
  if (reading && document.activeElement === canvas) set("heard", words);
}

canvas.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const step = (reading ? 4 : 60) * devicePixelRatio * (event.shiftKey ? (reading ? 10 : 4) : 1);
  const go = (dx, dy) => (reading ? setCross({ x: cross.x + (dx * step) / zoom, y: cross.y + (dy * step) / zoom }) : pan(dx * step, dy * step));
  const keys = {
    ArrowLeft: () => go(-1, 0),
    ArrowRight: () => go(1, 0),
    ArrowUp: () => go(0, -1),
    ArrowDown: () => go(0, 1),
    x: () => setReading(!reading),
    Escape: () => setReading(false),
    "+": () => zoomTo(zoom * 1.25),
    "=": () => zoomTo(zoom * 1.25),
    "-": () => zoomTo(zoom / 1.25),
    0: fit,
    1: () => zoomTo(dots),
    PageUp: () => turn(-1),
    PageDown: () => turn(1),
  };
  const key = keys[event.key];
  if (!key) return;
  event.preventDefault();
  key();
});

const on = (id, call) => document.getElementById(id).addEventListener("click", call);
on("zoom-in", () => zoomTo(zoom * 1.25));
on("zoom-out", () => zoomTo(zoom / 1.25));
on("zoom-fit", fit);
on("zoom-pixels", () => zoomTo(dots));
on("zoom-size", () => zoomTo(actual()));
on("previous", () => turn(-1));
on("next", () => turn(1));

for (const input of document.querySelectorAll("input[name=guide]")) {
  input.addEventListener("change", () => {
    guides[input.value] = input.checked;
    if (fitted) fit();
    draw();
  });
  guides[input.value] = input.checked;
}

for (const input of document.querySelectorAll("input[name=view]")) {
  input.addEventListener("change", () => show(input.value));
}

for (const input of document.querySelectorAll("input[name=side]")) {
  input.addEventListener("change", () => {
    side = input.value;
    // Sharpening is judged pixel by pixel, and side by side; a map is of no use where it is hidden.
    if (side === "sharpening") zoomTo(dots);
    if (side === "sharpening" || view === "screen") choose("both");
    else show(view);
  });
}

function choose(name) {
  document.querySelector(`input[name=view][value=${name}]`).checked = true;
  show(name);
}

function show(name) {
  view = name;
  const both = view === "both";
  const [left, right] = SIDES[side];
  divider.hidden = !both;
  const [one, other] = ["label-left", "label-right"].map((id) => document.getElementById(id));
  one.hidden = view === "print";
  other.hidden = view === "screen";
  one.textContent = NAMES[left];
  other.textContent = side === "sharpening" ? "After sharpening" : NAMES[right];
  for (const legend of document.querySelectorAll("#legends [data-view]")) {
    legend.hidden = view === "screen" || legend.dataset.view !== right;
  }
  place();
  draw();
}

// The divider.

function place() {
  const left = view === "both" ? share * 100 : view === "screen" ? 100 : 0;
  divider.style.left = `${share * 100}%`;
  document.getElementById("label-left").style.right = view === "both" ? `${100 - left}%` : "auto";
  document.getElementById("label-left").style.left = view === "both" ? "auto" : "0";
  document.getElementById("label-right").style.left = view === "both" ? `${left}%` : "0";
  const percent = Math.round(share * 100);
  divider.setAttribute("aria-valuenow", String(percent));
  divider.setAttribute("aria-valuetext", `Screen on the left ${percent} percent, print on the rest`);
}

function divide(next) {
  share = Math.min(1, Math.max(0, next));
  place();
  draw();
}

divider.addEventListener("pointerdown", (event) => {
  event.preventDefault();
  divider.focus();
  divider.setPointerCapture(event.pointerId);
  divider.dataset.held = "";
});
divider.addEventListener("pointermove", (event) => {
  if (divider.dataset.held === undefined) return;
  const box = canvas.getBoundingClientRect();
  divide((event.clientX - box.left) / box.width);
});
for (const name of ["pointerup", "pointercancel"]) divider.addEventListener(name, () => delete divider.dataset.held);
divider.addEventListener("keydown", (event) => {
  const step = event.shiftKey ? 0.1 : 0.02;
  const next = { ArrowLeft: share - step, ArrowDown: share - step, ArrowRight: share + step, ArrowUp: share + step, Home: 0, End: 1, PageUp: share + 0.1, PageDown: share - 0.1 }[event.key];
  if (next === undefined) return;
  event.preventDefault();
  divide(next);
});

// The strip of pages.

document.getElementById("strip").addEventListener("click", (event) => {
  const link = event.target.closest("a[data-pages]");
  if (!link || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  const page = link.dataset.pages.split(" ")[0];
  open(flatOf(page) ? page : Number(page), true);
});

/** A change of the book, such as undo, lays the page anew: read its facts again. */
document.addEventListener("renewed", () => {
  const { edition } = facts;
  Object.assign(facts, JSON.parse(viewer.dataset.facts));
  if (edition !== facts.edition) {
    for (const tile of tiles.values()) tile.image?.close();
    tiles.clear();
  }
  // The page as it was sent knows nothing of how it was being looked at.
  viewer.classList.add("live");
  size();
  readingButton.setAttribute("aria-pressed", String(reading));
  open(facts.page, true);
  show(view);
  if (cross) read(cross);
});

/** What the recipe card may do with the table. */
export const table = {
  page: () => facts.page,
  /** The open pages that figures can be tried on. */
  sheets: () => sheets,
  /** Pixels of the screen along the longer side of a page with its bleed, as it lies now. */
  longest: (id) => {
    const sheet = sheets.find((one) => one.id === id);
    return sheet ? (Math.max(sheet.width, sheet.height) + 2 * sheet.bleed) * zoom : 0;
  },
  /** How paper is shown; a map gives way, since maps are made of what is in force. */
  paper: () => (side === "adapted" ? "adapted" : "print"),
  lay: (id, trial) => {
    trials.get(id)?.image.close();
    trials.set(id, trial);
    leaving = false;
    if (!isPrint(side)) document.querySelector("input[name=side][value=print]").click();
    if (view === "screen") choose("both");
    draw(true);
  },
  clear: () => {
    for (const trial of trials.values()) trial.image.close();
    trials.clear();
    draw();
  },
  /** Lets the trial go as soon as what is in force can be seen. */
  leave: () => {
    leaving = true;
    draw();
  },
};

new ResizeObserver(size).observe(canvas);
viewer.classList.add("live");
open(facts.page);
show(document.querySelector("input[name=view]:checked")?.value ?? "both");
