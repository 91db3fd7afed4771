// What every page needs: what the server says, and what to do while it does not answer.
const said = document.getElementById("said");
const { lost, refused, large, mistake } = document.body.dataset;
const WRONG = new Map([[403, refused], [413, large]]);

/** Say something at the foot of the page; an empty text takes it away. */
export function say(text) {
  said.textContent = text;
}

document.body.addEventListener("htmx:sendError", () => say(lost));
document.body.addEventListener("htmx:responseError", (event) => say(WRONG.get(event.detail.xhr.status) ?? mistake));
document.body.addEventListener("htmx:afterRequest", (event) => event.detail.successful && say(""));

// A page that is still being worked out asks again by itself.
const again = document.querySelector("[data-again-ms]");
if (again) setTimeout(() => location.reload(), Number(again.dataset.againMs));
