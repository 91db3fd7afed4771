// The editor of the notation, as one module for the page: `makeEditor`.
import { autocompletion, completeFromList, completionKeymap } from "@codemirror/autocomplete";
import { defaultKeymap, history, historyKeymap, redo, undo } from "@codemirror/commands";
import { bracketMatching, syntaxHighlighting } from "@codemirror/language";
import { highlightSelectionMatches, openSearchPanel } from "@codemirror/search";
import { Annotation, EditorState } from "@codemirror/state";
import {
  EditorView, drawSelection, highlightActiveLine, highlightActiveLineGutter, keymap, lineNumbers,
} from "@codemirror/view";
import { classes, notation } from "./editor-notation.js";
import { findKeys, finding } from "./editor-find.js";
import { problemKeys, problemView, withProblems } from "./editor-problems.js";
import { theme } from "./editor-theme.js";

const fromPage = Annotation.define();
const PAIR = /[\ud800-\udbff][\udc00-\udfff]/g;

// Places are told in characters, as the reader in Python counts them; the document counts 16-bit units.
function toUnits(text, place) {
  if (text.search(PAIR) < 0) return Math.min(place, text.length);
  let units = 0;
  for (const sign of text) {
    if (place-- <= 0) break;
    units += sign.length;
  }
  return units;
}

function toCharacters(text, units) {
  const pairs = text.slice(0, units).match(PAIR);
  return units - (pairs ? pairs.length : 0);
}

function kindsAtLineStart(kinds) {
  const listed = completeFromList(kinds.map((kind) => ({ label: kind })));
  return (context) => {
    const before = context.state.doc.lineAt(context.pos);
    const start = before.text.slice(0, context.pos - before.from);
    return /^\s*(?:if (?:not )?\S+ )?[a-z][a-z-]*$/.test(start) ? listed(context) : null;
  };
}

// A name is completed outside of notes, texts and the place of a kind; after a dot its pins are.
function namesInLine(names) {
  return (context) => {
    const line = context.state.doc.lineAt(context.pos);
    const before = line.text.slice(0, context.pos - line.from);
    if (/(?:^|\s)#(?:\s|$)/.test(before) || before.split(/["\u201c-\u201f\u00ab\u00bb\u2033]/).length % 2 === 0) return null;
    const word = context.matchBefore(/[A-Za-z][\w./@+-]*/);
    if (word === null) return null;
    const pins = word.text.includes(".");
    const fits = names().filter((name) => name !== word.text && name.startsWith(word.text) && (pins || !name.includes(".")));
    return fits.length ? { from: word.from, options: fits.map((label) => ({ label })), filter: false } : null;
  };
}

/**
 * Make the editor in `parent`.
 *
 * doc: the text. nonce: that of the page's policy, for the styles. kinds: the words a line may begin with.
 * onChange(text): called at once after each change by the person, never after setText. onCursor(offset): called when
 * the cursor moves. label: the editor's name for screen readers. phrases: from the English words "Find", "next",
 * "previous", "close", "Completions", "current match", "on line", "Selection deleted", "Control character" to those of
 * the page's language.
 *
 * Returns text(), setText(text), which has no problems yet, setProblems([{from, to, level, message}]),
 * setNames([name]), which are completed, goTo(offset), focus(), undo(), redo(), find(), destroy(). Offsets count characters (code points) from 0 in text(), whose lines end
 * in "\n"; level is "error", "warning" or "note".
 */
export function makeEditor({ parent, doc = "", nonce = "", kinds = [], onChange, onCursor, label = "", phrases = {} }) {
  let names = [];
  const told = EditorView.updateListener.of((update) => {
    const byPage = update.transactions.some((one) => one.annotation(fromPage));
    if (update.docChanged && !byPage && onChange) onChange(update.state.doc.toString());
    if ((update.selectionSet || update.docChanged) && onCursor) {
      onCursor(toCharacters(update.state.doc.toString(), update.state.selection.main.head));
    }
  });
  const view = new EditorView({
    parent,
    state: EditorState.create({
      doc,
      extensions: [
        nonce ? EditorView.cspNonce.of(nonce) : [],
        EditorState.phrases.of(phrases),
        // The tab stop is said, as not everything takes an editable text for one.
        EditorView.contentAttributes.of({ tabindex: "0", ...(label ? { "aria-label": label } : {}) }),
        problemView(),
        lineNumbers(),
        history(),
        drawSelection(),
        highlightActiveLine(),
        highlightActiveLineGutter(),
        highlightSelectionMatches(),
        bracketMatching(),
        finding,
        // Nothing is chosen at first, so that Enter ends the line as ever.
        autocompletion({
          override: [kindsAtLineStart(kinds), namesInLine(() => names)], selectOnOpen: false, icons: false,
        }),
        EditorView.lineWrapping,
        notation(kinds),
        syntaxHighlighting(classes),
        theme,
        // Tab leaves the editor: a keyboard must find its way out.
        keymap.of([...completionKeymap, ...findKeys, ...problemKeys, ...historyKeymap, ...defaultKeymap]),
        told,
      ],
    }),
  });
  const whole = () => view.state.doc.toString();
  return {
    text: whole,
    setText(text) {
      const now = whole();
      const wanted = text.replace(/\r\n?/g, "\n");
      if (wanted === now) return;
      const head = Math.min(view.state.selection.main.head, wanted.length);
      view.dispatch({
        changes: { from: 0, to: now.length, insert: wanted },
        selection: { anchor: head },
        annotations: fromPage.of(true),
      });
      view.dispatch(withProblems(view.state, []));
    },
    setProblems(problems) {
      const text = whole();
      const placed = problems.map((one) => ({ ...one, from: toUnits(text, one.from), to: toUnits(text, one.to) }));
      view.dispatch(withProblems(view.state, placed));
      // The sentence that comes up at the foot must not hide the line that is being typed.
      if (view.hasFocus) view.dispatch({ effects: EditorView.scrollIntoView(view.state.selection.main.head) });
    },
    setNames(known) {
      names = known;
    },
    goTo(offset) {
      const place = toUnits(whole(), offset);
      view.dispatch({ selection: { anchor: place }, effects: EditorView.scrollIntoView(place, { y: "center" }) });
      view.focus();
    },
    focus: () => view.focus(),
    undo: () => undo(view),
    redo: () => redo(view),
    find: () => openSearchPanel(view),
    destroy: () => view.destroy(),
  };
}
