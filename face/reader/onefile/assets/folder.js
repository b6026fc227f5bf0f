// What the pages of a folder have beside that of a single file: a folder that is hosted works without a network once it was seen.
if ("folder" in document.body.dataset && "serviceWorker" in navigator && location.protocol.startsWith("http")) {
  navigator.serviceWorker.register("service-worker.js").catch(() => {}); // then it works with a network only
}
