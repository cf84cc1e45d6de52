// Entries of the Bay that the network did not take: kept on this tablet for this person, shown as
// waiting, sent once and in order when the network is back. The act's UUID goes with each, so a
// sending whose answer was lost is recorded once. A refusal is shown with what was typed.

import { readAnswer, tokenOf } from "./answers.js";

const strip = document.getElementById("waiting");
const words = strip?.dataset ?? {};
const person = document.body.dataset.person;
const prefix = "stubaxle waiting ";
const slot = prefix + person;
const retryAfter = 15_000;
let sending = false;
let justSent = 0;
let broughtTo = "";
let signedOut = false;

function entries(of = slot) {
  try {
    return JSON.parse(localStorage.getItem(of) ?? "[]");
  } catch {
    return [];
  }
}

function store(list) {
  if (list.length) localStorage.setItem(slot, JSON.stringify(list));
  else localStorage.removeItem(slot);
}

function change(id, to) {
  store(entries().flatMap((entry) => (entry.id !== id ? [entry] : to ? [{ ...entry, ...to }] : [])));
}

// ---- keeping ----

function textOf(element) {
  return element.textContent.replace(/\s+/g, " ").trim();
}

// "" where there is no label: the unit beside a number, say.
function labelOf(field) {
  const label = field.labels?.[0]?.cloneNode(true);
  label?.querySelectorAll(".field__optional").forEach((said) => said.remove());
  return label ? textOf(label) : "";
}

function isLeft(field) {
  const before = Array.from(field.options).find((option) => option.defaultSelected);
  return field.selectedOptions[0] === (before ?? field.options[0]);
}

// What the person typed, in the order of the form. A choice that nobody touched beside a field that
// was left empty says nothing.
function shownOf(form, submitter) {
  const parts = [];
  let empty = false;
  for (const field of form.elements) {
    if (!field.name || field.type === "hidden" || field.tagName === "BUTTON") continue;
    if (/checkbox|radio/.test(field.type)) {
      if (field.checked) parts.push(labelOf(field));
      continue;
    }
    const chosen = field.selectedOptions?.[0];
    if (!chosen) empty = !field.value.trim();
    if (!field.value.trim() || (chosen && empty && isLeft(field))) continue;
    const [label, value] = [labelOf(field), chosen ? textOf(chosen) : field.value.trim()];
    if (!label && parts.length) parts.push(`${parts.pop()} ${value}`);
    else parts.push(label ? `${label}: ${value}` : value);
  }
  if (submitter) parts.push(textOf(submitter));
  return parts.filter(Boolean).join(" · ");
}

function keep(form) {
  const { submitter, data } = sent.get(form) ?? { data: new FormData(form) };
  data.delete("csrfmiddlewaretoken");
  const id = data.get("act");
  const entry = {
    id,
    url: submitter?.getAttribute("hx-post") || form.getAttribute("hx-post") || form.action,
    page: location.href,
    after: form.dataset.after,
    what: form.dataset.keep,
    shown: shownOf(form, submitter),
    fields: Array.from(data).filter(([, value]) => typeof value === "string"),
    at: new Date().toISOString(),
    state: "waiting",
  };
  // The same form sent again before it went out is the same act with a better answer.
  const list = entries().filter((other) => other.id !== id);
  store([...list, entry]);
  form.dispatchEvent(new CustomEvent("entry-kept", { bubbles: true }));
  say(form);
  draw();
}

function say(form) {
  let note = form.querySelector(".waiting__note");
  if (!note) {
    note = document.createElement("p");
    note.className = "notice waiting__note";
    note.setAttribute("role", "status");
    form.append(note);
  }
  note.textContent = words.kept;
}

// Taken at the tap: once its button is disabled for the sending, a form no longer tells it.
const sent = new WeakMap();

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!form.matches("form[data-keep]")) return;
    const submitter = event.submitter;
    sent.set(form, { submitter, data: new FormData(form, submitter) });
    if (!navigator.onLine && !form.hasAttribute("hx-post")) {
      event.preventDefault();
      keep(form);
    }
  },
  true,
);

function keepAfter(event) {
  const form = event.detail.elt?.closest?.("form[data-keep]");
  if (form && person) keep(form);
}

for (const name of ["htmx:sendError", "htmx:timeout"]) document.addEventListener(name, keepAfter);

// Somebody who goes on before the answer is here cuts it off: sent again, it counts once.
window.addEventListener("pagehide", () => {
  if (!person) return;
  document.querySelectorAll('form[data-keep][hx-post][aria-busy="true"]').forEach(keep);
});

document.addEventListener("htmx:responseError", (event) => {
  // Signed out meanwhile, or the server is just being started again: keep it, it goes out later.
  const { status } = event.detail.xhr;
  signedOut = status === 401;
  if ([401, 502, 503, 504].includes(status)) keepAfter(event);
});

// ---- sending ----

async function post(entry) {
  const body = new URLSearchParams(entry.fields);
  const response = await fetch(entry.url, {
    method: "POST",
    body,
    headers: { "HX-Request": "true", "X-CSRFToken": tokenOf(document), "X-Waited": entry.at },
    signal: AbortSignal.timeout?.(20_000),
  });
  return readAnswer(response);
}

async function sendAll() {
  if (sending || !person || !navigator.onLine) return;
  if (!entries().some((entry) => entry.state === "waiting")) return;
  sending = true;
  draw();
  try {
    for (;;) {
      const entry = entries().find((one) => one.state === "waiting");
      if (!entry) break;
      const answer = await post(entry);
      if (answer.kind === "later") {
        signedOut = answer.signedOut;
        break;
      }
      signedOut = false;
      if (answer.kind === "taken") {
        change(entry.id, null);
        justSent += 1;
        const here = new URL(entry.page).pathname === location.pathname;
        if (here) broughtTo = entry.after || location.href;
      } else {
        change(entry.id, { state: "refused", says: answer.says });
      }
    }
  } catch {
    // Still no network: the timer tries again.
  }
  sending = false;
  draw();
  if (broughtTo && !entries().length && nothingTyped()) show(broughtTo);
}

// Where what was sent can be seen: as a rule the page it was typed on.
function show(address) {
  const found = new URL(address, location.href);
  if (found.pathname === location.pathname) location.reload();
  else location.assign(found);
}

// A reload would cost nothing that was typed meanwhile; it shows what the entries brought.
function nothingTyped() {
  return !Object.keys(sessionStorage).some((key) => key.startsWith("draft "));
}

// One tab sends, however many are open on the tablet.
function send() {
  if (navigator.locks) {
    navigator.locks.request("stubaxle sending", { ifAvailable: true }, (lock) => lock && sendAll());
  } else {
    sendAll();
  }
}

// ---- showing ----

function part(name, text, className = "") {
  const element = document.createElement(name);
  element.textContent = text;
  element.className = className;
  return element;
}

function button(text, does) {
  const made = part("button", text, "button");
  made.type = "button";
  made.addEventListener("click", does);
  return made;
}

function way(text, address) {
  const made = part("a", text, "button");
  made.href = address;
  return made;
}

function line(entry) {
  const item = document.createElement("li");
  const at = new Date(entry.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  item.append(part("p", `${entry.what} · ${words.typed} ${at}`));
  item.append(part("p", entry.shown, "waiting__typed"));
  if (entry.state !== "refused") return item;
  item.append(part("p", `${words.refused} ${entry.says}`, "waiting__says"));
  const actions = part("div", "", "actions");
  const drop = button(words.drop, () => {
    if (drop.classList.contains("is-asked")) {
      change(entry.id, null);
      draw();
      return;
    }
    drop.classList.add("is-asked");
    drop.textContent = words.sure;
  });
  actions.append(way(words.open, entry.page), drop);
  item.append(actions);
  return item;
}

function headline(list) {
  const waiting = list.filter((entry) => entry.state === "waiting").length;
  if (sending) return words.sending;
  const count = waiting === 1 ? words.one : words.many.replace("#", waiting);
  if (waiting) return signedOut ? `${count} ${words.signedOut}` : count;
  return list.length ? words.refused.replace(/:$/, "") : words.sent;
}

function others() {
  return Object.keys(localStorage).some((key) => key.startsWith(prefix) && key !== slot);
}

function draw() {
  if (!strip) return;
  const list = person ? entries() : [];
  const forOthers = others();
  strip.hidden = !list.length && !justSent && !forOthers;
  strip.classList.toggle(
    "waiting--refused",
    list.some((entry) => entry.state === "refused"),
  );
  strip.replaceChildren();
  if (strip.hidden) return;
  if (list.length || justSent) {
    const head = part("div", "", "waiting__head");
    head.append(part("p", headline(list)));
    if (signedOut) head.append(way(words.signIn, `${words.signInAt}?next=${location.pathname}`));
    else if (list.some((entry) => entry.state === "waiting")) head.append(button(words.send, send));
    else if (justSent) head.append(button(words.again, () => location.reload()));
    const lines = document.createElement("ol");
    lines.append(...list.map(line));
    strip.append(head, lines);
  }
  if (forOthers) strip.append(part("p", words.other, "small"));
}

window.addEventListener("online", send);
window.addEventListener("storage", draw);
setInterval(send, retryAfter);
draw();
send();
