// What is being typed survives a reload until it has been sent. Kept in this browser tab only.

const kinds = 'textarea, select, input:not([type="hidden"], [type="password"], [type="file"])';

// A form says by data-draft what its draft belongs to; without it, its place on the page must do.
// A form that an answer has replaced has no place any more: its key is kept from before.
function keyOf(form) {
  if (!form.isConnected && form.dataset.draftKey) return form.dataset.draftKey;
  const address = form.getAttribute("hx-post") || form.getAttribute("action") || "";
  const nth = Array.from(document.forms).filter((other) => other.action === form.action);
  const which = form.dataset.draft || nth.indexOf(form);
  const key = `draft ${document.body.dataset.person ?? ""} ${location.pathname} ${address} ${which}`;
  form.dataset.draftKey = key;
  return key;
}

function kept(form) {
  return form.matches("form[data-keep], form[data-draft]");
}

function fieldsOf(form) {
  return Array.from(form.querySelectorAll(kinds)).filter((field) => field.name);
}

function valueOf(field) {
  return field.matches('[type="checkbox"], [type="radio"]') ? field.checked : field.value;
}

function changedFrom(field) {
  if (field.matches('[type="checkbox"], [type="radio"]')) return field.defaultChecked;
  if (field instanceof HTMLSelectElement) {
    const chosen = Array.from(field.options).find((option) => option.defaultSelected);
    return (chosen ?? field.options[0])?.value ?? "";
  }
  return field.defaultValue;
}

function remember(form) {
  const typed = fieldsOf(form)
    .filter((field) => valueOf(field) !== changedFrom(field))
    .map((field) => [field.name, field.type === "radio" ? field.value : null, valueOf(field)]);
  if (typed.length) sessionStorage.setItem(keyOf(form), JSON.stringify({ typed }));
  else sessionStorage.removeItem(keyOf(form));
}

function forget(form) {
  sessionStorage.removeItem(keyOf(form));
}

function restore(form) {
  const draft = JSON.parse(sessionStorage.getItem(keyOf(form)) ?? "null");
  if (!draft) return;
  const cameBack = performance.getEntriesByType("navigation")[0]?.type === "back_forward";
  const refused = form.querySelector('[aria-invalid="true"], .form-errors');
  if (draft.sent && !cameBack && !refused) {
    forget(form);
    return;
  }
  // What the server sends back with an error is what was typed last: leave it.
  if (refused) return;
  for (const [name, choice, value] of draft.typed) {
    const field = fieldsOf(form).find(
      (one) => one.name === name && (choice === null || one.value === choice),
    );
    if (!field) continue;
    if (typeof value === "boolean") field.checked = value;
    else field.value = value;
  }
}

function restoreAll(root) {
  root.querySelectorAll?.("form[data-keep], form[data-draft]").forEach(restore);
}

document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (form && kept(form)) remember(form);
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  const draft = kept(form) && sessionStorage.getItem(keyOf(form));
  if (draft && !form.hasAttribute("hx-post")) {
    sessionStorage.setItem(keyOf(form), JSON.stringify({ ...JSON.parse(draft), sent: true }));
  }
});

document.addEventListener("htmx:afterRequest", (event) => {
  // When the answer took the form's place, htmx names what stands there now in `elt`.
  const sender = event.detail.requestConfig?.elt ?? event.detail.elt;
  const form = sender?.closest?.("form");
  // What is only asked for (the form for another wheel, say) sends nothing: the draft goes on.
  const sent = event.detail.requestConfig?.verb === "post";
  if (sent && form && kept(form) && event.detail.successful) forget(form);
});

// It waits in the tablet's queue now; a draft of it would only be sent twice.
document.addEventListener("entry-kept", (event) => forget(event.target));

document.addEventListener("htmx:load", (event) => {
  if (event.detail.elt !== document.body) restoreAll(event.detail.elt);
});

restoreAll(document);
