// Every sending is one act with one UUID, made here on the tablet. A form that is shown anew gets
// a fresh one; a form that is still on the page because its sending failed keeps its own, so that
// tapping again cannot record twice.

// crypto.randomUUID is missing on plain http, where workshop tablets live.
function newAct() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [8, 12, 16, 20].reduceRight((id, at) => `${id.slice(0, at)}-${id.slice(at)}`, hex);
}

function giveActs(root) {
  const inputs = root.querySelectorAll?.('input[type="hidden"][name="act"]') ?? [];
  for (const input of inputs) {
    if (!input.dataset.own) {
      input.value = newAct();
      input.dataset.own = "yes";
    }
  }
}

function buttonsOf(form) {
  return form.querySelectorAll('button:not([type="button"]), input[type="submit"]');
}

function busy(form) {
  form.setAttribute("aria-busy", "true");
  // Disabled only after the sending has been put together: a button's own name belongs to it.
  setTimeout(() => buttonsOf(form).forEach((button) => (button.disabled = true)));
}

function free(form) {
  form.removeAttribute("aria-busy");
  setTimeout(() => buttonsOf(form).forEach((button) => (button.disabled = false)));
}

function formOf(event) {
  return event.detail?.elt?.closest?.("form");
}

// Caught on its way down, before htmx hears of it: a second tap is not a second sending.
document.addEventListener(
  "submit",
  (event) => {
    if (event.target.getAttribute("aria-busy") !== "true") return;
    event.preventDefault();
    event.stopImmediatePropagation();
  },
  true,
);

document.addEventListener("submit", (event) => {
  const form = event.target;
  const sentByHtmx = form.hasAttribute("hx-post") || event.submitter?.hasAttribute("hx-post");
  if (form.method === "post" && !sentByHtmx) {
    // After every other listener has had its say.
    setTimeout(() => !event.defaultPrevented && busy(form));
  }
});

document.addEventListener("htmx:beforeRequest", (event) => {
  const form = formOf(event);
  if (form && event.detail.requestConfig.verb === "post") busy(form);
});

document.addEventListener("htmx:afterRequest", (event) => {
  const form = formOf(event);
  if (!form || event.detail.requestConfig.verb !== "post") return;
  free(form);
  // Answered and still here (the answer went elsewhere on the page): the next act is another one.
  if (event.detail.successful) {
    form.querySelectorAll('input[name="act"]').forEach((input) => delete input.dataset.own);
    giveActs(form);
  }
});

document.addEventListener("htmx:load", (event) => giveActs(event.detail.elt));

// Coming back to a page the browser kept: what was sent from it has been sent.
window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  document.querySelectorAll("form[aria-busy]").forEach((form) => {
    free(form);
    form.querySelectorAll('input[name="act"]').forEach((input) => delete input.dataset.own);
  });
  giveActs(document);
});

giveActs(document);
