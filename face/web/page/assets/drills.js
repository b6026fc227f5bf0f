// The script of practice: how long a decision takes, and the time that is left. Without it the server's clock counts,
// and every answer is a plain form.

const $ = (css, within = document) => within.querySelector(css); // students' phones have no other script

const form = $("#decide");

if (form) {
  const taken = $("input[name=taken]", form), before = Number(taken.dataset.before), began = performance.now();
  const spent = () => before + performance.now() - began;
  let sent = false;
  form.addEventListener("submit", (e) => {
    if (sent) { e.preventDefault(); return; } // a second tap: the first is on its way
    sent = true;
    taken.value = Math.round(spent());
  });
  // A page that comes back whole, as after the back button, may be answered: the server knows what it has.
  addEventListener("pageshow", (e) => { if (e.persisted) sent = false; });
  if (taken.dataset.limit) counting(Number(taken.dataset.limit), spent);
  document.addEventListener("keydown", (e) => {
    const enter = $("[data-enter]", form);
    if (e.key === "Enter" && enter && (e.target === document.body || e.target.matches("main"))) { e.preventDefault(); enter.click(); }
  });
}

// counting tells the seconds that are left, and then once that they are over.
function counting(limit, spent) {
  const shown = $("#countdown"), end = $("#end");
  const tick = () => {
    const left = Math.ceil(limit - spent() / 1000);
    if (left > 0) {
      shown.textContent = `${left} ${left === 1 ? "second" : "seconds"} left`;
      setTimeout(tick, 100);
      return;
    }
    shown.textContent = "Time is up";
    shown.classList.add("over");
    end.textContent = "Time is up. An answer is still kept, and counts as late.";
  };
  tick();
}
