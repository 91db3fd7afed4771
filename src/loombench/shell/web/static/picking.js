// A complaint by picking: what is picked is written into the box as one would type it, so that both are one thing.
const picking = document.querySelector(".picking");
const box = document.getElementById("what");
const sieve = document.getElementById("sieve");

/** @param {string} attribute @returns {string[]} */
function picked(attribute) {
  const pressed = picking.querySelectorAll(`[data-${attribute}][aria-pressed=true]`);
  return [...pressed].map((one) => one.dataset[attribute]);
}

/** The clauses of what is picked: each load with what it does and when; then what happened before. */
function clauses() {
  const does = picked("does")[0];
  const set = [...picking.querySelectorAll("[data-control]")].filter((one) => one.value).map((one) => `${one.dataset.control}=${one.value}`);
  const when = set.length ? ` ${picking.dataset.when} ${set.join(", ")}` : "";
  const present = picked("present")[0] ?? "";
  const said = does ? picked("load").map((load) => `${load} ${does}${present ? ` ${present}` : ""}${when}`) : [];
  return [...said, ...picked("before")];
}

function clear() {
  for (const one of picking.querySelectorAll("[aria-pressed=true]")) one.setAttribute("aria-pressed", "false");
  for (const one of picking.querySelectorAll("[data-control]")) one.value = "";
  fuses();
}

/** A fuse blows, a load does not: only what fits is offered. */
function fuses() {
  const fuse = Boolean(picking.querySelector("[data-fuse][aria-pressed=true]"));
  for (const one of picking.querySelectorAll("[data-does]")) {
    one.hidden = ("blows" in one.dataset) !== fuse;
    if (one.hidden) one.setAttribute("aria-pressed", "false");
  }
}

picking?.addEventListener("click", (event) => {
  const one = event.target.closest("button");
  if (!one) return;
  if (one.id === "pick-clear") { clear(); box.value = ""; box.dispatchEvent(new Event("input", { bubbles: true })); return; }
  if (one.id === "pick-add") {
    const said = clauses();
    if (!said.length) return;
    box.value = [...(box.value.trim() ? [box.value.trim()] : []), ...said].join("; ");
    clear();
    box.dispatchEvent(new Event("input", { bubbles: true }));
    box.scrollIntoView({ block: "center" });
    return;
  }
  const on = one.getAttribute("aria-pressed") !== "true";
  for (const group of ["does", "present"]) {
    if (group in one.dataset) for (const other of picking.querySelectorAll(`[data-${group}]`)) other.setAttribute("aria-pressed", "false");
  }
  one.setAttribute("aria-pressed", String(on));
  fuses();
});

sieve?.addEventListener("input", () => {
  const words = sieve.value.toLowerCase().split(/\s+/).filter(Boolean);
  for (const group of picking.querySelectorAll(".group")) {
    const title = group.querySelector("h3").textContent;
    let seen = 0;
    for (const one of group.querySelectorAll(".load")) {
      const text = `${title} ${one.textContent}`.toLowerCase();
      one.hidden = !words.every((word) => text.includes(word));
      seen += Number(!one.hidden);
    }
    group.hidden = !seen;
  }
});
