// Small courtesies of every page: where the focus goes, what is said when something fails, what
// shows when it takes long, asking once before something that cannot be taken back.

import { sentenceOf, tokenOf } from "./answers.js";

// ---- more than a second ----

const working = document.getElementById("working");
const status = working?.querySelector("[data-words]");
let running = 0;
let timer;

function begin() {
  running += 1;
  clearTimeout(timer);
  timer = setTimeout(() => {
    document.body.classList.add("is-working");
    if (status) status.textContent = status.dataset.words;
  }, 1000);
}

function end() {
  running = Math.max(0, running - 1);
  if (running) return;
  clearTimeout(timer);
  document.body.classList.remove("is-working");
  if (status) status.textContent = "";
}

document.addEventListener("htmx:beforeRequest", begin);
document.addEventListener("htmx:afterRequest", end);
document.addEventListener("submit", (event) => {
  const sentByHtmx = event.target.hasAttribute("hx-post") || event.target.hasAttribute("hx-get");
  if (!sentByHtmx) setTimeout(() => !event.defaultPrevented && begin());
});
window.addEventListener("pageshow", (event) => {
  if (event.persisted) {
    running = 0;
    end();
  }
});

document.addEventListener("htmx:configRequest", (event) => {
  event.detail.headers["X-CSRFToken"] = tokenOf(document);
});

// ---- focus follows the work ----

function goesTo(target) {
  return (
    target.querySelector('[aria-invalid="true"]') ??
    target.querySelector(".form-errors") ??
    target.querySelector("[autofocus]") ??
    target.querySelector('h1[tabindex="-1"], h2[tabindex="-1"]')
  );
}

// In sight already: nothing on the page need move under the finger.
function focusOn(element) {
  if (!element) return;
  element.focus({ preventScroll: true });
  const box = element.getBoundingClientRect();
  if (box.top < 0 || box.bottom > window.innerHeight) element.scrollIntoView({ block: "center" });
}

document.addEventListener("htmx:afterSettle", (event) => {
  const by = event.detail.requestConfig?.triggeringEvent?.type;
  // An answer to typing must not take the cursor away.
  if (by !== "submit" && by !== "click") return;
  const target = event.detail.target?.isConnected
    ? event.detail.target
    : document.getElementById(event.detail.target?.id) ?? document.getElementById("main");
  focusOn(goesTo(target));
});

const wrong =
  document.querySelector('main [aria-invalid="true"]') ?? document.querySelector("main .form-errors");
focusOn(wrong);

// ---- the server says what is wrong, in words of ours and beside the field ----

function leaveToServer(root) {
  root.querySelectorAll?.('form[method="post"], form[hx-post]').forEach((form) => {
    form.noValidate = true;
  });
}

leaveToServer(document);
document.addEventListener("htmx:load", (event) => leaveToServer(event.detail.elt.parentNode ?? document));

// ---- the tab one stands on is in sight, also where the tabs do not fit ----

function showTab() {
  document.querySelectorAll(".sheets").forEach((tabs) => {
    const here = tabs.querySelector("[aria-current]");
    if (here) tabs.scrollLeft = here.offsetLeft - tabs.offsetLeft - tabs.clientWidth / 3;
  });
}

showTab();
document.addEventListener("htmx:afterSettle", showTab);

// ---- what failed, in words ----

function shout(sentence) {
  const room = document.getElementById("messages");
  if (!room || !sentence) return;
  const list = document.createElement("ul");
  list.className = "messages__list";
  list.dataset.shouted = "yes";
  const item = document.createElement("li");
  item.className = "message message--error";
  item.textContent = sentence;
  list.append(item);
  room.replaceChildren(list);
  room.scrollIntoView({ block: "nearest" });
}

// What was sent again has arrived: that the server could not be reached is no longer so.
document.addEventListener("htmx:afterRequest", (event) => {
  if (!event.detail.successful || event.detail.requestConfig?.verb !== "post" || isQuiet(event)) return;
  document.querySelector("#messages [data-shouted]")?.remove();
});

// What looks by itself whether something has changed is silent when it cannot: nobody asked.
function isQuiet(event) {
  return event.detail.elt?.hasAttribute?.("data-quiet");
}

document.addEventListener("htmx:responseError", (event) => {
  if (event.detail.xhr.status === 401) {
    // What is kept in the queue is spoken of there.
    if (!event.detail.elt?.closest?.("form[data-keep]")) shout(document.body.dataset.signedOut);
    return;
  }
  if (isQuiet(event)) return;
  shout(sentenceOf(event.detail.xhr.responseText) || document.body.dataset.broke);
});

for (const name of ["htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(name, (event) => {
    if (isQuiet(event) || event.detail.elt?.closest?.("form[data-keep]")) return;
    shout(document.body.dataset.unreached);
  });
}

document.addEventListener("server-unreached", () => shout(document.body.dataset.unreached));
document.addEventListener("signed-out-meanwhile", () => shout(document.body.dataset.signedOut));

// ---- asking once ----

document.addEventListener(
  "click",
  (event) => {
    const button = event.target.closest?.("button[data-sure]");
    if (!button || button.classList.contains("is-asked")) return;
    event.preventDefault();
    event.stopPropagation();
    const before = button.textContent;
    button.classList.add("is-asked");
    button.textContent = button.dataset.sure;
    setTimeout(() => {
      button.classList.remove("is-asked");
      button.textContent = before;
    }, 5000);
  },
  true,
);

// ---- a scanner types a number and Enter: on to the next field, and only the button sends ----

document.addEventListener("keydown", (event) => {
  const field = event.target;
  if (event.key !== "Enter" || !field.matches?.("input[data-enter='next']")) return;
  event.preventDefault();
  const fields = [...field.form.querySelectorAll("input[data-enter='next'], button:not([type='button'])")];
  fields[fields.indexOf(field) + 1]?.focus();
});

// ---- the keyboard ----

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") {
    document.querySelectorAll("details.person[open]").forEach((open) => (open.open = false));
    return;
  }
  const typing = event.target.closest?.("input, textarea, select, [contenteditable]");
  const leadsTo = { "/": "[data-slash]", ".": "[data-dot]" }[event.key];
  if (!leadsTo || typing || event.ctrlKey || event.metaKey || event.altKey) return;
  const box = document.querySelector(leadsTo);
  if (!box?.offsetParent) return;
  event.preventDefault();
  box.focus();
  box.select();
});

document.addEventListener("click", (event) => {
  document.querySelectorAll("details.person[open]").forEach((open) => {
    if (!open.contains(event.target)) open.open = false;
  });
});
