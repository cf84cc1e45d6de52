// A form that the browser sends by itself leaves its page behind, and with it what was typed, when
// nobody answers. So the server is asked first whether it is there; only then does the form go out.

const patience = 8_000;
const asking = new WeakSet();
const answered = new WeakSet();

function goesByItself(form, submitter) {
  const byHtmx = "[hx-post], [hx-get]";
  return form.method === "post" && !form.matches(byHtmx) && !submitter?.matches(byHtmx);
}

async function isThere() {
  try {
    const asked = { cache: "no-store", signal: AbortSignal.timeout?.(patience) };
    return (await fetch(document.body.dataset.alive, asked)).ok;
  } catch {
    return false;
  }
}

async function ask(form, submitter) {
  asking.add(form);
  form.setAttribute("aria-busy", "true");
  const there = await isThere();
  form.removeAttribute("aria-busy");
  asking.delete(form);
  if (!there) {
    form.dispatchEvent(new CustomEvent("server-unreached", { bubbles: true }));
    return;
  }
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
