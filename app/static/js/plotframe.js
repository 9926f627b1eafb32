/* What of a plot stays on a move: zones, grid, axis with its ticks and stock sizes. `geo` is the
   plot's geometry, shared: width, frame, px, py, span. */

function plotFrame({geo, root, head, slider, svg, still, reqs, over, ticks, axisName}) {
  const crisp = (v) => Math.floor(v) + 0.5;
  let tickTexts = [];
  let named = []; // zones with their word, where that stands

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
      const turned = svgEl("text", {class: "muted mid short"}, over); // no room beside the lines
      turned.textContent = said;
      attr(turned, "transform", `translate(${x + wide / 2 + 5} ${PLOT.top + PLOT.curve / 2}) rotate(-90)`);
    }
    for (const v of frame.yticks) {
      if (!frame.reqs.includes(v)) svgEl("path", {class: "grid", d: `M${PLOT.left} ${crisp(py(v))}H${right}`}, still);
      if (v < frame.yhi) text(PLOT.left - 8, py(v) + 5, "muted end", v);
    }
    const inside = (y) => crisp(y) - PLOT.top; // over the grey lines, in their own frame
    for (const v of frame.reqs) svgEl("path", {class: "req", d: `M0 ${inside(py(v))}H${right - PLOT.left}`}, reqs);
    named = frame.zones.map((zone) => ({
      zone, node: svgEl("text", {class: "muted short"}, over), wide: textWidth(zone.text), at: null,
    }));
    for (const {node, zone} of named) node.textContent = zone.text;
  }

  /** Whether nothing runs through a zone's word at a place; `heights` are the lines' at a value. */
  function isFree({wide}, [right, y], x, heights) {
    const {frame: {lo, hi}, px, py, span} = geo;
    const end = right ? PLOT.left + span() - 8 - wide : PLOT.left + 8;
    if (x > end - 8 && x < end + wide + 8) return false; // the marker with its dots
    const value = (at) => Math.min(Math.max(lo + ((at - PLOT.left) / span()) * (hi - lo), lo), hi);
    const seen = [-6, wide / 3, (2 * wide) / 3, wide + 6].map((at) => heights(value(end + at)).map(py));
    return seen[0].every((_, line) => {
      const ys = seen.map((row) => row[line]).filter((y) => !Number.isNaN(y));
      return !ys.length || Math.max(...ys) < y - 14 || Math.min(...ys) > y + 5;
    });
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
      over.replaceChildren();
      reqs.replaceChildren();
      drawZones(right);
      text(width, PLOT.top - 8, "muted end", "now");
      svgEl("path", {class: "base", d: `M${PLOT.left} ${PLOT.base + 0.5}H${right}`}, still);
      drawAxis();
    },
    /** Numbers on the axis give way to the marker and to a previewed one. */
    giveWay(x, ghostAt) {
      for (const tick of tickTexts) show(tick.node, Math.abs(tick.x - x) > 12 && !(Math.abs(tick.x - ghostAt) <= 12));
    },
    /** A zone's word stays until something runs through it, and is left out where all is crossed. */
    drawWords(x, heights) {
      const {px, py, span} = geo;
      for (const word of named) {
        const {low, high} = word.zone;
        const tall = py(low) - py(high);
        const ys = [0.28, 0.5, 0.72, 0.9].map((share) => py(low) - share * tall + 5)
          .filter((y) => y - 13 >= py(high) && y + 4 <= py(low));
        const far = x > px((geo.frame.lo + geo.frame.hi) / 2) ? [false, true] : [true, false];
        const spots = far.flatMap((right) => ys.map((y) => [right, y]));
        if (!word.at || !isFree(word, word.at, x, heights)) {
          word.at = spots.find((spot) => isFree(word, spot, x, heights)) ?? null;
        }
        show(word.node, word.at !== null);
        if (!word.at) continue;
        const [right, y] = word.at;
        attr(word.node, "class", right ? "muted short end" : "muted short");
        attr(word.node, "x", right ? PLOT.left + span() - 8 : PLOT.left + 8);
        attr(word.node, "y", y.toFixed(1));
      }
    },
  };
}
