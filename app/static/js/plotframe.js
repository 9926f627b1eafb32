/* What of a plot stays on a move: zones, grid, axis with its ticks and stock sizes. `geo` is the
   plot's geometry, shared: width, frame, px, py, span. */

function plotFrame({geo, root, head, slider, svg, still, ticks, axisName}) {
  const crisp = (v) => Math.floor(v) + 0.5;
  let tickTexts = [];
  let word = null; // of the lowest zone
  let wordAtRight = null;

  function text(x, y, kind, content) {
    const node = svgEl("text", {x, y, class: kind}, content === "" ? null : still);
    node.textContent = content;
    return node;
  }

  function drawAxis() {
    const {frame, px} = geo;
    const comb = (values, length) => values.map((v) => `M${crisp(px(v))} ${PLOT.base}v${length}`).join("");
    const sizes = frame.stock.map(([v]) => v);
    ticks.replaceChildren();
    svgEl("path", {class: "minor", d: comb(frame.minor, 5)}, ticks);
    svgEl("path", {class: "major", d: comb(frame.ticks, 9)}, ticks);
    svgEl("path", {class: "stock", d: comb(sizes, 13)}, ticks);
    svgEl("path", {class: "stockdot", d: sizes.map((v) => `M${crisp(px(v))} ${PLOT.base + 13}h0`).join("")}, ticks);
    tickTexts = sparse(frame.ticks, px).map((v) => {
      const node = svgEl("text", {class: "muted mid", x: px(v), y: PLOT.base + 25}, ticks);
      node.textContent = v;
      return {x: px(v), node};
    });
  }

  /** Shaded above and below what is wanted, and where the slider cannot go. */
  function drawZones(right) {
    const {frame, px, py, span} = geo;
    for (const {low, high} of frame.zones) {
      svgEl("rect", {class: "zone", x: PLOT.left, y: py(high), width: span(), height: py(low) - py(high)}, still);
    }
    for (const [low, high, said] of frame.walls) {
      const [x, wide] = [px(low), px(high) - px(low)];
      svgEl("rect", {class: "zone", x, y: PLOT.top, width: wide, height: PLOT.curve}, still);
      if (wide < 20) continue;
      const turned = text(0, 0, "muted mid", said);
      attr(turned, "transform", `translate(${x + wide / 2 + 5} ${PLOT.top + PLOT.curve / 2}) rotate(-90)`);
    }
    for (const v of frame.yticks) {
      if (!frame.reqs.includes(v)) svgEl("path", {class: "grid", d: `M${PLOT.left} ${crisp(py(v))}H${right}`}, still);
      if (v < frame.yhi) text(PLOT.left - 8, py(v) + 5, "muted end", v);
    }
    for (const v of frame.reqs) svgEl("path", {class: "req", d: `M${PLOT.left} ${crisp(py(v))}H${right}`}, still);
    const [lowest, ...more] = frame.zones;
    word = text(0, lowest ? py(lowest.low + 0.28 * (lowest.high - lowest.low)) : 0, "muted short", lowest ? lowest.text : "");
    for (const {low, high, text: said} of more) text(PLOT.left + 8, (py(low) + py(high)) / 2 + 5, "muted", said);
  }

  return {
    draw() {
      const {frame, width, span} = geo;
      const right = PLOT.left + span();
      words(head.firstElementChild, frame.title);
      words(head.lastElementChild, frame.detail);
      const unitFirst = frame.unit && frame.detail.startsWith(frame.unit);
      const detail = unitFirst ? frame.detail.slice(frame.unit.length) : `, ${frame.detail}`;
      attr(slider, "aria-label", frame.title + detail);
      attr(root, "aria-label", `${frame.title}, plot and slider`);
      attr(slider, "min", frame.lo);
      attr(slider, "max", frame.hi);
      attr(svg, "width", width);
      words(axisName, frame.axis);
      attr(axisName, "aria-pressed", frame.raw ?? null);
      attr(axisName, "aria-label", frame.raw === undefined ? frame.axis : "Raw safety factors");
      attr(axisName, "title", frame.raw ? "Show factors over what is required" : "Show raw safety factors");
      axisName.disabled = frame.raw === undefined;
      attr(root, "class", frame.first ? "view plot" : "view plot later");
      still.replaceChildren();
      drawZones(right);
      text(width, PLOT.top - 8, "muted end", "now");
      svgEl("path", {class: "base", d: `M${PLOT.left} ${PLOT.base + 0.5}H${right}`}, still);
      drawAxis();
    },
    /** Numbers on the axis give way to the marker and to a previewed one. */
    giveWay(x, ghostAt) {
      for (const tick of tickTexts) show(tick.node, Math.abs(tick.x - x) > 12 && !(Math.abs(tick.x - ghostAt) <= 12));
    },
    /** The word in the lowest zone starts on the freer side and leaves it only when something runs through it. */
    drawWord(x, heights) {
      const {frame, px, span} = geo;
      const {lo, hi} = frame;
      const reach = (56 / span()) * (hi - lo);
      const free = (right) => {
        const [edge, inner] = right ? [hi, hi - reach] : [lo, lo + reach];
        if (right ? x > px(inner) : x < px(inner)) return 0;
        return Math.min(...[edge, inner].flatMap(heights).filter(Number.isFinite), 2 * frame.yhi);
      };
      const [left, right] = [free(false), free(true)];
      if (wordAtRight === null) wordAtRight = right >= left;
      const [here, there] = wordAtRight ? [right, left] : [left, right];
      const needed = 0.15 * frame.yhi;
      if (here < needed && there >= needed) wordAtRight = !wordAtRight;
      attr(word, "class", wordAtRight ? "muted short end" : "muted short");
      attr(word, "x", wordAtRight ? PLOT.left + span() - 8 : PLOT.left + 8);
    },
  };
}
