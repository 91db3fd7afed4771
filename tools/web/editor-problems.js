// Problems in the text: a line under the words, a sign beside the line, and the sentences below, none by colour alone.
import { linter, nextDiagnostic, previousDiagnostic, setDiagnostics } from "@codemirror/lint";
import { RangeSet, StateEffect, StateField } from "@codemirror/state";
import { GutterMarker, gutter, showPanel } from "@codemirror/view";

const SEVERITY = { error: "error", warning: "warning", note: "info" };
const LEVELS = ["error", "warning", "note"];
const SHAPES = {
  error: "M1.5 1.5 H14.5 V14.5 H1.5 Z M5.2 5.2 L10.8 10.8 M10.8 5.2 L5.2 10.8",
  warning: "M8 1.5 L15 14.5 L1 14.5 Z M8 6.5 L8 9.8 M8 12.2 L8 12.3",
  note: "M8 1 A7 7 0 1 1 7.99 1 Z M8 7.3 L8 11.5 M8 4.3 L8 4.4",
};

function icon(level) {
  const made = (name) => document.createElementNS("http://www.w3.org/2000/svg", name);
  const drawn = made("svg");
  drawn.setAttribute("viewBox", "0 0 16 16");
  drawn.setAttribute("class", `lb-problem-icon lb-problem-${level}`);
  drawn.setAttribute("aria-hidden", "true");
  const path = made("path");
  path.setAttribute("d", SHAPES[level]);
  drawn.append(path);
  return drawn;
}

function sentence(level, message) {
  const row = document.createElement("div");
  row.className = `lb-sentence lb-sentence-${level}`;
  const words = document.createElement("span");
  words.textContent = message;
  row.append(icon(level), words);
  return row;
}

class Sign extends GutterMarker {
  constructor(level, said) {
    super();
    this.level = level;
    this.said = said;
  }

  eq(other) {
    return this.level === other.level && this.said === other.said;
  }

  toDOM() {
    const sign = document.createElement("span");
    sign.className = "lb-sign";
    sign.setAttribute("role", "img");
    sign.setAttribute("aria-label", this.said);
    sign.append(icon(this.level));
    return sign;
  }
}

const put = StateEffect.define();
// The problems by place, the worst first; kept here since the library forgets a place without width at the text's end.
const held = StateField.define({
  create: () => [],
  update(value, tr) {
    for (const effect of tr.effects) {
      if (effect.is(put)) {
        return [...effect.value].sort((a, b) => a.from - b.from || LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level));
      }
    }
    if (!tr.docChanged || !value.length) return value;
    const moved = (place) => tr.changes.mapPos(place);
    return value.map((item) => ({ ...item, from: moved(item.from), to: moved(item.to) }));
  },
});

function signs(state) {
  const worst = new Map();
  for (const item of state.field(held)) {
    const at = state.doc.lineAt(item.from).from;
    const known = worst.get(at);
    const level = known && LEVELS.indexOf(known.level) < LEVELS.indexOf(item.level) ? known.level : item.level;
    worst.set(at, { level, said: known ? `${known.said}\n${item.message}` : item.message });
  }
  return RangeSet.of([...worst].map(([at, one]) => new Sign(one.level, one.said).range(at)), true);
}

const changed = (tr) => tr.state.field(held) !== tr.startState.field(held);
const beside = StateField.define({
  create: signs,
  update: (value, tr) => (changed(tr) ? signs(tr.state) : value),
});

/** The sentences on the line of the cursor. */
function sentences(view) {
  const dom = document.createElement("div");
  dom.className = "lb-said";
  dom.setAttribute("aria-live", "polite");
  let shown = null;
  const fill = () => {
    const line = view.state.doc.lineAt(view.state.selection.main.head);
    const here = view.state.field(held).filter((item) => item.from <= line.to && item.to >= line.from);
    const key = JSON.stringify(here.map((item) => [item.level, item.message]));
    if (key === shown) return;
    shown = key;
    dom.replaceChildren(...here.map((item) => sentence(item.level, item.message)));
  };
  fill();
  return { dom, update: fill };
}

const below = StateField.define({
  create: () => null,
  update: (value, tr) => (changed(tr) ? (tr.state.field(held).length ? sentences : null) : value),
  provide: (field) => showPanel.from(field),
});

export const problemKeys = [{ key: "F8", run: nextDiagnostic, shift: previousDiagnostic }];

/** All that shows problems; a tap beside a line brings the cursor to the first one on it. */
export function problemView() {
  const tapped = (view, block) => {
    const first = view.state.field(held).find((item) => item.from >= block.from && item.from <= block.to);
    if (!first) return false;
    view.dispatch({ selection: { anchor: first.from }, scrollIntoView: true });
    view.focus();
    return true;
  };
  return [
    linter(null),
    held,
    beside,
    below,
    gutter({
      class: "lb-problems",
      markers: (view) => view.state.field(beside),
      initialSpacer: () => null,
      domEventHandlers: { mousedown: tapped },
    }),
  ];
}

// A place without width is shown on the character after it, or the last one of its line.
function widened(doc, from, to) {
  if (to > from) return { from, to };
  const line = doc.lineAt(from);
  if (from < line.to) return { from, to: from + 1 };
  return { from: Math.max(line.from, from - 1), to: from };
}

/** The transaction that puts these problems in the place of all there are; places are those of the document. */
export function withProblems(state, problems) {
  const within = (place) => Math.max(0, Math.min(state.doc.length, place));
  const items = problems.map(({ from, to, level, message }) => ({
    ...widened(state.doc, within(from), within(to)),
    level: level in SEVERITY ? level : "error",
    message,
  }));
  const marks = items.map(({ level, ...item }) => ({
    ...item,
    severity: SEVERITY[level],
    renderMessage: () => sentence(level, item.message),
  }));
  const { effects } = setDiagnostics(state, marks);
  return { effects: [effects, put.of(items)].flat() };
}
