// The circuit view: a tap operates a part or puts a lead on a pin; every change is an address to keep and to share.
const facts = document.getElementById("circuit-facts");
const { Sheets } = await import(facts.dataset.sheets);
const { Live, hands, say, withWord } = await import(facts.dataset.live);

const sheets = new Sheets([...document.querySelectorAll(".paper .sheet")], (touched) => {
  if (hand.now === "lead") {
    if (touched.pin) lead(touched.pin); else say(facts.dataset.noPin);
  } else if (touched.part) operate(touched.part);
  else if (touched.wire) live.go(withWord("part", touched.wire));
  else say(facts.dataset.nothing);
});
const live = new Live(sheets, JSON.parse(facts.dataset.taps), true);
const hand = hands(sheets, { u: () => document.getElementById("back")?.click() });
document.body.dataset.ready = "";

/** @param {string} part */
function operate(part) {
  const at = withWord("part", part);
  if (live.taps[part]) at.searchParams.append("do", live.taps[part]);
  live.go(at);
}

/** Put the lead in hand on a pin; the other one is in hand then. @param {string} pin */
function lead(pin) {
  const at = withWord("pin", pin);
  at.searchParams.set(hand.black ? "black" : "red", pin);
  if (!hand.black) at.searchParams.delete("black");
  hand.black = !hand.black;
  live.go(at);
}
