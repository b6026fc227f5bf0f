// The script of the teacher's screen: regions that change by themselves, acts without a reload, the clock, and whether
// the workbook still answers. Without it every act is a plain form.

const $ = (selector, from = document) => from.querySelector(selector);
const $$ = (selector, from = document) => [...from.querySelectorAll(selector)];

const desk = $("#desk"), connection = $("#connection"), refusal = $("#refusal");
const shown = {}; // region to its HTML
let source, heard = 0, begun = 0, tries = 0, retry, offset = 0, deadline = 0;

// the connection

function connect() {
  clearTimeout(retry);
  source?.close();
  begun = Date.now();
  source = new EventSource(desk.dataset.live);
  source.onmessage = (e) => { alive(); apply(JSON.parse(e.data)); };
  source.addEventListener("beat", (e) => { alive(); offset = Number(e.data) - performance.now(); });
  source.onerror = () => { lose(); again(); };
}
function again() {
  source?.close();
  clearTimeout(retry);
  retry = setTimeout(connect, Math.min(250 * 2 ** tries++, 2000));
}
function alive() {
  heard = Date.now();
  tries = 0;
  link(false, "Connected. This screen changes by itself.");
}
function lose() { link(true, "No connection to the workbook. The class is kept; this screen goes on when it is back."); }
function link(lost, text) {
  if (connection.textContent === text) return;
  connection.textContent = text;
  connection.classList.toggle("lost", lost);
}
setInterval(() => { if (Math.abs(Date.now() - Math.max(heard, begun)) > 9000) { lose(); again(); } }, 1000);
addEventListener("pageshow", () => { if (Date.now() - heard > 4000) connect(); });
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible" && Date.now() - heard > 4000) connect(); });

// the regions

function apply(state) {
  offset = state.now - performance.now();
  deadline = state.deadline ?? 0;
  for (const [name, html] of Object.entries(state.regions)) {
    if (shown[name] === html) continue;
    shown[name] = html;
    swap($(`[data-region=${name}]`), html);
  }
}
// swap changes a region, and leaves what was opened, ticked, typed and focused by hand as it is.
function swap(region, html) {
  const details = Object.fromEntries($$("details[id]", region).map((d) => [d.id, d.open]));
  const ticked = $$("input:checked", region).map((i) => i.name + "=" + i.value);
  const texts = Object.fromEntries($$("input:not([type=checkbox]):not([type=radio]):not([type=hidden])", region).map((i) => [i.name, i.value]));
  const picked = Object.fromEntries($$("select", region).map((s) => [s.name, s.value]));
  const at = region.contains(document.activeElement) ? place(document.activeElement) : null;
  region.innerHTML = html;
  $$("details[id]", region).forEach((d) => { if (d.id in details) d.open = details[d.id]; });
  $$("input[type=checkbox]", region).forEach((i) => { i.checked = ticked.includes(i.name + "=" + i.value); });
  Object.entries(texts).forEach(([name, value]) => { const i = $(`input[name="${CSS.escape(name)}"]`, region); if (i) i.value = value; });
  Object.entries(picked).forEach(([name, value]) => { const s = $(`select[name="${CSS.escape(name)}"]`, region); if (s && [...s.options].some((o) => o.value === value)) s.value = value; });
  if (at) $$("button, input, select, summary, a", region).find((el) => place(el) === at)?.focus();
  follow();
}
const place = (el) => [el.tagName, el.name ?? "", el.value ?? "", el.tagName === "SUMMARY" || el.tagName === "BUTTON" ? el.textContent : ""].join("|");

// following one choice, or two

function follow() {
  const button = $("[data-follow]");
  if (!button) return;
  const n = $$("#follow input[name=choice]:checked").length;
  button.disabled = n < 1 || n > 2;
  button.textContent = ["Tick one to follow, or two", "Follow this", "Follow these two as forks"][n] ?? "Two at most can be followed";
}
document.addEventListener("change", (e) => { if (e.target.name === "choice") follow(); });

// acts

document.addEventListener("submit", async (e) => {
  const form = e.target.closest("form[data-act]");
  if (!form) return;
  e.preventDefault();
  const body = new URLSearchParams(new FormData(form, e.submitter));
  say("");
  if (e.submitter) e.submitter.disabled = true;
  if (form.matches(".next")) $("#joinbox")?.removeAttribute("open"); // the rack needs the room; one press shows the code again
  try {
    const res = await fetch(form.getAttribute("action"), { method: "POST", body, headers: { "X-Script": "1" }, signal: AbortSignal.timeout(10000) });
    if (!res.ok) say($(".why b", new DOMParser().parseFromString(await res.text(), "text/html"))?.textContent ?? "Not done.");
  } catch {
    say("Not done: the workbook does not answer. Try again when it is back.");
  }
  if (e.submitter) e.submitter.disabled = false;
  follow();
});
function say(text) {
  refusal.hidden = !text;
  refusal.replaceChildren();
  if (text) refusal.append(Object.assign(document.createElement("b"), { textContent: text }));
}

// the clock

setInterval(() => {
  const clock = $("[data-clock]");
  if (!clock) return;
  const left = deadline ? Math.max(0, Math.ceil((deadline - performance.now() - offset) / 1000)) : -1;
  clock.textContent = left < 0 ? "" : `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")} left`;
}, 250);

follow();
connect();
