// The bar that stands on a page while the workbook or its disk is gone. It asks every few seconds, goes by itself, and
// moves no focus; what it says is read out where it stands, since it is a status.

const bar = document.querySelector("#trouble");
const gone = "The workbook does not answer. It may have been closed: start it again with secondpass serve. What you have typed stays here, and this line goes when it answers.";
let missed = 0, typed = false;

// What changes by itself finds its way again where it can; a page on which nothing was typed is simply loaded anew.
document.addEventListener("input", () => { typed = true; });
const goOn = () => { if (!typed && document.querySelector("[hx-sse\\:connect]")) location.reload(); };

const say = (text) => { if (bar.textContent !== text) bar.textContent = text; };
const rest = (ms) => new Promise((go) => setTimeout(go, ms));
const shown = () => document.hidden ? new Promise((go) => document.addEventListener("visibilitychange", go, { once: true })) : undefined;

async function ask() {
  try {
    const answer = await fetch("/standing", { cache: "no-store", signal: AbortSignal.timeout(10000) });
    if (!answer.ok) throw answer.status;
    const text = await answer.text(), back = missed > 1 && !text;
    missed = 0;
    say(back ? "The workbook answers again." : text);
    if (back) goOn();
    return back ? 4000 : text ? 2000 : 5000;
  } catch {
    if (++missed > 1) say(gone); // one may be lost on the way
    return 2000;
  }
}

// A page that is shown while the workbook begins again goes on to it once it answers.
const again = document.querySelector("main[data-again]")?.dataset.again;
if (again) for (;;) {
  await rest(1500); // the one that ends may answer still
  const answers = await fetch("/standing", { cache: "no-store" }).then((answer) => answer.ok, () => false);
  if (answers) { location.replace(again); break; }
}

if (bar) for (;;) {
  await rest(await ask());
  await shown();
}
