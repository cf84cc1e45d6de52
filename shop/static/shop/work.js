// Filling in many numbers: a row pasted into one box spreads over those after it, and a file that is
// larger than is taken is said to be so before it is sent. A file once chosen stays chosen when the
// form comes back with a question.

const between = /[\s;]+/;

document.addEventListener("paste", (event) => {
  const room = event.target.closest?.("[data-spread]");
  const text = event.clipboardData?.getData("text").trim() ?? "";
  const parts = text.split(between).filter(Boolean);
  if (!room || parts.length < 2) return;
  const boxes = Array.from(room.querySelectorAll("input"));
  const rest = boxes.slice(boxes.indexOf(event.target));
  event.preventDefault();
  parts.slice(0, rest.length).forEach((part, nth) => {
    rest[nth].value = part;
    rest[nth].dispatchEvent(new Event("input", { bubbles: true }));
  });
});

function tooLarge(field) {
  const file = field.files?.[0];
  return Boolean(file) && file.size > Number(field.dataset.most);
}

function say(field) {
  const row = field.parentElement;
  row.querySelector(".errorlist--file")?.remove();
  field.toggleAttribute("aria-invalid", tooLarge(field));
  if (!tooLarge(field)) return;
  const list = document.createElement("ul");
  list.className = "errorlist errorlist--file";
  list.setAttribute("role", "alert");
  const line = document.createElement("li");
  line.textContent = field.dataset.tooLarge;
  list.append(line);
  field.after(list);
}

document.addEventListener("change", (event) => {
  if (event.target.matches?.('input[type="file"][data-most]')) say(event.target);
});

// Caught on its way down, before anything of it is sent.
document.addEventListener(
  "submit",
  (event) => {
    const field = event.target.querySelector?.('input[type="file"][data-most]');
    if (!field || !tooLarge(field)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    say(field);
    field.focus();
  },
  true,
);

// A file field comes back empty from the server, always: give it what stood in the one before it.
let held = null;

document.addEventListener("htmx:beforeSwap", (event) => {
  const field = event.target.querySelector?.('input[type="file"][data-most]');
  held = field?.files.length ? { files: field.files, at: field.form.dataset.draft } : null;
});

document.addEventListener("htmx:afterSettle", () => {
  const field = document.querySelector('input[type="file"][data-most]');
  if (held && field && field.form.dataset.draft === held.at) field.files = held.files;
  held = null;
});
