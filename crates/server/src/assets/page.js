// Every room: forms are sent without loading the page anew, the new page is laid over the old one
// so that focus, scroll and pictures stay, and work in hand is watched.

/** Sends a form to the book, with the value of the button that was pressed; resolves to whether it was done. What was said comes with the page. */
export async function act(form, button = null) {
  const fields = new FormData(form, button);
  const answer = await fetch(button?.hasAttribute("formaction") ? button.formAction : form.action, {
    method: "POST",
    body: form.enctype === "multipart/form-data" ? fields : new URLSearchParams(fields),
    headers: { Accept: "application/json" },
  });
  return answer.ok;
}

/** Sends a change of the running order or of a value, given as fields. */
export async function wish(fields) {
  const answer = await fetch("/edit", {
    method: "POST",
    body: new URLSearchParams({ room: document.body.dataset.room, ...fields }),
    headers: { Accept: "application/json" },
  });
  return answer.ok;
}

let renewing = Promise.resolve();

/** Fetches the page as it is now and lays it over this one. One at a time, in order. */
export function renew(address = location.href, focus = null) {
  renewing = renewing.then(() => renewNow(address, focus)).catch(() => unreachable());
  return renewing;
}

async function renewNow(address, focus) {
  const answer = await fetch(address, { headers: { Accept: "text/html" } });
  const next = new DOMParser().parseFromString(await answer.text(), "text/html");
  const active = focus ?? document.activeElement?.id;
  document.title = next.title;
  for (const selector of ["#head", "main"]) {
    const [old, now] = [document.querySelector(selector), next.querySelector(selector)];
    if (old && now) lay(old, now);
  }
  if (address !== location.href) history.replaceState(null, "", address);
  const element = active ? document.getElementById(active) : null;
  if (element && element !== document.activeElement) {
    element.focus({ preventScroll: !focus });
    if (focus) element.scrollIntoView({ block: "nearest", behavior: calm() ? "auto" : "smooth" });
  }
  watch();
  document.dispatchEvent(new CustomEvent("renewed"));
}

/** Whether the person asked for less motion. */
export function calm() {
  return matchMedia("(prefers-reduced-motion: reduce)").matches;
}

/** Makes `old` like `now`, keeping the elements that stay. Elements with an id are matched by it. */
function lay(old, now) {
  for (const { name } of [...old.attributes]) {
    // What is unfolded stays so.
    const unfolded = name === "open" && old.tagName === "DETAILS";
    if (!now.hasAttribute(name) && name !== "style" && !unfolded) old.removeAttribute(name);
  }
  for (const { name, value } of now.attributes) {
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
  if (old.tagName === "INPUT" && (old !== document.activeElement || old.type === "range")) old.value = now.getAttribute("value") ?? "";
  // What is ticked outside of forms is how the page is shown, and stays.
  if (old.tagName === "INPUT" && old.form) old.checked = now.hasAttribute("checked");
  if (old.tagName === "DETAILS") old.open = now.open || old.open;
  const known = new Map();
  for (const child of old.children) if (child.id) known.set(child.id, child);
  let place = old.firstChild;
  for (const child of [...now.childNodes]) {
    let match = null;
    if (child.nodeType === Node.ELEMENT_NODE && child.id) {
      match = known.get(child.id) ?? null;
    } else {
      // Among those without an id, the next of the same kind is the same.
      let candidate = place;
      while (candidate && candidate.nodeType === Node.ELEMENT_NODE && candidate.id) candidate = candidate.nextSibling;
      if (candidate && candidate.nodeType === child.nodeType && candidate.nodeName === child.nodeName) match = candidate;
    }
    if (match && match.nodeName === child.nodeName) {
      if (match === place) place = place.nextSibling;
      else old.insertBefore(match, place);
      if (match.nodeType === Node.ELEMENT_NODE) lay(match, child);
      else if (match.nodeValue !== child.nodeValue) match.nodeValue = child.nodeValue;
    } else {
      old.insertBefore(document.importNode(child, true), place);
    }
  }
  while (place) {
    const next = place.nextSibling;
    place.remove();
    place = next;
  }
  if (old.tagName === "SELECT" && old !== document.activeElement) {
    for (const option of old.options) option.selected = option.defaultSelected;
  }
}

/** Lays a part that was fetched alone over the one that is there. */
export const relay = lay;

/** Says something in the line for what was just done. */
export function say(text) {
  const said = document.getElementById("said");
  if (said) said.textContent = text;
}

export function unreachable() {
  say("Foredge does not answer. Is it still running in the terminal?");
}

// Forms.

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("[data-act], [data-work]")) return;
  event.preventDefault();
  await send(form, event.submitter);
});

document.addEventListener("change", async (event) => {
  const form = event.target.closest("form[data-auto]");
  if (form) await send(form);
});

const sending = new WeakSet();

/** Sends a form once, even where Enter means both a change and a submission. */
async function send(form, button = null) {
  if (sending.has(form)) return;
  sending.add(form);
  try {
    const done = await act(form, button);
    if (form.dataset.work !== undefined && done && form.action.endsWith("/stop")) return;
    // What was refused stays as it was typed, in forms of many fields.
    const typed = !done && form.dataset.keep !== undefined ? [...form.elements].map((field) => [field, field.value]) : [];
    await renew();
    if (typed.length) for (const [field, value] of typed) field.value = value;
    else if (!done) for (const field of form.querySelectorAll("input[type=text]")) field.value = field.defaultValue;
  } catch {
    unreachable();
  } finally {
    sending.delete(form);
  }
}

// Undo and redo by keyboard, unless words are being typed.

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "z") return;
  if (event.target.matches("input[type=text], textarea")) return;
  event.preventDefault();
  const form = document.getElementById(event.shiftKey ? "redo" : "undo")?.form;
  if (form) send(form);
});

// Work in hand.

let source = null;

function watch() {
  const running = document.querySelector("[data-running]");
  if (!running || source) return;
  source = new EventSource("/work/events");
  source.onmessage = ({ data }) => {
    const now = JSON.parse(data);
    if (now.state !== "running") {
      source.close();
      source = null;
      renew();
      return;
    }
    const [phase, meter, step] = ["phase", "meter", "step"].map((id) => document.getElementById(id));
    if (!meter) return;
    if (phase.textContent !== now.phase) phase.textContent = now.phase;
    if (now.total > 0) {
      meter.max = now.total;
      meter.value = now.done;
    }
    step.textContent = now.total > 0 ? `${now.done} of ${now.total}${now.what ? `: ${now.what}` : ""}` : now.what;
  };
  source.onerror = () => {
    if (source?.readyState === EventSource.CLOSED) {
      source = null;
      unreachable();
    }
  };
}

watch();
