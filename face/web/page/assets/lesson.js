// The lesson's form keeps itself: what is typed and the order of the items, shortly after each change. Items are dragged by their handle,
// or moved by the arrow keys on it. Without this script every button keeps all that is typed.

import { $, $$ } from "./workbook.js";

const form = $("#lesson"), list = $("#order"), said = $("#kept");
let timer, sending = false, dirty = false;

const items = () => $$("#order > li");
$$("[data-handle]").forEach((b) => { b.hidden = false; });

function changed() {
  dirty = true;
  said.textContent = "Not kept yet.";
  clearTimeout(timer);
  timer = setTimeout(keep, 700);
}

async function keep() {
  if (sending || !dirty) return;
  sending = true;
  dirty = false;
  const order = items().map((li) => li.dataset.number);
  form.elements.order.value = order.join(",");
  const body = new URLSearchParams(new FormData(form));
  body.set("act", "keep");
  try {
    const res = await fetch(form.action, { method: "POST", body, headers: { "X-Script": "1" } });
    const text = await res.text();
    if (!res.ok) throw new Error($(".why b", new DOMParser().parseFromString(text, "text/html"))?.textContent ?? "Not kept.");
    form.elements.revision.value = text;
    items().forEach((li, i) => renumber(li, i + 1));
    if (!dirty) said.textContent = "All is kept.";
  } catch (error) {
    dirty = true;
    said.textContent = error instanceof TypeError ? "Not kept: the workbook does not answer. Press Keep when it is back." : error.message;
  }
  form.elements.order.value = "";
  sending = false;
  if (dirty && said.textContent === "Not kept yet.") timer = setTimeout(keep, 700);
}

// renumber gives an item the number of its place, once the lesson is kept in that order.
function renumber(li, n) {
  li.dataset.number = n;
  li.id = "item-" + n;
  $("textarea", li).name = "note-" + n;
  $$("button[name=act]", li).forEach((b) => {
    const [act] = b.value.split("-");
    b.value = `${act}-${n}`;
    b.setAttribute("aria-label", { up: `Up: item ${n}`, down: `Down: item ${n}`, remove: `Take out item ${n}` }[act]);
  });
  $("[data-handle]", li).setAttribute("aria-label", `Move item ${n}: drag it, or press the arrow keys`);
  $("[data-place]", li).textContent = n;
}

form.addEventListener("input", changed);
form.addEventListener("submit", (e) => {
  form.elements.order.value = items().map((li) => li.dataset.number).join(",");
  clearTimeout(timer);
  dirty = false;
  if (sending) { e.preventDefault(); setTimeout(() => form.requestSubmit(e.submitter), 200); } // with the revision that comes of it
});
addEventListener("beforeunload", (e) => { if (dirty || sending) e.preventDefault(); });

list?.addEventListener("keydown", (e) => {
  if (!e.target.matches("[data-handle]") || !["ArrowUp", "ArrowDown"].includes(e.key)) return;
  e.preventDefault();
  const li = e.target.closest("li"), other = e.key === "ArrowUp" ? li.previousElementSibling : li.nextElementSibling;
  if (!other) return;
  if (e.key === "ArrowUp") other.before(li); else other.after(li);
  e.target.focus();
  changed();
});
list?.addEventListener("pointerdown", (e) => {
  if (!e.target.matches("[data-handle]")) return;
  e.preventDefault();
  const li = e.target.closest("li");
  li.classList.add("dragged");
  // The window listens: an item that changes its place in the page loses the pointer that its handle had captured.
  const over = new AbortController(), listen = (type, act) => addEventListener(type, (at) => { if (at.pointerId === e.pointerId) act(at); }, { signal: over.signal });
  const move = (at) => {
    const other = items().find((other) => { const r = other.getBoundingClientRect(); return other !== li && at.clientY >= r.top && at.clientY <= r.bottom; });
    if (!other) return;
    const r = other.getBoundingClientRect();
    if (other.compareDocumentPosition(li) & Node.DOCUMENT_POSITION_FOLLOWING) { if (at.clientY < r.top + r.height / 2) other.before(li); } else if (at.clientY > r.top + r.height / 2) other.after(li);
  };
  const end = () => {
    over.abort();
    li.classList.remove("dragged");
    if (items().some((other, i) => other.dataset.number !== String(i + 1))) changed();
  };
  listen("pointermove", move);
  listen("pointerup", end);
  listen("pointercancel", end);
});
