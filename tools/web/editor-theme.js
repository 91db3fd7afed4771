// How the editor looks. Every colour is a property that the page sets: a dark or a sunlight theme is the page's.
import { EditorView } from "@codemirror/view";

const TOUCH = "3.5rem"; // 56 px: what a gloved finger meets
const underline = (style, colour) => ({
  backgroundImage: "none", // the library's own picture is a data: address, which the page's policy need not allow
  paddingBottom: "0",
  textDecoration: `underline ${style} var(${colour}) 2px`,
  textDecorationSkipInk: "none",
  textUnderlineOffset: "3px",
});

export const theme = EditorView.theme({
  "&": { color: "var(--ink)", backgroundColor: "var(--paper)", fontSize: "max(1.0625rem, 16px)", height: "100%" },
  "&.cm-focused": { outline: "3px solid var(--focus, var(--ink))", outlineOffset: "0" },
  ".cm-scroller": {
    fontFamily: "var(--mono, ui-monospace, \"DejaVu Sans Mono\", Menlo, Consolas, monospace)",
    lineHeight: "1.7",
  },
  ".cm-content": { caretColor: "var(--ink)", paddingBlock: "0.75rem" },
  ".cm-cursor, .cm-dropCursor": { borderLeft: "2px solid var(--ink)" },
  ".cm-gutters": {
    color: "var(--muted)",
    backgroundColor: "var(--paper)",
    borderInlineEnd: "1px solid var(--line)",
    fontVariantNumeric: "tabular-nums",
  },
  ".cm-lineNumbers .cm-gutterElement": { minWidth: "2.75rem" },
  ".cm-activeLine": { backgroundColor: "transparent", boxShadow: "inset 0 -1px var(--line), inset 0 1px var(--line)" },
  ".cm-activeLineGutter": { color: "var(--ink)", backgroundColor: "transparent", fontWeight: "600" },
  "&.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground, .cm-selectionBackground": {
    background: "color-mix(in srgb, var(--ink) 22%, transparent)",
  },
  ".cm-searchMatch": { backgroundColor: "transparent", outline: "2px solid var(--between)" },
  ".cm-searchMatch-selected": { outline: "3px solid var(--ink)", backgroundColor: "transparent" },
  "&.cm-focused .cm-matchingBracket": { backgroundColor: "transparent", outline: "2px solid var(--muted)" },
  "&.cm-focused .cm-nonmatchingBracket": { backgroundColor: "transparent", outline: "2px dashed var(--bad)" },

  ".lb-kind": { fontWeight: "700" },
  ".lb-name": { fontWeight: "600" },
  ".lb-colour": { fontWeight: "700", letterSpacing: "0.04em" },
  ".lb-printed": { fontWeight: "700" },
  ".lb-open": { fontWeight: "700", textDecoration: "underline dotted 2px", textUnderlineOffset: "4px" },
  ".lb-text": { fontStyle: "italic" },
  ".lb-note": { fontStyle: "italic", color: "var(--muted)" },
  ".lb-wire": { color: "var(--muted)", fontWeight: "700" },
  ".lb-mark": { color: "var(--muted)" },

  ".cm-lintRange-error": underline("wavy", "--bad"),
  ".cm-lintRange-warning": underline("dashed", "--between"),
  ".cm-lintRange-info": underline("dotted", "--muted"),
  ".cm-lintRange-active": { backgroundColor: "color-mix(in srgb, var(--between) 18%, transparent)" },
  ".cm-lintPoint:after": { borderBottomColor: "var(--bad)" },
  ".lb-problems": { width: "2.75rem", cursor: "pointer" },
  ".lb-problems .cm-gutterElement": { display: "flex", justifyContent: "center" },
  ".lb-problem-icon": {
    display: "block", flex: "none", width: "1.35rem", height: "1.7em", fill: "none", strokeWidth: "2",
    strokeLinecap: "round",
  },
  ".lb-problem-error": { stroke: "var(--bad)" },
  ".lb-problem-warning": { stroke: "var(--between)" },
  ".lb-problem-note": { stroke: "var(--muted)" },
  ".lb-said": { fontSize: "max(1rem, 16px)", maxHeight: "9rem", overflowY: "auto" },
  ".lb-sentence": { display: "flex", gap: "0.75rem", padding: "0.5rem 0.75rem", whiteSpace: "pre-wrap" },

  ".cm-panels": { color: "var(--ink)", backgroundColor: "var(--paper)" },
  ".cm-panels.cm-panels-bottom": { borderTop: "1px solid var(--line)" },
  ".cm-panels.cm-panels-top": { borderBottom: "1px solid var(--line)" },
  ".lb-find": { display: "flex", flexWrap: "wrap", gap: "0.5rem", padding: "0.5rem", fontSize: "max(1rem, 16px)" },
  ".lb-find > *": {
    boxSizing: "border-box",
    minHeight: TOUCH,
    minWidth: TOUCH,
    font: "inherit",
    color: "var(--ink)",
    background: "var(--paper)",
    border: "1.5px solid var(--muted)",
    borderRadius: "4px",
    paddingInline: "1rem",
  },
  ".lb-find > input": { flex: "1 1 12rem", width: "auto" },
  ".cm-tooltip": { color: "var(--ink)", backgroundColor: "var(--paper)", border: "1px solid var(--muted)" },
  ".cm-tooltip.cm-tooltip-autocomplete > ul": {
    fontFamily: "inherit",
    fontSize: "max(1rem, 16px)",
    maxHeight: "17.5rem",
  },
  ".cm-tooltip.cm-tooltip-autocomplete > ul > li": {
    minHeight: TOUCH,
    display: "flex",
    alignItems: "center",
    padding: "0 1rem",
  },
  ".cm-tooltip-autocomplete ul li[aria-selected]": { color: "var(--paper)", background: "var(--ink)" },
  ".cm-diagnostic": { fontSize: "max(1rem, 16px)", padding: "0", border: "none" },
});
