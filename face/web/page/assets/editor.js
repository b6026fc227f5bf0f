// The card editor: line numbers beside the text, errors in the margin of their line, and the line under the cursor.

const text = document.querySelector("#text"), gutter = document.querySelector("#gutter"), line = document.querySelector("#line");

function drawGutter() {
  const wrong = new Set([...document.querySelectorAll(".problems [data-line]")].map((li) => Number(li.dataset.line)));
  const rows = text.value.split("\n").map((_, i) => {
    const row = document.createElement("span");
    row.textContent = (wrong.has(i + 1) ? "✕ " : "") + (i + 1) + "\n";
    row.classList.toggle("wrong", wrong.has(i + 1));
    return row;
  });
  gutter.replaceChildren(...rows);
  gutter.scrollTop = text.scrollTop;
}

function lookAtLine() {
  const now = String(text.value.slice(0, text.selectionStart).split("\n").length);
  if (now === line.value) return;
  line.value = now;
  text.dispatchEvent(new Event("lookat"));
}

// What was typed and is not known to be on the disk: said so when the answer takes long or does not come, and sent again.
let typed = 0, unsaved = false, again;

function unknown(sentence) {
  const status = document.querySelector("#check [role=status]");
  if (status) status.textContent = sentence;
}

function answered() {
  clearTimeout(again);
  unsaved = !!document.querySelector("#check [data-failed]");
}

if (text) {
  text.addEventListener("input", () => {
    const now = ++typed;
    unsaved = true;
    setTimeout(() => { if (unsaved && typed === now && !document.querySelector("#check [data-failed]")) unknown("Not saved yet."); }, 1500);
  });
  document.body.addEventListener("htmx:after:swap", answered);
  document.body.addEventListener("htmx:error", () => {
    unsaved = true;
    unknown("Not saved: the workbook does not answer. The text stays here and is sent again.");
    clearTimeout(again);
    again = setTimeout(() => text.dispatchEvent(new Event("lookat")), 2000);
  });
  text.form.addEventListener("submit", () => { unsaved = false; });
  addEventListener("beforeunload", (e) => { if (unsaved) e.preventDefault(); });
  text.addEventListener("scroll", () => { gutter.scrollTop = text.scrollTop; });
  text.addEventListener("input", () => { line.value = String(text.value.slice(0, text.selectionStart).split("\n").length); drawGutter(); });
  for (const event of ["keyup", "click"]) text.addEventListener(event, lookAtLine);
  document.body.addEventListener("htmx:after:swap", drawGutter);
  document.body.addEventListener("click", (e) => {
    const to = e.target.closest("[data-goto]");
    if (!to) return;
    const before = text.value.split("\n").slice(0, to.dataset.goto - 1).reduce((n, l) => n + l.length + 1, 0);
    text.focus();
    text.setSelectionRange(before + Number(to.dataset.column) - 1, before + Number(to.dataset.column));
    text.scrollTop = (to.dataset.goto - 6) * parseFloat(getComputedStyle(text).lineHeight);
    lookAtLine();
  });
  drawGutter();
}
