// A worker of a reader's page: the engine, joined to the page by messages. It stands behind the Go tool's wasm_exec.js.
onmessage = async ({ data }) => {
  if (!data.module) { globalThis.secondpass.hear(data); return; }
  const go = new Go();
  globalThis.secondpass = { ...data, module: undefined, send: (text) => postMessage(text) };
  try {
    const instance = await WebAssembly.instantiate(data.module, go.importObject);
    await go.run(instance);
    postMessage(JSON.stringify({ ended: true }));
  } catch (error) {
    postMessage(JSON.stringify({ failed: String(error) }));
  }
};
