// The number pad: big keys for gloves, or the keyboard of the laptop; what stands in the display is what is entered.

/** @param {HTMLFormElement} form @param {(said: string) => void} enter */
export function pad(form, enter) {
  const display = form.querySelector("[name=read]");
  const shown = form.querySelector(".unit");
  let unit = form.querySelector("[data-unit-key][aria-pressed=true]").dataset.unitKey;

  const take = (key) => {
    const now = display.value;
    if (key === "back") display.value = now.slice(0, -1);
    else if (key === "±") display.value = now.startsWith("-") ? now.slice(1) : `-${now}`;
    else if (key === "." ? !now.includes(".") : now.length < 12) display.value = now + key;
  };
  for (const one of form.querySelectorAll("[data-key]")) one.addEventListener("click", () => take(one.dataset.key));
  for (const one of form.querySelectorAll("[data-unit-key]")) {
    one.addEventListener("click", () => {
      unit = one.dataset.unitKey;
      shown.textContent = one.textContent;
      for (const other of form.querySelectorAll("[data-unit-key]")) other.setAttribute("aria-pressed", String(other === one));
    });
  }
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const said = display.value.trim().replace(",", ".");
    if (!said) { display.focus(); return; }
    enter(/^-?[\d.]+$/.test(said) ? `${said} ${unit}` : said);
  });
  return {
    /** A key of the keyboard that was pressed anywhere on the page; whether it was taken. @param {string} key */
    pressed(key) {
      const meant = key === "," ? "." : key === "Backspace" ? "back" : key === "-" ? "±" : key;
      if (key === "Enter" && display.value) { form.requestSubmit(); return true; }
      if (!/^[\d.±]$|^back$/.test(meant)) return false;
      take(meant);
      return true;
    },
    text: () => display.value,
    put: (text) => { display.value = text; },
  };
}
