// A reading by two taps on the drawing: the red lead first, then the black one; then what the meter shows.

/** @param {HTMLElement} place @param {typeof import("./sheets.js").Sheets} Sheets @param {string} state @param {(said: string) => void} enter */
export function leads(place, Sheets, state, enter) {
  const form = place.querySelector("[data-tapped]");
  if (!form) return;
  const [red, black, value, unit] = ["tap-red", "tap-black", "tap-value", "tap-unit"].map((id) => document.getElementById(id));
  let next = red;
  const turn = (one) => {
    next = one;
    for (const field of [red, black]) field.classList.toggle("next", field === next);
  };
  const sheets = new Sheets([...place.querySelectorAll(".sheet")], ({ pin }) => {
    if (!pin) return;
    document.getElementById("taps").open = true;
    next.value = pin;
    if (next === black) value.focus({ preventScroll: true });
    turn(next === red ? black : red);
  });
  for (const sheet of sheets.all) inSight(sheet);
  for (const one of place.querySelectorAll("[data-zoom]")) one.addEventListener("click", () => sheets.zoom(one.dataset.zoom));
  for (const field of [red, black]) field.addEventListener("focus", () => turn(field));
  document.getElementById("tap-state").textContent = state;
  turn(red);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const read = unit.value === "OL" ? "OL" : `${value.value.trim().replace(",", ".")}${unit.value}`;
    if (!red.value.trim()) { red.focus(); return; }
    if (unit.value !== "OL" && !value.value.trim()) { value.focus(); return; }
    const to = black.value.trim() ? ` to ${black.value.trim()}` : "";
    enter(`${red.value.trim()}${to} ${read}`);
    form.reset();
    turn(red);
  });
}

/** What a step is about is in sight: where its leads are, else the first suspect. @param {HTMLElement} sheet */
function inSight(sheet) {
  const leads = [...sheet.querySelectorAll("circle.lead")];
  const about = leads.length ? leads : [...sheet.querySelectorAll(".suspect")].slice(0, 1);
  if (!about.length) return;
  const boxes = about.map((one) => one.getBoundingClientRect()), at = sheet.getBoundingClientRect();
  const middle = (low, high) => (Math.min(...boxes.map((one) => one[low])) + Math.max(...boxes.map((one) => one[high]))) / 2;
  sheet.scrollLeft += middle("left", "right") - at.left - sheet.clientWidth / 2;
  sheet.scrollTop += middle("top", "bottom") - at.top - sheet.clientHeight / 2;
}
