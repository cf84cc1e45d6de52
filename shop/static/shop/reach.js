// A form that the browser sends by itself leaves its page behind, and with it what was typed, when
// nobody answers, or when the person has been signed out meanwhile. So the server is asked first
// whether it is there and knows who asks; only then does the form go out.

import { tokenOf } from "./answers.js";

const patience = 8_000;
const asking = new WeakSet();
const answered = new WeakSet();

function goesByItself(form, submitter) {
  const byHtmx = "[hx-post], [hx-get]";
  return form.method === "post" && !form.matches(byHtmx) && !submitter?.matches(byHtmx);
}

// "" when the form may go, else the name of the event that tells why not.
async function hindered() {
  const { alive, person } = document.body.dataset;
  try {
    const asked = { cache: "no-store", signal: AbortSignal.timeout?.(patience) };
    const answer = await fetch(alive, asked);
    if (!answer.ok) return "server-unreached";
    return person && !answer.headers.has("X-Signed-In") ? "signed-out-meanwhile" : "";
  } catch {
    return "server-unreached";
  }
}

// Who has signed in again in another tab has another token there than when this page was made.
function renewToken(form) {
  const field = form.querySelector('input[name="csrfmiddlewaretoken"]');
  const token = tokenOf(document);
  if (field && token) field.value = token;
}

async function ask(form, submitter) {
  asking.add(form);
  form.setAttribute("aria-busy", "true");
  const why = await hindered();
  form.removeAttribute("aria-busy");
  asking.delete(form);
  if (why) {
    form.dispatchEvent(new CustomEvent(why, { bubbles: true }));
    return;
  }
  renewToken(form);
  answered.add(form);
  form.requestSubmit(submitter);
  answered.delete(form);
}

// Caught on its way down, so that nothing else takes it for sent.
document.addEventListener(
  "submit",
  (event) => {
    const { target: form, submitter } = event;
    if (answered.has(form) || !goesByItself(form, submitter)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (!asking.has(form)) ask(form, submitter);
  },
  true,
);
