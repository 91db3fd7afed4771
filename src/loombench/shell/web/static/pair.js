// Gives the code that the laptop shows. A scanned address holds it behind the #, which no browser sends anywhere.
const form = /** @type {HTMLFormElement | null} */ (document.getElementById("pair"));

if (form !== null) {
  const said = /** @type {HTMLElement} */ (document.getElementById("pair-said"));
  const button = /** @type {HTMLButtonElement} */ (form.querySelector("button"));
  const headers = JSON.parse(document.body.getAttribute("hx-headers") ?? "{}");

  /** Take over what was scanned, and leave it in no history. */
  const scanned = () => {
    if (/^#\d{8}$/.test(location.hash)) {
      form.code.value = location.hash.slice(1);
      history.replaceState(null, "", location.pathname);
    }
  };
  scanned();
  addEventListener("hashchange", scanned);

  /** Ask for as long as it takes; while the server does not listen, the button does not either. */
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    button.disabled = true;
    let waitS = 0;
    try {
      const answer = await fetch(form.action || "/pair", {
        method: "POST", headers, body: new URLSearchParams(new FormData(form)),
      });
      const text = await answer.text();
      if (answer.ok) {
        location.replace("/");
        return;
      }
      const found = (answer.headers.get("content-type") ?? "").includes("json") ? JSON.parse(text) : { said: text, wait_s: 0 };
      said.textContent = found.said;
      waitS = found.wait_s;
    } catch {
      said.textContent = said.dataset.lost ?? "";
    }
    setTimeout(() => { button.disabled = false; }, waitS * 1000);
  });
}
