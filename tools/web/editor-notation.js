// What a line of the notation is made of, for the eye alone: the reader in Python decides what it means.
import { StreamLanguage } from "@codemirror/language";
import { tagHighlighter, tags } from "@lezer/highlight";

const QUOTES = "\"“”„‟«»″";
const STRING = new RegExp(`^[${QUOTES}][^${QUOTES}]*[${QUOTES}]?`);
const WORD = new RegExp(`^(?:::|[^\\s()|=:${QUOTES}])+`);
const COMMENT = /^#.*/;
// In the brackets of a wire a number printed on it may begin with the same sign.
const COMMENT_IN_WIRE = /^#(?:\s.*)?$/;
const QUANTITY = /^[+-]?\d[\d.,/]*(?:\.\.[\d.,?]+)*[^\d\s]*\d?,?$/u;
const COLOUR = /^[A-Za-z]{1,3}(?:[/-][A-Za-z]{1,3})*,?$/;
const NAME = /^[A-Z][A-Za-z]*\d/;
const PLACE_NEXT = ["via", "at", "in"];

const TABLE = {
  kind: tags.keyword,
  name: tags.variableName,
  colour: tags.color,
  quantity: tags.number,
  open: tags.null,
  printed: tags.literal,
  text: tags.string,
  note: tags.comment,
  wire: tags.paren,
  mark: tags.operator,
};

/** The classes that the words of a line bear: `lb-kind`, `lb-name`, `lb-colour` and so on. */
export const classes = tagHighlighter(
  Object.entries(TABLE).map(([word, tag]) => ({ tag, class: `lb-${word}` })),
);

function inWire(state, word) {
  const before = state.before;
  state.before = word;
  if (PLACE_NEXT.includes(before)) return "name";
  if (word.startsWith("#")) return "printed";
  if (word.startsWith("?")) return "open";
  if (QUANTITY.test(word)) return "quantity";
  if (PLACE_NEXT.includes(word)) return null;
  return COLOUR.test(word) ? "colour" : null;
}

function onLine(state, word, kinds) {
  const before = state.before;
  state.before = word;
  if (state.first) {
    // `if OPTION` and `if not OPTION` stand before a line, which then begins anew.
    if (before === "if" && word === "not") return "kind";
    if (before === "if" || before === "not") return "name";
    if (word === "if") return kinds.has(word) ? "kind" : null;
    state.first = false;
    if (kinds.has(word)) {
      state.named = true;
      return "kind";
    }
  } else if (state.named) {
    state.named = false;
    return /^[\d?]/.test(word) ? "quantity" : "name";
  }
  if (word.startsWith("?")) return "open";
  if (QUANTITY.test(word)) return "quantity";
  return NAME.test(word) ? "name" : null;
}

/** The language of the notation; `kinds` are the words a line may begin with. */
export function notation(kinds) {
  const known = new Set(kinds);
  return StreamLanguage.define({
    name: "loombench",
    startState: () => ({ depth: 0, first: true, named: false, before: "" }),
    copyState: (state) => ({ ...state }),
    token(stream, state) {
      if (stream.sol()) Object.assign(state, { depth: 0, first: true, named: false, before: "" });
      if (stream.eatSpace()) return null;
      if (stream.match(state.depth ? COMMENT_IN_WIRE : COMMENT)) return "note";
      if (stream.match(STRING)) return "text";
      const word = stream.match(WORD);
      if (word) return state.depth ? inWire(state, word[0]) : onLine(state, word[0], known);
      const mark = stream.next();
      state.first = state.named = false;
      if (mark === "(") state.depth += 1;
      if (mark === ")") state.depth = Math.max(0, state.depth - 1);
      state.before = "";
      return mark === "(" || mark === ")" ? "wire" : "mark";
    },
    languageData: { commentTokens: { line: "#" }, closeBrackets: { brackets: ["(", '"'] } },
    tokenTable: TABLE,
  });
}
