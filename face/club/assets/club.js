// Passkeys: each form with data-passkey asks the server what to put to the browser's device, and brings its answer back.

const bytes = (text) => Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (c) => c.charCodeAt(0));
const text = (buffer) => btoa(String.fromCharCode(...new Uint8Array(buffer))).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");

// opened turns what came as text into bytes where the browser wants bytes.
function opened(options) {
  const o = options.publicKey;
  o.challenge = bytes(o.challenge);
  if (o.user) o.user.id = bytes(o.user.id);
  for (const list of [o.excludeCredentials, o.allowCredentials]) for (const c of list ?? []) c.id = bytes(c.id);
  return { publicKey: o };
}

// closed is a credential with bytes as text.
function closed(c) {
  const response = {};
  for (const part of ["clientDataJSON", "attestationObject", "authenticatorData", "signature", "userHandle"])
    if (c.response[part]) response[part] = text(c.response[part]);
  if (c.response.getTransports) response.transports = c.response.getTransports();
  return { id: c.id, rawId: text(c.rawId), type: c.type, authenticatorAttachment: c.authenticatorAttachment ?? undefined, clientExtensionResults: c.getClientExtensionResults(), response };
}

async function send(path, body) {
  const answer = await fetch(path, { method: "POST", body });
  const said = await answer.json();
  if (!answer.ok) throw new Error(said.error);
  return said;
}

// inWords is why a device has not done it.
function inWords(err) {
  if (err.name === "NotAllowedError") return "The device did not do it: it was broken off, or took too long. Try again.";
  if (err.name === "InvalidStateError") return "This device has a passkey of yours already.";
  if (err instanceof DOMException) return "This browser cannot use passkeys here (" + err.name + ").";
  return err.message;
}

async function pass(form) {
  const making = form.dataset.passkey === "make";
  const asked = await send(form.dataset.begin, new URLSearchParams(new FormData(form)));
  const options = opened(asked.options);
  const credential = making ? await navigator.credentials.create(options) : await navigator.credentials.get(options);
  const done = await send(form.dataset.finish, JSON.stringify({ token: asked.token, credential: closed(credential) }));
  if (!done.codes) {
    location.assign(making ? done.to : form.dataset.to || done.to);
    return;
  }
  const box = document.querySelector("[data-codes]");
  for (const code of done.codes) {
    const line = document.createElement("li");
    line.append(Object.assign(document.createElement("code"), { textContent: code }));
    box.querySelector("ol").append(line);
  }
  document.querySelector("[data-steps]").remove();
  box.hidden = false;
  document.querySelector("h1").textContent = "You are in";
  document.getElementById("main").focus();
}

for (const form of document.querySelectorAll("form[data-passkey]"))
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const problem = form.querySelector("[data-problem]"), button = form.querySelector("button");
    problem.hidden = button.disabled = true;
    try {
      await pass(form);
    } catch (err) {
      problem.querySelector("b").textContent = inWords(err);
      problem.hidden = false;
    }
    button.disabled = false;
  });

for (const button of document.querySelectorAll("[data-print]")) button.addEventListener("click", () => print());
