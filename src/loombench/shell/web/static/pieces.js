// A page written anew piece by piece: a piece that comes out as before stays the same element, with what is typed, open
// or pressed in it. Pieces are the children of the place and of whatever in it is marked `data-pieces`, by name.

export class Pieces {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    this.written = new WeakMap();
  }

  /** Write all of it; nothing stays where `same` says that it is about something else. Returns what that said.
   * @param {string} text @param {(fresh: DocumentFragment) => boolean} same */
  write(text, same) {
    const fresh = document.createElement("template");
    fresh.innerHTML = text;
    this.#remember(fresh.content);
    const alike = same(fresh.content);
    if (alike) this.#align(this.place, fresh.content);
    else this.place.replaceChildren(...fresh.content.children);
    return alike;
  }

  #remember(parent) {
    for (const one of parent.children) {
      if (one.dataset.pieces === undefined) this.written.set(one, one.outerHTML);
      else this.#remember(one);
    }
  }

  #alike(old, fresh) {
    const name = fresh.dataset.pieces;
    return name === undefined ? this.written.get(old) === this.written.get(fresh) : old.dataset.pieces === name;
  }

  /** Give one the children of another. What stays is never moved: moved, it would lose the focus, and a tap begun on it. */
  #align(old, fresh) {
    const left = [...old.children];
    const wanted = [...fresh.children].map((one) => {
      const k = left.findIndex((other) => this.#alike(other, one));
      return { one, stays: k < 0 ? null : left.splice(0, k + 1)[k] };
    });
    const stay = new Set(wanted.map(({ stays }) => stays));
    for (const one of [...old.children]) if (!stay.has(one)) one.remove();
    let next = old.firstElementChild;
    for (const { one, stays } of wanted) {
      if (!stays) { old.insertBefore(one, next); continue; }
      next = stays.nextElementSibling;
      if (one.dataset.pieces !== undefined) this.#become(stays, one);
    }
  }

  #become(old, fresh) {
    for (const { name } of [...old.attributes]) if (!fresh.hasAttribute(name)) old.removeAttribute(name);
    for (const { name, value } of fresh.attributes) old.setAttribute(name, value);
    this.#align(old, fresh);
  }
}
