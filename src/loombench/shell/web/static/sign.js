// A signature drawn with a finger, a pen or a mouse, kept as lines and not as a picture.

const LONGEST = 17000;
const LEAST = 6;

/** @param {HTMLCanvasElement} canvas */
export function signature(canvas) {
  const paper = canvas.getContext("2d");
  /** @type {[number, number][][]} */
  let strokes = [];
  let drawing = false;

  const at = (event) => {
    const box = canvas.getBoundingClientRect();
    const within = (value, most) => Math.max(0, Math.min(most, Math.round(value)));
    return [
      within(((event.clientX - box.left) / box.width) * canvas.width, canvas.width - 1),
      within(((event.clientY - box.top) / box.height) * canvas.height, canvas.height - 1),
    ];
  };
  const draw = () => {
    paper.clearRect(0, 0, canvas.width, canvas.height);
    paper.lineWidth = 5;
    paper.lineCap = paper.lineJoin = "round";
    paper.strokeStyle = "#111111";
    for (const stroke of strokes) {
      paper.beginPath();
      stroke.forEach(([x, y], k) => (k ? paper.lineTo(x, y) : paper.moveTo(x, y)));
      paper.stroke();
    }
  };
  const path = () => strokes.filter((one) => one.length > 1)
    .map((one) => one.map(([x, y], k) => `${k ? "L" : "M"}${x} ${y}`).join("")).join("");

  canvas.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    canvas.setPointerCapture(event.pointerId);
    drawing = true;
    strokes.push([at(event)]);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!drawing) return;
    const stroke = strokes[strokes.length - 1], last = stroke[stroke.length - 1], next = at(event);
    if (Math.hypot(next[0] - last[0], next[1] - last[1]) < LEAST || path().length > LONGEST) return;
    stroke.push(next);
    draw();
  });
  for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, () => { drawing = false; });
  return { path, clear: () => { strokes = []; draw(); } };
}
