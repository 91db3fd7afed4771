// Readings of one set-up over the time of a job, drawn as a line with its points; a table beside it says the same.
const HEIGHT_PX = 220, LONG_S = 180;

/** @param {HTMLElement} place What holds the courses, each an element with its figures. */
export function drawCourses(place) {
  for (const one of place.querySelectorAll("[data-course]")) draw(one, JSON.parse(one.dataset.course));
}

/** @param {HTMLElement} one @param {{unit: string, times_s: number[], values: number[]}} course */
function draw(one, course) {
  const look = getComputedStyle(document.documentElement);
  const ink = look.getPropertyValue("--ink").trim(), line = look.getPropertyValue("--line").trim();
  const long = course.times_s.at(-1) > LONG_S;
  const font = `16px ${getComputedStyle(one).fontFamily}`;
  const axis = { stroke: ink, font, labelFont: font, grid: { stroke: line, width: 1 }, ticks: { stroke: line, width: 1 } };
  const options = {
    width: one.clientWidth,
    height: HEIGHT_PX,
    scales: { x: { time: false } },
    legend: { show: false },
    cursor: { show: false },
    axes: [{ ...axis, label: long ? "min" : "s" }, { ...axis, label: course.unit.replace("ohm", "Ω"), size: 70 }],
    series: [{}, { stroke: ink, width: 2, points: { show: true, size: 9, fill: ink } }],
  };
  const times = course.times_s.map((at) => (long ? at / 60 : at));
  const plot = new globalThis.uPlot(options, [times, course.values], one);
  new ResizeObserver(() => plot.setSize({ width: one.clientWidth, height: HEIGHT_PX })).observe(one);
}
