// What every page needs: what the server says, and what to do while it does not answer.
const said = document.getElementById("said");
const { lost, refused, large, mistake, working } = document.body.dataset;
const PATIENCE_MS = 1000;
let patience = 0;
const WRONG = new Map([[403, refused], [413, large]]);

/** Say something at the foot of the page; an empty text takes it away. */
export function say(text) {
  said.textContent = text;
}

/** Whatever takes over a second is told to be under way. */
function waits() {
  clearTimeout(patience);
  patience = setTimeout(() => say(working), PATIENCE_MS);
}

/** What was waited for is there, or its wait is over. */
function there() {
  clearTimeout(patience);
  if (said.textContent === working) say("");
}

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a[href]");
  const here = link && link.origin === location.origin && !link.target && link.dataset.file === undefined;
  if (here && !event.defaultPrevented && link.getAttribute("href")[0] !== "#") waits();
});
addEventListener("pageshow", there);
document.body.addEventListener("htmx:beforeRequest", waits);
document.body.addEventListener("htmx:afterRequest", there);
document.body.addEventListener("htmx:sendError", () => say(lost));
document.body.addEventListener("htmx:responseError", (event) => say(WRONG.get(event.detail.xhr.status) ?? mistake));
document.body.addEventListener("htmx:afterRequest", (event) => event.detail.successful && say(""));

// A page that is still being worked out asks again by itself.
const again = document.querySelector("[data-again-ms]");
if (again) setTimeout(() => location.reload(), Number(again.dataset.againMs));
