// Signing on the tablet: strokes of a finger, a pen or a mouse over a hidden input. The input
// holds them as "x,y x,y;x,y x,y" in whole units of the pad, which the server checks again.

const NEAR = 3; // units between two points that are kept

function parts(pad) {
  const box = pad.closest("[data-signature]");
  return {
    box,
    input: box.querySelector("input"),
    line: box.querySelector(".signature__path"),
    said: box.querySelector("[data-signature-said]"),
  };
}

function strokesOf(input) {
  if (!input.value) return [];
  return input.value.split(";").map((stroke) => stroke.split(" ").map((at) => at.split(",").map(Number)));
}

function show(pad, strokes) {
  const { input, line } = parts(pad);
  input.value = strokes.map((stroke) => stroke.map((at) => at.join(",")).join(" ")).join(";");
  line.setAttribute("d", strokes.map(drawn).join(""));
}

function drawn(stroke) {
  const [first, ...rest] = stroke;
  const on = rest.length ? rest : [first];
  return `M${first[0]} ${first[1]}` + on.map(([x, y]) => `L${x} ${y}`).join("");
}

// The pad keeps its shape whatever its width is, so one scale holds for both directions.
function pointOf(pad, event) {
  const { left, top, width, height } = pad.getBoundingClientRect();
  const { width: wide, height: high } = pad.viewBox.baseVal;
  const within = (value, most) => Math.max(0, Math.min(most, Math.round(value)));
  return [
    within(((event.clientX - left) / width) * wide, wide),
    within(((event.clientY - top) / height) * high, high),
  ];
}

let drawing = null; // { pad, id, strokes }

document.addEventListener("pointerdown", (event) => {
  const pad = event.target.closest?.(".signature__pad");
  if (!pad || drawing || (event.pointerType === "mouse" && event.button !== 0)) return;
  const { box, input } = parts(pad);
  const strokes = strokesOf(input);
  if (strokes.length >= Number(box.dataset.strokes)) return;
  event.preventDefault();
  pad.setPointerCapture(event.pointerId);
  strokes.push([pointOf(pad, event)]);
  drawing = { pad, id: event.pointerId, strokes, most: Number(box.dataset.points) };
  show(pad, strokes);
});

document.addEventListener("pointermove", (event) => {
  if (!drawing || event.pointerId !== drawing.id) return;
  const { pad, strokes, most } = drawing;
  const stroke = strokes[strokes.length - 1];
  // A tablet gathers several places into one event; all of them make the line smooth.
  const all = event.getCoalescedEvents?.() ?? [];
  for (const one of all.length ? all : [event]) {
    const [x, y] = pointOf(pad, one);
    const [lastX, lastY] = stroke[stroke.length - 1];
    const room = strokes.reduce((sum, each) => sum + each.length, 0) < most;
    if (room && Math.hypot(x - lastX, y - lastY) >= NEAR) stroke.push([x, y]);
  }
  show(pad, strokes);
});

function end(event) {
  if (!drawing || event.pointerId !== drawing.id) return;
  const { input } = parts(drawing.pad);
  drawing = null;
  input.dispatchEvent(new Event("change", { bubbles: true }));
}
document.addEventListener("pointerup", end);
document.addEventListener("pointercancel", end);

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-signature-do]");
  if (!button) return;
  const pad = button.closest("[data-signature]").querySelector(".signature__pad");
  const { input, said } = parts(pad);
  const undo = button.dataset.signatureDo === "undo";
  show(pad, undo ? strokesOf(input).slice(0, -1) : []);
  said.textContent = undo ? said.dataset.undone : said.dataset.cleared;
  input.dispatchEvent(new Event("change", { bubbles: true }));
});
