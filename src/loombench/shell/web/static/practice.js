// A round of practice: a tap operates or puts a lead, a reading is an act of its own; the address carries the acts.
const facts = document.getElementById("circuit-facts");
const { Sheets } = await import(facts.dataset.sheets);
const { Live, hands, say, withWord } = await import(facts.dataset.live);

const sheets = new Sheets([...document.querySelectorAll(".paper .sheet")], (touched) => {
  if (hand.now === "lead") {
    if (touched.pin) lead(touched.pin); else say(facts.dataset.noPin);
  } else if (touched.part || touched.wire) operate(touched.part || touched.wire);
  else say(facts.dataset.nothing);
});
const live = new Live(sheets, JSON.parse(facts.dataset.taps), false);
const hand = hands(sheets, { r: () => document.getElementById("read")?.click() });
document.body.dataset.ready = "";

/** @param {string} part */
function operate(part) {
  const at = withWord("part", part);
  if (live.taps[part]) at.searchParams.append("act", live.taps[part]);
  live.go(at);
}

/** Put the lead in hand on a pin; the other one is in hand then. @param {string} pin */
function lead(pin) {
  const at = withWord(hand.black ? "black" : "red", pin);
  if (!hand.black) at.searchParams.delete("black");
  hand.black = !hand.black;
  live.go(at);
}

/** When the round is over its end is fetched as a page of its own. */
document.addEventListener("live:put", () => {
  if (document.querySelector("#ledger [data-over]")) location.reload();
});
