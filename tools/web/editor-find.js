// Finding a word in the text: one field and two buttons, large enough for a glove. Nothing is replaced from here.
import {
  SearchQuery, closeSearchPanel, findNext, findPrevious, openSearchPanel, search, setSearchQuery,
} from "@codemirror/search";
import { runScopeHandlers } from "@codemirror/view";

function made(name, properties, ...inner) {
  const element = Object.assign(document.createElement(name), properties);
  element.append(...inner);
  return element;
}

function panel(view) {
  const word = (name) => view.state.phrase(name);
  const field = made("input", { type: "search", name: "find", autocomplete: "off" });
  field.setAttribute("aria-label", word("Find"));
  field.setAttribute("main-field", "true"); // by this the library finds what to bring into focus
  const sought = () => {
    const query = new SearchQuery({ search: field.value, literal: true });
    view.dispatch({ effects: setSearchQuery.of(query) });
  };
  const button = (name, act) => made("button", { type: "button", onclick: () => act(view) }, word(name));
  field.addEventListener("input", sought);
  const dom = made(
    "div", { className: "lb-find" }, field,
    button("next", findNext), button("previous", findPrevious), button("close", closeSearchPanel),
  );
  dom.addEventListener("keydown", (event) => {
    if (runScopeHandlers(view, event, "search-panel")) {
      event.preventDefault();
    } else if (event.key === "Enter" && event.target === field) {
      event.preventDefault();
      (event.shiftKey ? findPrevious : findNext)(view);
    }
  });
  return { dom, top: true, mount: () => field.select() };
}

export const finding = search({ top: true, createPanel: panel });

const scope = "editor search-panel";
export const findKeys = [
  { key: "Mod-f", run: openSearchPanel, scope },
  { key: "F3", run: findNext, shift: findPrevious, scope, preventDefault: true },
  { key: "Mod-g", run: findNext, shift: findPrevious, scope, preventDefault: true },
  { key: "Escape", run: closeSearchPanel, scope },
];
