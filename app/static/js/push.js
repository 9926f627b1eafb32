/* Pushing the closure in: its thumb moves the drawn closure along the tube, the curve shows the
   force. It changes no field, so all of it happens here. */

const PUSH = {left: 54, right: 14, draw: 42, air: 16}; // air keeps the thumb off the numbers

function pushView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<section class="view push"><h2><b>Push it in</b> <span class="said"></span></h2>
    <div class="field"><svg aria-hidden="true"></svg><input type="range" min="0" max="1000" step="1" value="1000" aria-label="Push the closure in"></div></section>`);
  const [head, field] = host.lastElementChild.children;
  const [, said] = head.children;
  const [svg, slider] = field.children;
  const fixed = svgEl("g", {}, svg);
  const clip = svgEl("svg", {class: "clip", y: 0, height: PUSH.draw}, svg);
  const tube = svgEl("g", {}, clip);
  const closure = svgEl("g", {}, clip);
  const wire = svgEl("path", {class: "marker"}, svg);
  const dot = svgEl("circle", {class: "dot p-seal", r: 5}, svg);
  const grip = svgEl("circle", {class: "grip", r: 12}, svg);
  let data = null;
  let width = 0;
  let curve = 34; // height of the force's picture

  const base = () => PUSH.draw + curve + 6;
  const px = (x) => PUSH.left + ((width - PUSH.left - PUSH.right) * (x - data.xs[0])) / (data.end - data.xs[0]);
  const py = (force) => base() - (curve * force) / data.top;
  const along = () => (width - PUSH.left - PUSH.right) / (data.end - data.xs[0]);

  function path(points, x0) {
    const s = along();
    const up = Math.min(s, (PUSH.draw - 2) / data.tall);
    return points.map(([x, y], i) => `${i ? "L" : "M"}${(x0 + s * x).toFixed(1)} ${(PUSH.draw - up * y).toFixed(1)}`).join("");
  }
  /** A ring from free to squeezed, by how far it is up its chamfer. */
  function squeezed(ring, x) {
    const t = Math.min(Math.max((x - ring.meets) / Math.max(ring.in - ring.meets, 1e-6), 0), 1);
    return ring.free.map(([a, b], i) => [a + t * (ring.squeezed[i][0] - a), b + t * (ring.squeezed[i][1] - b)]);
  }
  function shapes(parent, list, x0) {
    parent.replaceChildren(...list.map(({kind, points, closed}) => svgEl("path", {class: kind, d: path(points, x0) + (closed ? "Z" : "")})));
  }

  function drawFixed() {
    attr(svg, "width", width);
    attr(svg, "height", base() + 34);
    attr(clip, "x", PUSH.left);
    attr(clip, "width", width - PUSH.left - PUSH.right);
    const line = data.xs.map((x, i) => `${i ? "L" : "M"}${px(x).toFixed(1)} ${py(data.force[i]).toFixed(1)}`).join("");
    fixed.replaceChildren();
    const end = px(data.end);
    svgEl("path", {class: "zone", d: `${line}V${base()}H${PUSH.left}Z`}, fixed);
    svgEl("path", {class: "grid", d: `M${PUSH.left} ${Math.floor(py(data.tick)) + 0.5}H${end}`}, fixed);
    for (const [v, text] of [[data.tick, data.tickText], [0, data.zeroText]]) {
      svgEl("text", {class: "muted end", x: PUSH.left - PUSH.air, y: py(v) + 5}, fixed).textContent = text;
    }
    svgEl("path", {class: "force", d: line}, fixed);
    svgEl("path", {class: "base", d: `M${PUSH.left} ${base() + 0.5}H${end}`}, fixed);
    svgEl("circle", {class: "peakdot", r: 3.5, cx: px(data.peakAt), cy: py(data.peak)}, fixed);
    // Left of the peak, where the hand rests when the page opens, if there is room.
    const beside = px(data.peakAt) - 10;
    const fits = beside - textWidth(data.peakText) > PUSH.left + 10;
    svgEl("text", {class: "end", x: fits ? beside : end, y: py(data.peak) - 6 < PUSH.draw + 12 ? PUSH.draw + 14 : py(data.peak) - 6}, fixed).textContent = data.peakText;
    let free = -Infinity;
    for (const [x, text] of data.marks) {
      const [middle, half] = [px(x), textWidth(text) / 2];
      svgEl("path", {class: "minor", d: `M${Math.floor(middle) + 0.5} ${base()}v6`}, fixed);
      const left = Math.min(Math.max(middle - half, 0), width - 2 * half);
      if (left < free) continue;
      free = left + 2 * half + 10;
      svgEl("text", {class: "muted", x: left, y: base() + 28}, fixed).textContent = text;
    }
    attr(slider, "style", `left:${PUSH.left - 22}px;width:${(px(data.xs.at(-1)) - PUSH.left + 44).toFixed(1)}px;top:${base() - 22}px`);
    shapes(tube, data.tube, px(0) - PUSH.left);
  }

  function drawHand() {
    const share = slider.value / 1000;
    const x = data.xs[0] + share * (data.xs.at(-1) - data.xs[0]);
    const past = data.xs.findIndex((v) => v >= x - 1e-6);
    const i = past < 0 ? data.xs.length - 1 : past;
    const rings = data.rings.map((ring) => ({kind: "rubber", points: squeezed(ring, x), closed: true}));
    shapes(closure, [...data.closure, ...rings], px(x) - PUSH.left);
    attr(wire, "d", `M${px(x).toFixed(1)} 2V${base()}`);
    attr(dot, "cx", px(x).toFixed(1));
    attr(dot, "cy", py(data.force[i]).toFixed(1));
    attr(grip, "cx", px(x).toFixed(1));
    attr(grip, "cy", base());
    const text = `${data.words[i]}: ${data.force[i].toFixed(data.places)} ${data.unit}`;
    words(said, text);
    attr(slider, "aria-valuetext", text);
  }
  slider.addEventListener("input", () => data && drawHand());

  new ResizeObserver(([{contentRect}]) => {
    const now = [Math.round(contentRect.width), Math.max(Math.round(contentRect.height) - PUSH.draw - 36, 20)];
    if (!now[0] || String(now) === String([width, curve])) return;
    [width, curve] = now;
    if (data) drawFixed(), drawHand();
  }).observe(field);

  return {
    update(sent) {
      if (!sent.xs) return;
      if (!data) slider.value = 1000 * ((sent.start - sent.xs[0]) / (sent.xs.at(-1) - sent.xs[0]));
      data = sent;
      if (!width) return;
      drawFixed();
      drawHand();
    },
  };
}
