// A face under a lamp: the art as printed, and on it foil, varnish and relief, shaded for a lamp that
// follows the pointer or the arrow keys. It is a likeness to judge a design by, not a measurement:
// reflectances and depths below are our assumptions.
//
// Lengths are millimetres from the upper left corner of the face that is shown; z points to the eye.

import { calm } from "/assets/page.js";

/** Colour of a foil as it is seen by the light it throws back, 0 to 1. */
const FOILS = {
  gold: [0.96, 0.76, 0.36],
  silver: [0.9, 0.91, 0.92],
  copper: [0.93, 0.61, 0.45],
  black: [0.1, 0.1, 0.11],
  white: [0.97, 0.97, 0.96],
};
/** How high a finishing stands above the sheet, in millimetres, and over which width its edge falls. */
const RELIEFS = {
  foil: [-0.05, 0.25],
  "spot varnish": [0.03, 0.2],
  "blind emboss": [0.4, 0.7],
  "blind deboss": [-0.35, 0.7],
};
/** How high the eye is above the middle of the face, in its longer side. */
const EYE = 2.4;
/** Most pixels that are shaded: enough for a screen, and quick on an old one. */
const MOST_PIXELS = 900_000;

/** Brightness of a highlight by the cosine between surface and half-way direction, from 0.7 to 1. */
const STEPS = 2048;
function lobe(sharpness) {
  const table = new Float32Array(STEPS + 2);
  for (let step = 0; step <= STEPS + 1; step += 1) table[step] = Math.pow(0.7 + (0.3 * step) / STEPS, sharpness);
  return table;
}
const BROAD = lobe(26);
const TIGHT = lobe(420);
const WET = lobe(900);
const at = (table, cosine) => (cosine <= 0.7 ? 0 : table[Math.min(STEPS, ((cosine - 0.7) * STEPS) / 0.3) | 0]);

class Lamp {
  constructor(figure) {
    this.figure = figure;
    this.canvas = figure.querySelector("canvas");
    this.pen = this.canvas.getContext("2d", { alpha: false });
    this.heard = figure.querySelector(".lamp-heard");
    this.home = { x: 0.28, y: 0.2, z: 0.55 };
    this.light = { ...this.home };
    this.number = 0;
    this.listen();
    this.read();
    new ResizeObserver(() => this.resized()).observe(this.canvas.parentElement);
  }

  /** Takes the facts of the page as they are now. */
  read() {
    const text = this.figure.dataset.lamp;
    this.figure.classList.add("live");
    if (text !== this.text) {
      this.text = text;
      this.facts = JSON.parse(text);
      this.load();
    } else this.build();
    this.marks();
  }

  async load() {
    const number = (this.number += 1);
    const { picture, plates } = this.facts;
    const [face, ...drawn] = await Promise.all([fetched(picture), ...plates.map((plate) => fetched(plate.picture))]);
    if (number !== this.number) return;
    this.face = face;
    this.drawn = drawn;
    const lacking = !face || drawn.some((image) => !image);
    this.figure.dataset.drawn = lacking ? "partly" : "whole";
    this.build();
    if (!this.moved && !this.held) {
      this.home = this.rest();
      this.light = { ...this.home };
    }
    if (!calm() && !this.moved) this.glide();
  }

  /**
   * Where the lamp stands at first: so that the first plate that shines throws its light back to the eye
   * from somewhere in its upper left. Relief is seen best by a light from the side.
   */
  rest() {
    const shiny = (this.layers ?? []).find(({ process }) => process === "foil" || process === "spot varnish");
    if (!shiny) return this.home;
    const { width, height } = this.canvas;
    const solid = Array.from(shiny.list).filter((_, place) => shiny.part[place] > 0.9);
    if (solid.length === 0) return this.home;
    const [column, row] = [(index) => index % width, (index) => (index / width) | 0];
    const ends = [column, row].map((of) => {
      let [least, most] = [Infinity, 0];
      for (const index of solid) [least, most] = [Math.min(least, of(index)), Math.max(most, of(index))];
      return [least, most];
    });
    const [x, y] = ends.map(([least, most]) => least + 0.25 * (most - least));
    const off = (index) => Math.hypot(column(index) - x, row(index) - y);
    let nearest = solid[0];
    for (const index of solid) if (off(index) < off(nearest)) nearest = index;
    const { z } = this.home;
    // As far beyond that place as the eye is on this side of it, by their heights.
    const beyond = (part) => part + ((part - 0.5) * z) / EYE;
    return { x: beyond(column(nearest) / width), y: beyond(row(nearest) / height), z };
  }

  resized() {
    const width = this.canvas.parentElement.clientWidth;
    if (width !== this.width && this.face !== undefined) this.build();
  }

  /** Lays face and plates out on the pixels of the screen; everything that the light does not change. */
  build() {
    const { rect } = this.facts;
    this.width = this.canvas.parentElement.clientWidth;
    if (!this.width || this.face === undefined) return;
    let columns = this.width * Math.min(devicePixelRatio, 2);
    columns = Math.round(Math.min(columns, Math.sqrt((MOST_PIXELS * rect.width) / rect.height)));
    const rows = Math.max(1, Math.round((columns * rect.height) / rect.width));
    Object.assign(this.canvas, { width: columns, height: rows });
    this.scale = columns / rect.width;
    const pad = new OffscreenCanvas(columns, rows);
    const pen = pad.getContext("2d", { willReadFrequently: true });
    pen.fillStyle = "#ffffff";
    pen.fillRect(0, 0, columns, rows);
    pen.imageSmoothingQuality = "high";
    if (this.face) {
      const { trim } = this.facts;
      pen.drawImage(this.face, -rect.x * this.scale, -rect.y * this.scale, trim.width * this.scale, trim.height * this.scale);
    }
    this.base = pen.getImageData(0, 0, columns, rows);
    this.shown = new ImageData(columns, rows);
    this.layers = [];
    this.facts.plates.forEach((plate, index) => {
      const image = this.drawn[index];
      if (!image || this.hidden(plate)) return;
      pen.clearRect(0, 0, columns, rows);
      const place = plate.face;
      pen.drawImage(image, (place.x - rect.x) * this.scale, (place.y - rect.y) * this.scale, place.width * this.scale, place.height * this.scale);
      this.layers.push(layer(plate, pen.getImageData(0, 0, columns, rows).data, columns, rows, this.scale));
    });
    this.draw();
  }

  /** Whether a plate is laid aside by its box. */
  hidden(plate) {
    const box = this.figure.querySelector(`input[data-plate="${plate.index}"]`);
    return box !== null && !box.checked;
  }

  draw() {
    if (this.scheduled || !this.base) return;
    this.scheduled = true;
    requestAnimationFrame(() => {
      this.scheduled = false;
      this.shade();
    });
  }

  shade() {
    const start = performance.now();
    const { width, height } = this.canvas;
    const out = this.shown.data;
    out.set(this.base.data);
    const { rect } = this.facts;
    const lamp = [this.light.x * rect.width, this.light.y * rect.height, this.light.z * Math.max(rect.width, rect.height)];
    const eye = [rect.width / 2, rect.height / 2, EYE * Math.max(rect.width, rect.height)];
    for (const one of this.layers) shadeLayer(one, out, width, this.scale, lamp, eye);
    this.pen.putImageData(this.shown, 0, 0);
    if (document.activeElement === this.canvas) this.ring(width, height);
    this.figure.dataset.shaded = String(Math.round(performance.now() - start));
  }

  /** Where the lamp is, for those who move it by keys. */
  ring(width, height) {
    const [x, y] = [this.light.x * width, this.light.y * height];
    const radius = 9 * Math.min(devicePixelRatio, 2);
    for (const [colour, line] of [["#ffffff", 5], ["#111111", 2]]) {
      this.pen.strokeStyle = colour;
      this.pen.lineWidth = line;
      this.pen.beginPath();
      this.pen.arc(x, y, radius, 0, 7);
      for (let ray = 0; ray < 8; ray += 1) {
        const [dx, dy] = [Math.cos((ray * Math.PI) / 4), Math.sin((ray * Math.PI) / 4)];
        this.pen.moveTo(x + dx * radius * 1.35, y + dy * radius * 1.35);
        this.pen.lineTo(x + dx * radius * 1.8, y + dy * radius * 1.8);
      }
      this.pen.stroke();
    }
  }

  /** Once, the lamp comes in from the side, so that what shines is seen to shine. */
  glide() {
    this.moved = true;
    const [from, began] = [{ x: -0.25, y: 0.5 }, performance.now()];
    const aim = { ...this.light };
    const step = (now) => {
      if (this.held) return;
      const part = Math.min(1, (now - began) / 1400);
      const eased = 1 - (1 - part) ** 3;
      this.light.x = from.x + (aim.x - from.x) * eased;
      this.light.y = from.y + (aim.y - from.y) * eased;
      this.shade();
      if (part < 1) requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }

  move(x, y, z = this.light.z) {
    this.held = true;
    const within = (value, least, most) => Math.min(most, Math.max(least, value));
    this.light = { x: within(x, -0.3, 1.3), y: within(y, -0.3, 1.3), z: within(z, 0.12, 1.5) };
    this.draw();
  }

  listen() {
    const { canvas } = this;
    const follow = (event) => {
      const box = canvas.getBoundingClientRect();
      this.move((event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
    };
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      follow(event);
    });
    canvas.addEventListener("pointermove", (event) => {
      // Who asked for less motion moves the lamp by hand.
      if (!calm() || event.buttons) follow(event);
    });
    canvas.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const { x, y, z } = this.light;
      const step = event.shiftKey ? 0.15 : 0.05;
      const keys = {
        ArrowLeft: [x - step, y],
        ArrowRight: [x + step, y],
        ArrowUp: [x, y - step],
        ArrowDown: [x, y + step],
        "+": [x, y, z * 1.2],
        "-": [x, y, z / 1.2],
        Home: [this.home.x, this.home.y, this.home.z],
      };
      const place = keys[event.key];
      if (!place) return;
      event.preventDefault();
      this.move(...place);
      this.tell();
    });
    for (const name of ["focus", "blur"]) canvas.addEventListener(name, () => this.draw());
    this.figure.addEventListener("change", (event) => {
      if (event.target.matches("input[data-plate]")) {
        this.build();
        this.marks();
      }
      if (event.target.matches("input[data-marks]")) this.marks();
    });
  }

  /** Says where the lamp stands, once the keys rest. */
  tell() {
    clearTimeout(this.telling);
    this.telling = setTimeout(() => {
      const { x, y, z } = this.light;
      const across = x < 0.34 ? "left" : x > 0.66 ? "right" : "middle";
      const down = y < 0.34 ? "upper" : y > 0.66 ? "lower" : "middle";
      const place = across === "middle" && down === "middle" ? "over the middle" : `at the ${down} ${across}`;
      this.heard.textContent = `The lamp stands ${place}, ${z > 0.8 ? "high" : z < 0.3 ? "low" : "at half height"}.`;
    }, 350);
  }

  /** Shows or hides the rings around places that fail. */
  marks() {
    const box = this.figure.querySelector("input[data-marks]");
    const marks = this.figure.querySelector(".marks");
    if (!marks) return;
    marks.classList.toggle("away", box !== null && !box.checked);
    for (const group of marks.querySelectorAll("[data-plate]")) {
      const plate = this.facts.plates.find((one) => String(one.index) === group.dataset.plate);
      group.classList.toggle("away", plate !== undefined && this.hidden(plate));
    }
  }
}

/** A picture of the page; null where there is none. */
async function fetched(address) {
  if (!address) return null;
  try {
    const answer = await fetch(address);
    return answer.ok ? await createImageBitmap(await answer.blob()) : null;
  } catch {
    return null;
  }
}

/** A plate on the screen's pixels: how much of each it covers, and how the surface leans there. */
function layer(plate, pixels, columns, rows, scale) {
  const count = columns * rows;
  const cover = new Float32Array(count);
  for (let index = 0; index < count; index += 1) cover[index] = pixels[index * 4 + 3] / 255;
  const [rise, width] = RELIEFS[plate.process] ?? RELIEFS.foil;
  const reach = Math.max(1, Math.round((width * scale) / 2));
  let height = cover;
  for (let pass = 0; pass < 2; pass += 1) height = blurred(height, columns, rows, reach);
  const metal = plate.process === "foil" && plate.colour !== "white" && plate.colour !== "clear";
  const places = [];
  for (let row = 0; row < rows; row += 1) {
    for (let column = 0; column < columns; column += 1) {
      const index = row * columns + column;
      const left = height[column > 0 ? index - 1 : index];
      const right = height[column + 1 < columns ? index + 1 : index];
      const up = height[row > 0 ? index - columns : index];
      const down = height[row + 1 < rows ? index + columns : index];
      const leans = Math.abs(right - left) + Math.abs(down - up) > 0.002;
      if (cover[index] > 0.004 || leans) places.push(index);
    }
  }
  const list = Uint32Array.from(places);
  const [leanX, leanY] = [new Float32Array(list.length), new Float32Array(list.length)];
  const part = new Float32Array(list.length);
  const slope = (rise * scale) / 2;
  list.forEach((index, place) => {
    const column = index % columns;
    const left = height[column > 0 ? index - 1 : index];
    const right = height[column + 1 < columns ? index + 1 : index];
    const up = height[index >= columns ? index - columns : index];
    const down = height[index + columns < count ? index + columns : index];
    // Rolled metal is never quite even: a fine unevenness, the same at every drawing.
    const grain = metal ? 0.016 * (hash(index) - 0.5) : 0;
    leanX[place] = -slope * (right - left) + grain;
    leanY[place] = -slope * (down - up) + (metal ? 0.016 * (hash(index + 7919) - 0.5) : 0);
    part[place] = cover[index];
  });
  return { process: plate.process, colour: plate.colour, list, leanX, leanY, part };
}

function shadeLayer(one, out, columns, scale, [lampX, lampY, lampZ], [eyeX, eyeY, eyeZ]) {
  const { list, leanX, leanY, part, process, colour } = one;
  const foil = process === "foil" && colour !== "clear" ? (FOILS[colour] ?? FOILS.silver) : null;
  const wet = process === "spot varnish" || (process === "foil" && colour === "clear");
  const enamel = colour === "white";
  for (let place = 0; place < list.length; place += 1) {
    const index = list[place];
    const x = (index % columns) / scale;
    const y = ((index / columns) | 0) / scale;
    let [lx, ly, lz] = [lampX - x, lampY - y, lampZ];
    const far = Math.hypot(lx, ly, lz);
    lx /= far;
    ly /= far;
    lz /= far;
    let [vx, vy, vz] = [eyeX - x, eyeY - y, eyeZ];
    const away = Math.hypot(vx, vy, vz);
    vx /= away;
    vy /= away;
    vz /= away;
    const tall = Math.hypot(leanX[place], leanY[place], 1);
    const [nx, ny, nz] = [leanX[place] / tall, leanY[place] / tall, 1 / tall];
    const [hx, hy, hz] = [lx + vx, ly + vy, lz + vz];
    const facing = (nx * hx + ny * hy + nz * hz) / Math.hypot(hx, hy, hz);
    const to = index * 4;
    const share = part[place];
    if (foil) {
      // What metal mirrors beside the lamp is a room that is lighter above than below.
      const mirror = 2 * (nx * vx + ny * vy + nz * vz);
      const room = enamel ? 0.82 : 0.43 - 0.3 * (mirror * ny - vy) + 0.1 * (mirror * nx - vx);
      const glow = room + (enamel ? 0.1 : 0.62) * at(BROAD, facing);
      const spark = (enamel ? 0.25 : 0.75) * at(TIGHT, facing);
      for (let channel = 0; channel < 3; channel += 1) {
        const shown = 255 * (foil[channel] * glow + spark * (0.5 + 0.5 * foil[channel]));
        out[to + channel] += (shown - out[to + channel]) * share;
      }
    } else if (wet) {
      // Varnish deepens the ink, and mirrors the lamp; the matt sheet around it does neither.
      const shine = 255 * (0.16 * at(BROAD, facing) + 0.72 * at(TIGHT, facing) + 0.25 * at(WET, facing)) * share;
      const tilt = (nx * lx + ny * ly) * 40;
      for (let channel = 0; channel < 3; channel += 1) {
        out[to + channel] = out[to + channel] * (1 - 0.13 * share) + shine + tilt;
      }
    } else {
      // Relief without ink: a side turned to the lamp is lighter, the other darker.
      const lit = (nx * lx + ny * ly + nz * lz) / Math.max(0.2, lz);
      const light = Math.min(1.5, Math.max(0.42, lit));
      const sheen = 26 * at(BROAD, facing) * (1 - nz) * 8;
      for (let channel = 0; channel < 3; channel += 1) out[to + channel] = out[to + channel] * light + sheen;
    }
  }
}

/** The mean over a square, rows first. */
function blurred(from, columns, rows, reach) {
  const across = new Float32Array(from.length);
  const out = new Float32Array(from.length);
  const wide = 2 * reach + 1;
  for (let row = 0; row < rows; row += 1) slide(from, across, row * columns, 1, columns, reach, wide);
  for (let column = 0; column < columns; column += 1) slide(across, out, column, columns, rows, reach, wide);
  return out;
}

function slide(from, out, start, step, count, reach, wide) {
  const value = (place) => from[start + Math.min(count - 1, Math.max(0, place)) * step];
  let sum = 0;
  for (let place = -reach; place <= reach; place += 1) sum += value(place);
  for (let place = 0; place < count; place += 1) {
    out[start + place * step] = sum / wide;
    sum += value(place + reach + 1) - value(place - reach);
  }
}

/** A number from 0 to 1 that is always the same for the same place. */
function hash(index) {
  let value = Math.imul(index ^ 0x9e3779b9, 0x85ebca6b);
  value = Math.imul(value ^ (value >>> 13), 0xc2b2ae35);
  return ((value ^ (value >>> 16)) >>> 0) / 4294967296;
}

const lamps = new Map();

function light() {
  for (const figure of document.querySelectorAll("[data-lamp]")) {
    const lamp = lamps.get(figure);
    if (lamp) lamp.read();
    else lamps.set(figure, new Lamp(figure));
  }
}

document.addEventListener("renewed", light);
light();
