// The index of a folder: how far its reader has come with each exercise, as the browser keeps it.
for (const said of document.querySelectorAll("[data-kept]")) {
  let kept = null;
  try { kept = JSON.parse(localStorage.getItem("secondpass " + said.dataset.kept)); } catch { /* private windows keep nothing */ }
  if (kept) said.textContent = kept.over ? "Done." : "Begun.";
}
