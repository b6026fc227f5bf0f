// The script of the play: choosing a discard, and what happened told line by line. Without it everything is there at
// once and every act is a plain form.

import { $, $$, memory, ordering, walking } from "./workbook.js";

// choosing a discard

function discarding(form) {
  const rack = $(".rack", form), go = $("#go"), note = $(".joker-note", form);
  const show = () => {
    const chosen = $("input[name=tile]:checked", rack);
    $$("input[name=tile]", rack).forEach((r) => r.parentElement.querySelector("svg").classList.toggle("chosen", r.checked));
    go.disabled = !chosen;
    go.firstChild.textContent = chosen ? `Discard ${chosen.getAttribute("aria-label").replace(", just drawn", "")} ` : "Choose a tile to discard ";
    note.hidden = !chosen || !("joker" in chosen.dataset);
  };
  rack.addEventListener("change", show);
  ordering(form, rack);
  walking(rack);
  show();
}

// what happened, one line after the other

const paces = { once: 0, slow: 800, slower: 1800 };

function telling(news) {
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  const lines = $$(".told li", news), due = $$(".due"), halt = $(".halt", news), pause = $("#pause"), pace = $(".pace", news);
  const heading = $("h1"), said = heading.textContent;
  const seen = `${location.pathname} ${news.dataset.at} ${lines.length}`;
  let chosen = memory.get("pace") ?? "slow";
  if (!(chosen in paces)) chosen = "slow";
  let timer, paused = false, told = lines.length;
  const step = () => {
    lines[told++].hidden = false;
    if (told < lines.length) wait(); else finish();
  };
  const wait = () => {
    clearTimeout(timer);
    if (!paused) timer = setTimeout(step, paces[chosen]);
  };
  const finish = () => {
    clearTimeout(timer);
    lines.forEach((li) => { li.hidden = false; });
    told = lines.length;
    heading.textContent = said;
    due.forEach((d) => { d.hidden = false; });
    const kept = halt.contains(document.activeElement);
    halt.hidden = true;
    if (kept) $(".due button:not([disabled]), .due input")?.focus();
  };
  const label = () => { pause.firstChild.textContent = paused ? "Go on " : "Pause "; };
  pause.addEventListener("click", () => { paused = !paused; label(); if (paused) clearTimeout(timer); else wait(); });
  $("#rest").addEventListener("click", finish);
  $$("input", pace).forEach((r) => {
    r.checked = r.value === chosen;
    r.addEventListener("change", () => {
      chosen = r.value;
      memory.set("pace", chosen);
      if (told < lines.length && !paused) { if (chosen === "once") finish(); else wait(); }
    });
  });
  pace.hidden = still;
  // A page that was told already, as after a reload or a refusal, is not told again. The player's own act comes first.
  const again = recall() === seen;
  keep(seen);
  if (still || again || chosen === "once" || lines.length < 2) return;
  told = 1;
  heading.textContent = "The others play";
  lines.slice(1).forEach((li) => { li.hidden = true; });
  due.forEach((d) => { d.hidden = true; });
  halt.hidden = false;
  wait();
}

function recall() { try { return sessionStorage.getItem("told"); } catch { return null; } }
function keep(what) { try { sessionStorage.setItem("told", what); } catch { /* then it is told again */ } }

// how the discards lie

function lying(radios) {
  const chosen = memory.get("lie");
  radios.forEach((r) => {
    if (r.value === chosen) r.checked = true;
    r.addEventListener("change", () => memory.set("lie", r.value));
  });
}

// the record

function copying(button) {
  const record = $("#record");
  button.hidden = false;
  button.addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(record.value);
      button.textContent = "Copied";
    } catch {
      record.select();
      button.textContent = "Selected: copy it with the keyboard";
    }
  });
}

const discard = $("#discard"), news = $("#news"), copy = $("#copy");
if (discard) discarding(discard);
if (news) telling(news);
if (copy) copying(copy);
lying($$("input[name=lie]"));
