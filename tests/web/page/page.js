import { makeEditor } from "/static/editor.js";

const nonce = document.querySelector("script[nonce]").nonce;
window.changes = [];
window.cursor = [];
window.makeEditor = makeEditor;
window.made = makeEditor({
  parent: document.getElementById("editor"),
  doc: "",
  nonce,
  label: "The vehicle's text",
  kinds: ["lamp", "fuse", "vehicle", "if", "connector"],
  onChange: (text) => window.changes.push(text),
  onCursor: (offset) => window.cursor.push(offset),
});
window.plotted = () => new uPlot(
  { width: 300, height: 120, scales: { x: { time: false } }, series: [{}, { stroke: "black" }] },
  [[0, 1, 2], [12, 11, 12]], document.getElementById("plot"),
);
