// The script of a reader's page, behind the workbook's own: what links and forms ask goes to the engine, which runs in a worker,
// and the page that comes back is shown. Judgements are played by more workers, which this script joins.

const main = $("#main"), trouble = $("#trouble"), keptKey = "secondpass " + $("#content").dataset.exercise;
const say = (text) => { trouble.textContent = text; };

// the engine: unpacked once, compiled while it is

function unpacked(text) {
  // Ascii85, five letters for four bytes, with v in place of <; z are four zeros. It is the densest that stands in any page.
  const out = new Uint8Array(Math.ceil(text.length * 4)), view = new DataView(out.buffer);
  let n = 0, value = 0, count = 0;
  for (let i = 0; i < text.length; i++) {
    let c = text.charCodeAt(i);
    if (c <= 32) continue;
    if (c === 122) { n += 4; continue; }
    if (c === 118) c = 60;
    value = value * 85 + c - 33;
    if (++count === 5) { view.setUint32(n, value); n += 4; value = count = 0; }
  }
  if (count > 0) {
    for (let i = count; i < 5; i++) value = value * 85 + 84;
    const last = new DataView(new ArrayBuffer(4));
    last.setUint32(0, value);
    for (let i = 0; i < count - 1; i++) out[n++] = last.getUint8(i);
  }
  return out.subarray(0, n);
}

// the engine is in the page, or in a file that the pages of a folder share
const carried = globalThis.secondpassEngine ?? { engine: $("#engine").textContent, worker: $("#worker").textContent };
$("#engine")?.remove();

const compiled = (async () => {
  await new Promise((done) => setTimeout(done)); // the rack is seen first
  const stream = new Blob([unpacked(carried.engine)]).stream().pipeThrough(new DecompressionStream("gzip"));
  delete carried.engine;
  return WebAssembly.compileStreaming(new Response(stream, { headers: { "content-type": "application/wasm" } }));
})();
const workerCode = URL.createObjectURL(new Blob([carried.worker], { type: "text/javascript" }));
const content = $("#content").textContent;

async function engine(given, hear) {
  const module = await compiled, worker = new Worker(workerCode);
  worker.onmessage = ({ data }) => hear(JSON.parse(data), worker);
  worker.onerror = (event) => hear({ failed: event.message }, worker);
  worker.postMessage({ module, content, kept: memory.get(keptKey) ?? "", ...given });
  return worker;
}

// asking the book

const waiting = new Map();
let asked = 0, start;
const book = new Promise((ready, failed) => {
  engine({ role: "book" }, (message, worker) => {
    if (message.start) { start = message.start; ready(worker); return; }
    if (message.failed || message.ended) {
      if (!trouble.textContent.startsWith("The page has stopped")) say(`The page has stopped: ${message.failed ?? "its engine ended"}. Load it again; what you did is kept.`);
      failed(message.failed);
      return;
    }
    if (message.kept) memory.set(keptKey, message.kept);
    waiting.get(message.n)?.(message);
    waiting.delete(message.n);
  }).catch((error) => { say(`This browser cannot run the page: ${error}. A current one can.`); failed(error); });
});
book.catch(() => {});

async function ask(question) {
  const soon = setTimeout(() => say("One moment."), 300);
  try {
    const worker = await book, n = ++asked;
    return await new Promise((done) => { waiting.set(n, done); worker.postMessage(JSON.stringify({ n, ...question })); });
  } finally {
    clearTimeout(soon);
    if (trouble.textContent === "One moment.") say("");
  }
}

// pages: an address of the workbook stands behind # in that of the file

let here = "";

async function go(path, { post = false, form = "", push = true, stay = false } = {}) {
  const soFar = post && new URLSearchParams(form).get("act") === "stop" ? await stopped() : "";
  const page = await ask({ post, path, form });
  if (page.file) { save(page.file); return; }
  if (page.halt) halt();
  if (page.path !== here && push) history.pushState(null, "", "#" + page.path);
  here = page.path;
  show(page, stay);
  if (soFar) stand(soFar);
  if (page.judge) judge(page.path, page.judge, page.alone);
}

function show(page, stay) {
  const top = scrollY;
  document.title = page.title;
  main.innerHTML = page.html;
  main.classList.toggle("wide", page.wide ?? false);
  settle();
  if (stay) { scrollTo(0, top); return; }
  scrollTo(0, 0);
  ($("[autofocus]", main) ?? main).focus({ preventScroll: true });
}

// the fonts of the page, for pictures that stand alone
const fontFaces = () => [...document.styleSheets[0].cssRules].filter((rule) => rule instanceof CSSFontFaceRule).map((rule) => rule.cssText).join("");

function save({ name, type, text }) {
  if (type === "image/svg+xml") text = text.replace(/>/, `><style>${fontFaces()}</style>`);
  const link = Object.assign(document.createElement("a"), { href: URL.createObjectURL(new Blob([text], { type })), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

const pathOf = (address) => address.slice(Math.max(0, address.indexOf("/exercises/")));

document.addEventListener("click", (e) => {
  const link = e.target.closest("a[href]"), copy = e.target.closest("[data-copy-code]");
  if (copy) copied(copy);
  if (!link || e.defaultPrevented || e.ctrlKey || e.metaKey || e.shiftKey) return;
  const to = link.getAttribute("href");
  if (to.startsWith("#")) {
    const target = $(to);
    if (target) { e.preventDefault(); target.tabIndex = -1; target.focus(); target.scrollIntoView(); }
  } else if (to.startsWith("/")) {
    e.preventDefault();
    go(to);
  }
});

document.addEventListener("submit", (e) => {
  if (e.defaultPrevented) return; // the workbook's script pins in place, see fetch
  e.preventDefault();
  const by = e.submitter, form = e.target;
  const method = (by?.getAttribute("formmethod") ?? form.getAttribute("method") ?? "get").toLowerCase();
  const path = by?.getAttribute("formaction") ?? form.getAttribute("action") ?? here;
  const fields = new URLSearchParams(new FormData(form, by)).toString();
  if (by?.dataset.ask && !confirm(by.dataset.ask)) return;
  if (method === "post") go(path, { post: true, form: fields });
  else go(path + "?" + fields);
});

addEventListener("popstate", () => {
  if (location.hash.startsWith("#/") && location.hash.slice(1) !== here) go(location.hash.slice(1), { push: false });
  else if (!location.hash && start) go(start, { push: false });
});

// what the workbook's script fetches comes from the engine too
async function fetch(address, { method = "GET", body = "" } = {}) {
  const page = await ask({ post: method === "POST", path: pathOf(String(address)), form: body.toString() });
  return { ok: page.ok, text: async () => page.html };
}

async function copied(button) {
  const field = $("#code");
  field.select();
  try {
    await navigator.clipboard.writeText(field.value);
    button.textContent = "Copied";
  } catch {
    button.textContent = "Copy it from the field";
  }
}

// judging: workers that do the same work together, each what it has claimed

// A worker needs 30 to 40 MB; more than four would crowd a telephone.
const most = 4;
let table = null; // who plays, and the claims of each run

function halt() {
  table?.workers.forEach((w) => w.terminate());
  table = null;
}

// stopped ends a judgement, keeps what it has of it, and gives what was to be seen.
async function stopped() {
  const own = table;
  halt();
  if (own) await keep(own);
  return own?.html ?? "";
}

// stand lets a first look stand, of which nothing can be kept, below the form of the page.
function stand(html) {
  const live = $("#advice"), form = live && $("form.live", live);
  if (!form || $("table.cands", live)) return;
  live.innerHTML = html;
  form.insertAdjacentHTML("afterbegin", '<span role="status">Stopped.</span>');
  $("form.live", live).replaceWith(form);
}

async function judge(path, games, alone) {
  halt();
  const own = table = { workers: [], claims: new Map(), held: [], book: "", html: "" };
  const count = alone ? 1 : Math.max(1, Math.min(most, navigator.hardwareConcurrency || 1));
  const hear = (message, worker) => {
    if (own !== table) return;
    if ("claim" in message) { own.held.push([worker, message.claim]); deal(); }
    if (message.tell) for (const w of own.workers) if (w !== worker) w.postMessage(JSON.stringify({ told: message.tell }));
    if (message.judged) judged(message.judged);
    if (message.failed) { halt(); say(`The judgement has failed: ${message.failed}`); }
  };
  const judged = (j) => {
    if (j.book) own.book = j.book;
    own.html = j.html;
    const live = $("#advice");
    if (live && here === path) live.innerHTML = j.html;
    if (j.over) { keep(own); halt(); }
  };
  for (let i = 0; i < count; i++) {
    const worker = await engine({ role: "judge", path, games, first: i === 0 }, hear);
    if (own !== table) { worker.terminate(); return; }
    own.workers.push(worker);
  }
  own.ready = true;
  deal();
}

// deal answers claims, once all are there and while somebody can see the page.
function deal() {
  if (!table?.ready || document.hidden) return;
  for (const [worker, run] of table.held.splice(0)) {
    const n = table.claims.get(run) ?? 0;
    table.claims.set(run, n + 1);
    worker.postMessage(JSON.stringify({ claimed: n }));
  }
}
document.addEventListener("visibilitychange", deal);

const keep = (own) => own.book ? ask({ take: own.book }) : null;

// the beginning: the file shows the first step by itself; who has been here goes on where they were

book.then(async () => {
  const wish = location.hash.startsWith("#/") ? location.hash.slice(1) : "";
  if (wish || memory.get(keptKey)) await go(wish || start, { push: false });
  else here = start;
  document.documentElement.dataset.ready = "";
}).catch(() => {});
