// What a browser shows of an SVG page: where the ink of its texts is, the outlines and fills of its parts; all in mm.
() => {
  const root = document.documentElement.tagName.toLowerCase() === "svg" ? document.documentElement
    : document.querySelector("svg");
  const view = root.viewBox.baseVal;
  const shown = root.getBoundingClientRect();
  const back = root.getScreenCTM().inverse();
  const round = number => Math.round(number * 1000) / 1000;
  // Asking for a matrix makes the browser look at the whole page again, so once an element.
  const placed = element => {
    const {a, b, c, d, e, f} = back.multiply(element.getScreenCTM());
    return (x, y) => [round(a * x + c * y + e), round(b * x + d * y + f)];
  };
  const boxed = (through, x0, y0, x1, y1) => {
    const corners = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]].map(([x, y]) => through(x, y));
    const xs = corners.map(one => one[0]), ys = corners.map(one => one[1]);
    return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  };
  const names = new Map(), times = new Map();
  for (const group of root.querySelectorAll("g.part")) {
    const name = group.getAttribute("data-part") || "?", time = (times.get(name) || 0) + 1;
    times.set(name, time);
    names.set(group, time === 1 ? name : `${name} (${time})`);
  }
  const partOf = element => names.get(element.closest("g.part")) || "";
  const canvas = new OffscreenCanvas(10, 10).getContext("2d");
  const visible = style => style.display !== "none" && style.visibility === "visible" && Number(style.opacity) > 0;
  const texts = [], shapes = [], grounds = [];
  for (const text of root.querySelectorAll("text")) {
    const pieces = [...text.querySelectorAll("tspan")].filter(one => one.hasAttribute("y") || one.hasAttribute("dy"));
    for (const piece of pieces.length ? pieces : [text]) {
      if (!piece.textContent.trim() || piece.getNumberOfChars() === 0) continue;
      const style = getComputedStyle(piece);
      const size = parseFloat(style.fontSize);
      // Measured large, as a canvas rounds to whole pixels at small sizes.
      canvas.font = `${style.fontStyle} ${style.fontWeight} 100px ${style.fontFamily}`;
      const ink = canvas.measureText(piece.textContent);
      const start = piece.getStartPositionOfChar(0), box = piece.getBBox();
      const up = ink.actualBoundingBoxAscent * size / 100, down = ink.actualBoundingBoxDescent * size / 100;
      const matrix = piece.getScreenCTM(), scale = Math.hypot(matrix.c, matrix.d) * Math.hypot(back.c, back.d);
      texts.push({
        text: piece.textContent, part: partOf(piece), label: text.classList.contains("label") && !text.closest("g.part"),
        join: Boolean(text.closest(".join")), size_mm: round(size * scale),
        box: boxed(placed(piece), box.x, start.y - up, box.x + box.width, start.y + down),
        seen: visible(style) && style.fill !== "none", fill: style.fill, weight: style.fontWeight,
      });
    }
  }
  for (const element of root.querySelectorAll("line,polyline,polygon,rect,circle,ellipse,path")) {
    const style = getComputedStyle(element);
    if (!visible(style) || (style.stroke === "none" && style.fill === "none")) continue;
    if (element.classList.contains("label-ground")) {
      const box = element.getBBox();
      grounds.push(boxed(placed(element), box.x, box.y, box.x + box.width, box.y + box.height));
      continue;
    }
    const part = partOf(element);
    const wire = ["wire", "wire-edge", "wire-stripe"].find(name => element.classList.contains(name)) || "";
    const box = element.getBBox(), spots = [], through = placed(element);
    if (!wire && part && !element.classList.contains("pin")) {
      const long = element.getTotalLength(), steps = Math.max(2, Math.ceil(long / 0.4));
      for (let n = 0; n <= steps; n++) {
        const spot = element.getPointAtLength(long * n / steps);
        spots.push(through(spot.x, spot.y));
      }
    }
    shapes.push({
      part, wire, kind: element.tagName, pin: element.classList.contains("pin"), spots,
      kindOf: part ? element.closest(".part").getAttribute("data-kind") || "" : "",
      ground: style.stroke === "none", filled: style.fill !== "none", stroke: style.stroke,
      corners: wire ? [...element.points].map(spot => through(spot.x, spot.y)) : [],
      width_mm: style.stroke === "none" ? 0 : round(parseFloat(style.strokeWidth)),
      box: boxed(through, box.x, box.y, box.x + box.width, box.y + box.height),
    });
  }
  // As text: a driver takes ten times as long over so many numbers.
  return JSON.stringify({texts, shapes, grounds, view: [view.x, view.y, view.x + view.width, view.y + view.height],
          shown_mm: [shown.width * 25.4 / 96, shown.height * 25.4 / 96]});
}
