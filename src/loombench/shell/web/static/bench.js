// What every page needs: what the server says, and what to do while it does not answer.
const said = document.getElementById("said");
const LOST = document.body.dataset.lost ?? "";

/** Say something at the foot of the page; an empty text takes it away. */
export function say(text) {
  said.textContent = text;
}

document.body.addEventListener("htmx:sendError", () => say(LOST));
document.body.addEventListener("htmx:afterOnLoad", () => say(""));
