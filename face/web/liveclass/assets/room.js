// The script of a student's phone. Every tap is kept here and sent at once, and again until the teacher's machine says
// that it is on its disk. The phone's place is a cookie, and a second time in the phone's own storage.

const $ = (selector, from = document) => from.querySelector(selector);
const $$ = (selector, from = document) => [...from.querySelectorAll(selector)];
const memory = {
  get(key) { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } },
  set(key, value) { try { localStorage.setItem(key, JSON.stringify(value)); } catch { /* private windows keep nothing */ } },
  drop(key) { try { localStorage.removeItem(key); } catch { /* nothing was kept */ } },
};
const post = (path, data) => {
  const end = new AbortController(), timer = setTimeout(() => end.abort(), 6000);
  return fetch(path, { method: "POST", body: JSON.stringify(data), headers: { "Content-Type": "application/json" }, keepalive: true, signal: end.signal })
    .finally(() => clearTimeout(timer));
};

const main = $("#main"), joining = $("[data-join]");
if (joining) join();
else if (main.dataset.token) room(main.dataset.token, main.dataset.class);
else if ($("#finding")) find();

// the way in

async function join() {
  if (new URLSearchParams(location.search).has("left")) memory.drop("place");
  const place = memory.get("place");
  $("input:not([type=hidden])", joining).focus();
  if (!place) return;
  $("[data-back]").hidden = false;
  if (!joining.dataset.join) return;
  // The code of the class that this phone is in already: its place is given back.
  const res = await post("/room/back", { token: place.token }).catch(() => null);
  if (res?.ok && (await res.json()).code === joining.dataset.join) location.replace("/room");
}

async function find() {
  const place = memory.get("place");
  if (!place) { location.replace("/join"); return; }
  try {
    const res = await post("/room/back", { token: place.token });
    if (res.ok) { location.reload(); return; }
    if (res.status === 401) { memory.drop("place"); location.replace("/join"); return; }
  } catch { /* tried again below */ }
  $("#finding").textContent = "No connection to the class. It is tried again.";
  setTimeout(find, 1500);
}

// the room

function room(token, id) {
  memory.set("place", { token, class: id });
  const key = "class-" + id, screen = $("#screen"), state = $("#state");
  const beats = 9000; // a connection that is silent for so long is lost
  let shown = null; // what the server sent last
  let offset = 0; // the server's clock less the time since this page was opened, which nobody sets
  let source, heard = 0, begun = 0, tries = 0, connected = false;
  let failing = 0, retry;
  // The choice of the round at hand: {round, seq, choice, made, kept, go, late}.
  let own = memory.get(key) ?? { round: 0, seq: 0, choice: {}, kept: true };
  const keep = () => memory.set(key, own);

  // the connection

  function connect() {
    clearTimeout(retry);
    source?.close();
    begun = Date.now();
    source = new EventSource("/room/live");
    source.onmessage = (e) => { alive(); apply(JSON.parse(e.data)); };
    source.addEventListener("beat", (e) => { alive(); offset = Number(e.data) - performance.now(); });
    source.onerror = () => { lose(); again(); };
  }
  function alive() {
    heard = Date.now();
    tries = 0;
    if (!connected) { connected = true; paint(); if (!own.kept) send(); }
  }
  function lose() { if (connected) { connected = false; paint(); } }
  function again() {
    source?.close();
    clearTimeout(retry);
    retry = setTimeout(back, Math.min(250 * 2 ** tries++, 2000) * (0.75 + Math.random() / 2));
  }
  // back asks whether the place is still there before a stream is opened, and brings the cookie back if it was lost.
  async function back() {
    begun = Date.now();
    try {
      const res = await post("/room/back", { token });
      if (res.status === 401) { memory.drop("place"); location.replace("/join"); return; }
      if (res.ok) { connect(); return; }
    } catch { /* tried again */ }
    lose();
    again();
  }
  setInterval(() => { if (Math.abs(Date.now() - Math.max(heard, begun)) > beats) { lose(); again(); } }, 1000);
  addEventListener("offline", lose);
  const wake = () => { if (document.visibilityState === "visible" && Date.now() - heard > 4000) { tries = 0; back(); } };
  addEventListener("online", () => { heard = 0; wake(); });
  addEventListener("pageshow", wake);
  document.addEventListener("visibilitychange", wake);

  // what the server shows

  function apply(s) {
    offset = s.now - performance.now();
    const before = shown;
    shown = s;
    if (s.round !== own.round) own = { round: s.round, seq: 0, choice: {}, kept: true };
    if (s.phase !== "alone") {
      if (s.seq > own.seq) own = { round: s.round, seq: s.seq, choice: fromServer(s.choice), kept: true };
      else if (s.seq === own.seq) own.kept = true;
      else if (own.seq > s.seq && !own.late && s.phase !== "counted") own.kept = false;
      if (s.phase === "counted" || s.phase === "ended") own.kept = true;
    }
    keep();
    if (!before || before.screen !== s.screen || before.round !== s.round) draw();
    put();
    paint();
    if (!own.kept || own.go) send();
  }
  function draw() {
    screen.innerHTML = shown.html;
    ($("[data-state-here]", screen) ?? screen).append(state);
    const form = $("[data-ask]", screen);
    if (form) {
      form.addEventListener("change", (e) => taken(e.target));
      form.addEventListener("submit", (e) => e.preventDefault());
      $("[data-go]", form)?.addEventListener("click", go);
      const rack = $(".rack", form);
      if (rack) walking(rack);
      plans(form);
    }
    $$("[data-key]", screen).forEach((li) => li.classList.toggle("mine", li.dataset.key === shown.key));
    const mine = $(".mine .of", screen);
    if (mine) mine.textContent = ["yours", mine.textContent.trim()].filter(Boolean).join(", ");
  }
  // The plan that is pinned stands among those of the question, and is chosen until another is.
  let pinned = memory.get("plan-" + id) ?? "";
  function plans(form) {
    const open = $("input[name=plan][value='']", form);
    if (!open || !pinned || $$("input[name=plan]", form).some((i) => i.value === pinned)) return;
    const label = document.createElement("label"), radio = Object.assign(document.createElement("input"), { type: "radio", name: "plan", value: pinned });
    label.append(radio, pinned);
    open.parentElement.before(label);
  }
  function pin(name) {
    pinned = pinned === name ? "" : name;
    if (pinned) memory.set("plan-" + id, pinned); else memory.drop("plan-" + id);
    paintPins();
    const form = $("[data-ask]", screen);
    if (!form) return;
    plans(form);
    const radio = $$("input[name=plan]", form).find((i) => i.value === pinned);
    if (radio && !radio.disabled) { radio.checked = true; taken(radio); }
  }
  const paintPins = () => $$("[data-pin]").forEach((b) => {
    b.setAttribute("aria-pressed", String(b.dataset.pin === pinned));
    b.textContent = b.dataset.pin === pinned ? "Pinned" : "Pin";
  });
  $("#card")?.addEventListener("toggle", async (e) => {
    const place = $("[data-card]");
    if (!e.target.open || $("[data-pin]", place)) return;
    const res = await fetch("/room/card").catch(() => null);
    if (!res?.ok) { place.replaceChildren(Object.assign(document.createElement("p"), { textContent: "The card cannot be fetched now. Close this and open it again." })); return; }
    place.innerHTML = await res.text();
    paintPins();
  });
  $("#card")?.addEventListener("click", (e) => { if (e.target.dataset.pin) pin(e.target.dataset.pin); });

  // put shows the choice in the inputs.
  function put() {
    const form = $("[data-ask]", screen);
    const result = $("[data-result]", screen);
    if (result) result.textContent = shown.result ?? "";
    if (!form) return;
    const left = (own.choice.tiles ?? []).slice();
    $$("input[name=tile]", form).forEach((b) => {
      const i = left.indexOf(b.value);
      b.checked = i >= 0;
      if (i >= 0) left.splice(i, 1);
      $("svg", b.parentElement).classList.toggle("chosen", b.checked);
    });
    const pick = (name, value) => $$(`input[name=${name}]`, form).forEach((b) => { b.checked = b.value === value; });
    pick("blind", String(own.choice.count ?? 0));
    if (own.choice.said) { pick("stop", own.choice.stop ? "yes" : "no"); pick("count", String(own.choice.count ?? 0)); }
    if (own.choice.option) pick("option", String(own.choice.option));
    pick("plan", own.choice.plan ?? (own.seq ? "" : pinned));
    const open = shown.phase === "vote" || shown.phase === "alone" && !own.go;
    $$("input", form).forEach((i) => { i.disabled = !open; });
    const button = $("[data-go]", form);
    if (button) button.disabled = !complete() || Boolean(own.go);
  }

  // choosing

  const words = ["none", "one", "two", "three"];
  const refuse = (text) => { const p = $("[data-refusal]", screen); if (!p) return; p.hidden = !text; p.innerHTML = ""; if (text) p.append(Object.assign(document.createElement("b"), { textContent: text })); };
  function read() {
    const form = $("[data-ask]", screen), value = (name) => $(`input[name=${name}]:checked`, form)?.value;
    const c = {};
    if (shown.kind === "tiles") {
      c.tiles = $$("input[name=tile]:checked", form).map((b) => b.value);
      if (Number(value("blind") ?? 0)) c.count = Number(value("blind"));
    } else if (shown.kind === "vote" && value("stop")) { c.said = true; if (value("stop") === "yes") c.stop = true;
    } else if (shown.kind === "number" && value("count")) { c.said = true; if (Number(value("count"))) c.count = Number(value("count"));
    } else if (shown.kind === "option" && value("option")) c.option = Number(value("option"));
    if (value("plan")) c.plan = value("plan");
    return c;
  }
  const missing = (c = own.choice) => shown.need - (c.tiles?.length ?? 0) - (c.count ?? 0);
  const complete = (c = own.choice) => shown.kind === "tiles" ? missing(c) === 0 : Boolean(c.said || c.option);
  const touched = () => Boolean(own.choice.tiles?.length || own.choice.count || own.choice.said || own.choice.option);
  function taken(input) {
    refuse("");
    if (input.checked && "joker" in input.dataset) {
      input.checked = false;
      refuse("A joker is never passed. Choose another tile.");
      return;
    }
    const c = read();
    if (input.name === "tile" && input.checked && missing(c) < 0) {
      input.checked = false;
      const n = shown.need - (c.count ?? 0);
      refuse(n === 0 ? "All three go unseen. Choose fewer blind tiles first." : `Only ${words[n]} can go. Put one back first.`);
      return;
    }
    own = { round: shown.round, seq: Math.max(own.seq, shown.seq) + 1, choice: c, made: Math.round(performance.now() + offset), kept: shown.phase === "alone" };
    keep();
    put();
    paint();
    if (shown.phase !== "alone") send();
  }
  function go() {
    own.go = true;
    keep();
    put();
    paint();
    send();
  }

  // sending

  async function send() {
    const it = own, alone = shown?.phase === "alone";
    if (!shown || alone && !it.go || !alone && it.kept) return;
    const text = { ...it.choice, tiles: (it.choice.tiles ?? []).join(" ") };
    const same = () => own.round === it.round && own.seq === it.seq;
    let res, data;
    try {
      res = await post(alone ? "/room/decide" : "/room/choice", { round: it.round, seq: it.seq, made: it.made ?? 0, choice: text });
      data = await res.json();
    } catch { return failed(); }
    failing = 0;
    if (res.ok && alone) { own.go = false; apply(own.round === data.round ? { ...data, screen: "again" } : data); return; }
    if (res.ok) { if (same()) { own.kept = true; keep(); paint(); } return; }
    if (res.status === 401) { back(); return failed(); }
    if (res.status === 409 || res.status === 422 || res.status === 400 || res.status === 413) {
      if (!same()) return;
      own.go = false;
      own.kept = true;
      own.late = Boolean(data.closed);
      if (data.closed) own.choice = fromServer(shown.choice);
      keep();
      put();
      if (!data.closed) refuse(data.error);
      paint();
      return;
    }
    failed();
  }
    let resend;
  function failed() {
    failing++;
    paint();
    clearTimeout(resend);
    resend = setTimeout(send, Math.min(400 * 2 ** failing, 4000) * (0.75 + Math.random() / 2));
  }

  // what is said

  const signs = { ok: "M4 14 10 20 22 6", lost: "M3 10C9 4 17 4 23 10M8 15C11 12 15 12 18 15M13 20V20.5M4 23 22 3", wait: "M13 4A9 9 0 1 0 22 13M13 8V13L16 16" };
  function paint() {
    if (!shown) return say("wait", "", "The class is being asked.");
    const form = $("[data-ask]", screen), lost = !connected || failing > 1;
    const mine = form?.dataset.yours ?? "Your choice", is = /^Your (two|three)$/.test(mine) ? "are" : "is", they = is === "are" ? "They count" : "It counts", them = is === "are" ? "them" : "it";
    const done = form && complete();
    if (lost) {
      const rest = form && touched() ? `${done ? mine : "What you chose"} ${done ? is : "is"} kept on this phone and ${done && is === "are" ? "go" : "goes"} out by ${done && is === "are" ? "themselves" : "itself"} when it is back.` : "It is tried again by itself; your place is kept.";
      return say("lost", "No connection.", rest);
    }
    switch (shown.phase) {
      case "wait": return say("ok", "You are in.", "Leave this page open.");
      case "vote":
        if (own.late) return say("wait", "Too late.", "The vote was closed before your last tap. The choice kept before counts.");
        if (done && own.kept) return say("ok", `${mine} ${is} kept.`, `${they} when the vote closes. You may still change ${them}.`);
        if (done) return say("wait", `${mine} ${is} on the way.`, "");
        if (!touched()) return say("wait", "Every tap is kept.", "There is no button to send; you may change your choice until the vote closes.");
        return missing() < 0 ? say("wait", `Put ${words[-missing()] ?? -missing()} back.`, "Only then your choice counts.") : say("wait", `${capital(words[missing()] ?? "")} to go.`, "What you have is kept.");
      case "counting":
        if (own.late) return say("wait", "Too late.", "The vote was closed before your last tap. The choice kept before counts.");
        if (!own.kept) return say("wait", "The vote is closed.", `${mine} ${is} on the way and still ${is === "are" ? "count" : "counts"} if ${is === "are" ? "they were" : "it was"} made in time.`);
        return say(done ? "ok" : "wait", "The vote is closed.", done ? `${mine} ${is === "are" ? "count" : "counts"}.` : "Your choice was not finished.");
      case "counted": return say("ok", "", "The next step opens here by itself.");
      case "alone":
        if (own.go) return say("wait", "On the way.", "The next step opens when it has arrived.");
        return done ? say("ok", "Ready.", "Nothing goes before you say so. Then it cannot be taken back.") : say("wait", "", "What you choose is kept on this phone until you go on.");
      case "done": return say("ok", "", "You are at the end. The room's mean changes while others finish.");
      default: return say("ok", "", "Thank you for coming. You may close this page.");
    }
  }
  const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
  let said = "";
  function say(sign, head, text) {
    if (said === sign + head + text) return; // so that it is not read out again
    said = sign + head + text;
    state.className = "state" + (sign === "lost" ? " lost" : "");
    state.dataset.sign = sign;
    $("path", state).setAttribute("d", signs[sign]);
    const span = $("span", state);
    span.replaceChildren();
    if (head) span.append(Object.assign(document.createElement("b"), { textContent: head }), text ? document.createElement("br") : "");
    span.append(text);
  }
  setInterval(() => {
    const clock = $("[data-clock]", screen);
    if (!clock || !shown) return;
    const left = shown.deadline ? Math.max(0, Math.ceil((shown.deadline - performance.now() - offset) / 1000)) : -1;
    const text = shown.phase === "counting" ? "Closed." : left < 0 ? "" : `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")} left`;
    if (clock.textContent !== text) clock.textContent = text;
  }, 250);

  connect();
}

// a choice as the server sends it, its tiles one by one

function fromServer(c) { return { ...c, tiles: codes(c?.tiles ?? "") }; }

// codes takes tile text apart: "22b 4c F" is 2b, 2b, 4c, F.
function codes(text) {
  return text.split(" ").filter(Boolean).flatMap((word) => /^[0-9]+[bcd]$/.test(word) ? [...word.slice(0, -1)].map((rank) => rank + word.at(-1)) : [...word]);
}

// arrows walk the rack

function walking(rack) {
  rack.addEventListener("keydown", (e) => {
    const step = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -1, ArrowDown: 1 }[e.key];
    if (!step) return;
    e.preventDefault();
    const boxes = $$("input[type=checkbox]", rack);
    boxes[boxes.indexOf(e.target) + step]?.focus();
  });
}
