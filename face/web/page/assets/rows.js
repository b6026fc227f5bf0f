// The card editor as rows: each hand a row of groups with an example and what is wrong with it, filled by tile buttons. The text of the
// card stays what is kept: a row is a line of it, and both can be written in.

import { $, $$ } from "./workbook.js";

const text = $("#text"), rows = $("#rows"), pad = $("#pad"), line = $("#line");
const hand = /^(\s*)(\d+)\s+(exposed|concealed)\s*([^;]*?)\s*(;.*)?$/, section = /^\s*section\b\s*(.*)$/;
let at = -1, chip = -1; // the line that is written in, and the group of it that the next tile takes the place of

const lines = () => text.value.split("\n");
const groupsOf = (found) => found[4].split(/\s+/).filter(Boolean);
const chosen = (name) => $(`input[name=${name}]:checked`, pad).value;
const make = (tag, set, ...inside) => { const e = Object.assign(document.createElement(tag), set); e.append(...inside); return e; };

function write(all) {
  text.value = all.join("\n");
  caret();
  draw();
  text.dispatchEvent(new Event("input", { bubbles: true }));
}

function put(n, value) {
  const all = lines();
  all[n] = value;
  write(all);
}

// caret sets the cursor of the text to the end of the line that is written in.
function caret() {
  const end = lines().slice(0, at + 1).join("\n").length;
  text.setSelectionRange(end, end);
  line.value = at + 1;
}

const written = (points, how, groups, rest) => `${points} ${how.padEnd(10)} ${groups.join(" ")}${rest ? " " + rest : ""}`;

// look brings a row to the pad and its example beside it.
function look(n, group = -1) {
  at = n;
  chip = group;
  draw();
  if (Number(line.value) !== n + 1) {
    caret();
    text.dispatchEvent(new Event("lookat"));
  }
}

function draw() {
  rows.replaceChildren(...lines().flatMap((one, n) => {
    const named = section.exec(one), found = hand.exec(one);
    if (named) {
      const field = make("input", { value: named[1], maxLength: 60 });
      field.addEventListener("change", () => put(n, "section  " + field.value.trim()));
      return [make("li", { className: "of-section" }, make("label", {}, "Section ", field))];
    }
    if (!found) return [];
    const groups = groupsOf(found), rest = found[5] ?? "";
    const points = make("input", { value: found[2], inputMode: "numeric", size: 3, ariaLabel: "Points of the hand in line " + (n + 1) });
    points.addEventListener("change", () => put(n, written(points.value.trim() || found[2], found[3], groups, rest)));
    const how = make("button", { type: "button", className: "link", textContent: found[3], title: "exposed or concealed" });
    how.addEventListener("click", () => put(n, written(found[2], found[3] === "exposed" ? "concealed" : "exposed", groups, rest)));
    const chips = groups.map((g, i) => {
      const b = make("button", { type: "button", className: "group", textContent: g, ariaPressed: String(n === at && i === chip), title: "the next tile takes its place" });
      b.addEventListener("click", () => look(n, n === at && i === chip ? -1 : i));
      return b;
    });
    const open = make("button", { type: "button", className: "link", textContent: n === at ? "written now" : "write here", disabled: n === at });
    open.addEventListener("click", () => look(n));
    const gone = make("button", { type: "button", className: "link", textContent: "take out", ariaLabel: "take out the hand in line " + (n + 1) });
    gone.addEventListener("click", () => { const all = lines(); all.splice(n, 1); at = Math.min(at, all.length - 1); chip = -1; write(all); });
    const li = make("li", { className: n === at ? "now" : "" }, make("div", { className: "top" }, points, how, ...chips, open, gone));
    li.dataset.line = n + 1;
    return [li];
  }));
  tell();
}

// tell copies to the rows what the check says: what is wrong at each, and the example of the one that is written in.
function tell() {
  $$(".said-here", rows).forEach((e) => e.remove());
  for (const problem of $$("#check .problems li")) {
    const row = $(`li[data-line="${problem.dataset.line}"]`, rows);
    row?.append(make("p", { className: "said-here why", textContent: problem.lastChild.textContent.trim() }));
  }
  const example = $("#check .variants .strip"), row = $("li.now", rows);
  if (example && row && row.dataset.line === line.value) row.append(make("div", { className: "said-here variants" }, example.cloneNode(true)));
}

function add(symbol, suited) {
  const found = hand.exec(lines()[at] ?? "");
  if (!found) return;
  const groups = groupsOf(found), group = symbol.repeat(Number(chosen("size"))) + (suited ? chosen("suit") : "");
  if (chip >= 0) groups[chip] = group; else groups.push(group);
  chip = -1;
  put(at, written(found[2], found[3], groups, found[5]));
}

function insert(...fresh) {
  const all = lines();
  while (all.length && !all.at(-1).trim()) all.pop();
  const after = at >= 0 && at < all.length ? at + 1 : all.length;
  all.splice(after, 0, ...fresh);
  at = after + fresh.length - 1;
  chip = -1;
  write(all);
}

if (text && rows) {
  $("#by-rows").hidden = false;
  pad.addEventListener("click", (e) => {
    const b = e.target.closest("button");
    if (!b) return;
    if (b.dataset.symbol) add(b.dataset.symbol, "suited" in b.dataset);
    const found = hand.exec(lines()[at] ?? "");
    if (b.dataset.act === "back" && found) { chip = -1; put(at, written(found[2], found[3], groupsOf(found).slice(0, -1), found[5])); }
    if (b.dataset.act === "hand") insert(found ? written(found[2], found[3], [], "") : "25 exposed    ");
    if (b.dataset.act === "section") { insert("section  Another"); $$(".of-section input", rows).at(-1)?.select(); }
  });
  text.addEventListener("input", (e) => { if (e.isTrusted) { at = Number(line.value) - 1; draw(); } });
  document.body.addEventListener("htmx:after:swap", tell);
  draw();
}
