"""The layout script and what it needs around it in an engine that has no browser's surroundings."""

from pathlib import Path

_WORKER = Path(__file__).parent / "elk-worker.min.js"

# The worker is written for a browser: it wants `self`, a module to put itself in, and a timer. The timer has to call at
# once and to be there before the worker is loaded, as an embedded engine runs no event loop.
_BEFORE = """
globalThis.self = globalThis; var module = {exports: {}}; var exports = module.exports;
globalThis.setTimeout = f => { f(); return 0 }; globalThis.clearTimeout = () => {};
"""
_AFTER = """
var replies = {}, worker = new (module.exports.default || module.exports.Worker)();
worker.onmessage = m => { const d = m.data || m; replies[d.id] = d };
worker.postMessage({id: 0, cmd: 'register', algorithms: ['layered']});
function lay(text) {
  worker.postMessage({id: 1, cmd: 'layout', graph: JSON.parse(text), layoutOptions: {}, options: {}});
  const reply = replies[1]; delete replies[1];
  return JSON.stringify(reply && !reply.error ? {ok: reply.data} : {error: String(reply && reply.error)},
    (key, value) => key === '$H' ? undefined : value);
}
"""
FUNCTION = "lay"
"""The name of the function that takes a graph as JSON and gives `{"ok": graph}` or `{"error": text}` as JSON."""


def source() -> str:
    """The whole script; its value is a number."""
    return f"{_BEFORE}{_WORKER.read_text(encoding='utf-8')}{_AFTER};0"
