// The script of the workbook: choosing tiles, orders of the rack, keys. Every act also works without it, as a plain
// form; pages that change by themselves use htmx.

const $ = (selector, from = document) => from.querySelector(selector);
const $$ = (selector, from = document) => [...from.querySelectorAll(selector)];
const memory = {
  get(key) { try { return localStorage.getItem(key); } catch { return null; } },
  set(key, value) { try { localStorage.setItem(key, value); } catch { /* private windows keep nothing */ } },
};
const words = ["no tile", "one", "two", "three"];
const those = (n) => n === 1 ? "this one" : `these ${words[n] ?? n}`;

// choosing a pass

function choosing(form) {
  const rack = $(".rack", form), going = $("#going"), go = $("#go"), refusal = $("#refusal");
  const boxes = () => $$("input[type=checkbox]", rack);
  const chosen = () => boxes().filter((b) => b.checked);
  const need = () => Number(form.dataset.need) - Number($("input[name=blind]:checked", form)?.value ?? 0);
  const refuse = (text) => { refusal.hidden = !text; refusal.replaceChildren(...(text ? [Object.assign(document.createElement("b"), { textContent: text })] : [])); };
  const show = () => {
    const now = chosen(), left = need() - now.length;
    boxes().forEach((b) => b.parentElement.querySelector("svg").classList.toggle("chosen", b.checked));
    going.replaceChildren(...now.map((b) => {
      const li = document.createElement("li"), svg = b.parentElement.querySelector("svg").cloneNode(true);
      svg.classList.remove("chosen");
      $$('[href="#m-came"], [href="#m-spare"]', svg).forEach((mark) => mark.remove());
      svg.classList.add("passed");
      $('use[href="#m-chosen"]', svg)?.setAttribute("href", "#m-" + form.dataset.where);
      svg.removeAttribute("aria-hidden");
      svg.setAttribute("role", "img");
      svg.setAttribute("aria-label", b.getAttribute("aria-label"));
      li.append(svg);
      return li;
    }));
    go.disabled = left !== 0;
    const text = left > 0 ? `Choose ${left} more` : left < 0 ? `Put ${-left} back` : need() === 0 ? "Pass all unseen" : `${go.dataset.act} ${those(need())}`;
    go.firstChild.textContent = text + " ";
  };
  rack.addEventListener("change", (e) => {
    const box = e.target;
    refuse("");
    if (box.checked && "joker" in box.dataset) {
      box.checked = false;
      refuse("A joker is never passed. Choose another tile; the joker stays in the rack.");
    } else if (box.checked && chosen().length > need()) {
      box.checked = false;
      refuse(need() === 0 ? "All three go unseen. Choose fewer blind tiles first." : `Only ${words[need()]} can go. Put one back first.`);
    }
    show();
  });
  $$("input[name=blind]", form).forEach((b) => b.addEventListener("change", () => { refuse(""); show(); }));
  typing(form, rack, refuse, show);
  ordering(form, rack);
  walking(rack);
  show();
}

// the tiles of a text, as "3b7cN"

function codesOf(text) {
  const codes = [];
  let ranks = "";
  for (const letter of text) {
    if (/[1-9]/.test(letter)) ranks += letter;
    else if (/[bcd]/i.test(letter)) { for (const r of ranks) codes.push(r + letter.toLowerCase()); ranks = ""; }
    else if (/[newsrg0fj]/i.test(letter)) codes.push(letter.toUpperCase());
  }
  return codes;
}

// choosing by typing: the tiles typed are those chosen, as far as the rack holds them

function typing(form, rack, refuse, show) {
  const field = $("#typed", form);
  if (!field) return;
  field.addEventListener("input", () => {
    const codes = codesOf(field.value), boxes = $$("input[type=checkbox]", rack);
    boxes.forEach((b) => { b.checked = false; });
    refuse("");
    for (const code of codes) {
      const box = boxes.find((b) => b.value === code && !b.checked);
      if (!box) refuse(`The rack has no ${codes.filter((c) => c === code).length > 1 ? "further " : ""}${code}. Type tiles that it holds.`);
      else if ("joker" in box.dataset) refuse("A joker is never passed. Choose another tile; the joker stays in the rack.");
      else box.checked = true;
    }
    show();
  });
  field.addEventListener("keydown", (e) => { if (e.key === "Escape") { field.value = ""; field.blur(); } });
  rack.addEventListener("change", () => { field.value = ""; });
}

// pinning changes the hands, the marks and the order in place: what is chosen stays, nothing scrolls

document.addEventListener("submit", async (e) => {
  const form = e.target, beside = $("#beside");
  if (!form.matches(".pinning") || !beside?.contains(form)) return;
  e.preventDefault();
  const hand = form.elements.hand?.value, sent = new URLSearchParams(new FormData(form, e.submitter));
  let fresh;
  try {
    const answer = await fetch(form.action, { method: "POST", body: sent });
    fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (!answer.ok) {
      const why = $(".why[role=alert]", fresh);
      form.closest("li")?.append(Object.assign(document.createElement("p"), { className: "why", role: "alert", textContent: why?.innerText ?? "Not done." }));
      return;
    }
  } catch {
    return; // the bar at the top says that the workbook does not answer
  }
  const words = $("#in-words")?.checked;
  beside.replaceWith($("#beside", fresh));
  if ($("#in-words")) $("#in-words").checked = words;
  for (const id of ["#legend", "#marked", ".desk .back"]) if ($(id) && $(id, fresh)) $(id).replaceWith($(id, fresh));
  const now = new Map($$(".rack li", fresh).map((li) => [li.dataset.suit, li]));
  $$("#pass .rack li").forEach((li) => {
    const other = now.get(li.dataset.suit), svg = $("svg", li), drawn = $("svg", other);
    drawn.classList.toggle("chosen", svg.classList.contains("chosen"));
    li.dataset.plan = other.dataset.plan;
    li.toggleAttribute("data-spare", "spare" in other.dataset);
    $("input", li).setAttribute("aria-label", $("input", other).getAttribute("aria-label"));
    svg.replaceWith(drawn);
  });
  $("#pass input[name=sort]:checked")?.dispatchEvent(new Event("change", { bubbles: true }));
  const button = $$("#beside .pinning").find((f) => f.elements.hand?.value === hand)?.querySelector("button");
  button?.focus({ preventScroll: true });
});

const inWords = () => {
  const box = $("#in-words");
  if (box) box.checked = memory.get("in-words") === "yes";
};
document.addEventListener("change", (e) => { if (e.target.id === "in-words") memory.set("in-words", e.target.checked ? "yes" : "no"); });

// the orders of the rack

function ordering(form, rack) {
  const ownKey = "own-order " + location.pathname;
  const by = { suit: "suit", rank: "rank", plan: "plan" };
  const place = (order) => {
    const items = $$("li", rack);
    if (order === "own") {
      const want = (memory.get(ownKey) ?? "").split(" ");
      const rest = items.sort((a, b) => a.dataset.suit - b.dataset.suit);
      const sorted = [];
      for (const code of want) {
        const i = rest.findIndex((li) => li.dataset.code === code);
        if (i >= 0) sorted.push(...rest.splice(i, 1));
      }
      rack.append(...sorted, ...rest);
    } else {
      rack.append(...items.sort((a, b) => a.dataset[by[order]] - b.dataset[by[order]]));
    }
    rack.classList.toggle("nogaps", order !== "suit");
    $$("li", rack).forEach((li) => li.classList.toggle("part", order === "plan" && "spare" in li.dataset && li.previousElementSibling !== null && !("spare" in li.previousElementSibling.dataset)));
    $(".own-note", form).hidden = order !== "own";
    $$("li", rack).forEach((li) => { li.draggable = order === "own"; });
  };
  const keep = () => memory.set(ownKey, $$("li", rack).map((li) => li.dataset.code).join(" "));
  const order = memory.get("order") ?? "suit";
  const radio = $(`input[name=sort][value=${order in by || order === "own" ? order : "suit"}]`, form);
  radio.checked = true;
  place(radio.value);
  $$("input[name=sort]", form).forEach((r) => r.addEventListener("change", () => { memory.set("order", r.value); place(r.value); }));
  let dragged;
  rack.addEventListener("dragstart", (e) => { dragged = e.target.closest("li"); });
  rack.addEventListener("dragover", (e) => {
    const over = e.target.closest("li");
    if (!dragged || !over) return;
    e.preventDefault();
    const box = over.getBoundingClientRect();
    if (over !== dragged) over[e.clientX > box.left + box.width / 2 ? "after" : "before"](dragged);
  });
  rack.addEventListener("drop", (e) => { e.preventDefault(); keep(); });
  rack.addEventListener("dragend", () => { dragged = undefined; keep(); });
  rack.addEventListener("keydown", (e) => {
    const li = e.target.closest("li"), own = $("input[name=sort][value=own]", form).checked;
    if (!own || !e.shiftKey || !li || !["ArrowLeft", "ArrowRight"].includes(e.key)) return;
    e.preventDefault();
    e.stopPropagation();
    if (e.key === "ArrowLeft") li.previousElementSibling?.before(li); else li.nextElementSibling?.after(li);
    e.target.focus();
    keep();
  });
}

// arrows walk the rack

function walking(rack) {
  rack.addEventListener("keydown", (e) => {
    const step = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -1, ArrowDown: 1 }[e.key];
    if (!step || e.shiftKey) return;
    e.preventDefault();
    const boxes = $$("input", rack);
    boxes[boxes.indexOf(e.target) + step]?.focus();
  });
}

// keys that press what is visible

const writing = (el) => el.matches("input:not([type=checkbox]):not([type=radio]), textarea, select, [contenteditable]");

document.addEventListener("keydown", (e) => {
  if (e.ctrlKey || e.metaKey || e.altKey || writing(e.target)) return;
  const digit = e.shiftKey && /^Digit(\d)$/.exec(e.code); // what Shift makes of a digit is another sign on each keyboard
  const key = digit ? "shift+" + digit[1] : e.key.toLowerCase();
  if (key === "?") { if ($('nav.bar a[href^="/help"]')) location.href = "/help#keys"; return; }
  if (key === "b") {
    const blind = $$("input[name=blind]");
    if (blind.length) {
      const next = blind[(blind.findIndex((b) => b.checked) + 1) % blind.length];
      next.checked = true;
      next.dispatchEvent(new Event("change", { bubbles: true }));
    }
    return;
  }
  const field = $(`[data-focus="${CSS.escape(key)}"]`);
  if (field?.checkVisibility()) { e.preventDefault(); field.focus(); return; }
  const aside = ["arrowleft", "arrowright"].includes(key) && !e.target.closest("input, .routes, .scroll, pre");
  if (key.startsWith("arrow") && (e.target === document.body || aside)) {
    const first = $(".rack input");
    if (first) { e.preventDefault(); first.focus(); return; }
    sheetArrows(e);
    return;
  }
  if (key.startsWith("arrow") && e.target.closest(".routes")) { sheetArrows(e); return; }
  const button = $(`[data-key="${CSS.escape(key)}"]`);
  if (button) { e.preventDefault(); button.closest("details")?.setAttribute("open", ""); button.click(); }
});

// on a sheet arrows move by step and route

function sheetArrows(e) {
  const table = $(".routes");
  if (!table) return;
  const cells = $$("tbody tr", table).map((tr) => $$("td:not(.none)", tr).map((td) => $("button, a", td)).filter(Boolean)).filter((row) => row.length);
  if (!cells.length) return;
  let row = cells.findIndex((r) => r.includes(document.activeElement)), col = row < 0 ? 0 : cells[row].indexOf(document.activeElement);
  if (row < 0) row = 0;
  else if (e.key === "ArrowDown") row = Math.min(row + 1, cells.length - 1);
  else if (e.key === "ArrowUp") row = Math.max(row - 1, 0);
  else if (e.key === "ArrowLeft") col--;
  else if (e.key === "ArrowRight") col++;
  col = Math.max(0, Math.min(col, cells[row].length - 1));
  e.preventDefault();
  cells[row][col].focus();
}

// tapping tiles together, as many as the field takes

$$(".keys").forEach((pad) => {
  const field = $(pad.dataset.for), most = Number(pad.dataset.most ?? Infinity);
  const full = () => $$("[data-add]", pad).forEach((b) => { b.disabled = b.dataset.add !== "" && codesOf(field.value).length >= most; });
  $$("[data-add]", pad).forEach((b) => b.addEventListener("click", () => {
    const code = b.dataset.add, parts = field.value.trim().split(/\s+/).filter(Boolean);
    if (code) parts.push(code); else parts.pop();
    field.value = parts.join(" ");
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }));
  field.addEventListener("input", full);
  full();
});

// finding in the help: what does not hold the words typed steps aside

const finder = $("#help-find");
finder?.addEventListener("input", () => {
  const words = finder.value.toLowerCase().split(/\s+/).filter(Boolean);
  const holds = (e) => words.every((w) => e.textContent.toLowerCase().includes(w));
  let found = 0;
  $$("main section").forEach((section) => {
    const entries = $$("li, dl.help div, tr, section > p, pre", section), heading = holds($("h2", section));
    let any = false;
    entries.forEach((e) => {
      const shown = heading || holds(e);
      e.hidden = !shown;
      any ||= shown;
      found += shown && words.length ? 1 : 0;
    });
    section.hidden = words.length > 0 && !any && !heading;
  });
  $("#help-found").textContent = !words.length ? "" : found ? `${found} ${found === 1 ? "place" : "places"}` : "Nothing in the help has these words.";
});

// a picture to the clipboard, where the browser takes one

if (globalThis.ClipboardItem && navigator.clipboard?.write) $$("[data-copy]").forEach((b) => {
  b.hidden = false;
  b.addEventListener("click", async () => {
    const said = b.firstChild;
    try {
      const png = fetch(b.dataset.copy).then((answer) => answer.ok ? answer.blob() : Promise.reject(answer.status));
      await navigator.clipboard.write([new ClipboardItem({ "image/png": png })]);
      said.textContent = "copied";
    } catch {
      said.textContent = "not copied: save the picture instead";
    }
  });
});

// settle makes a page ready that has just come

function settle() {
  inWords();
  $$("form.choose").forEach((form) => form.addEventListener("submit", () => {
    $("input[name=routes]", form).value = $$("input[data-route]:checked", form).map((c) => c.value).join(",");
  }));
  $$("[data-print]").forEach((b) => b.addEventListener("click", () => print()));
  const pass = $("#pass");
  if (pass) choosing(pass);
}
settle();

export { $, $$, memory, ordering, walking };
