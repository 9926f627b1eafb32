/* One plot. Its axis is the slider; during a drag everything the hand moves is drawn here, from the
   curves already sent, without asking anybody. Heights come in thousandths. */

const PLOT = {left: 26, right: 150, top: 22, curve: 184, height: 286, box: 92, gap: 18, name: 100};
PLOT.base = PLOT.top + PLOT.curve;
const PATIENCE = 4000; // ms for an answer to a move; every one is answered, if the server is there

function plotView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<section class="view plot">
    <h2><b></b> <span></span></h2>
    <div class="slot"></div>
    <div class="chart"><input class="slider" type="range" step="any"><svg height="${PLOT.height}" role="img"></svg>
    <button type="button" class="axisname"></button>
    <div class="wire"></div><div class="grab"></div></div></section>`);
  const root = host.lastElementChild;
  const [head, slotBox, chart] = root.children;
  const [slider, svg, axisName, wire, grab] = chart.children;
  axisName.addEventListener("click", () => data.frame.raw !== undefined && tell("raw", !data.frame.raw));
  const slot = slotView(slotBox, tell, () => slider.focus({preventScroll: true}));
  const still = svgEl("g", {}, svg);
  const clip = svgEl("svg", {class: "clip", x: PLOT.left, y: PLOT.top, height: PLOT.curve}, svg);
  const [rest, reqs, kept, live, counts] = ["rest", "reqs", "keeps", "live", "counts"].map((c) => svgEl("g", {class: c}, clip));
  const ghostLine = svgEl("path", {class: "ghostline"}, clip);
  const over = svgEl("g", {}, svg);
  const ties = svgEl("g", {}, svg);
  const heavy = svgEl("path", {class: "heavy"}, svg);
  const ticks = svgEl("g", {}, svg);
  const keptMark = svgEl("path", {class: "keptline"}, svg);
  const ghost = svgEl("g", {}, svg);
  const ghostMark = svgEl("path", {class: "ghostmark"}, ghost);
  const ghostBox = svgEl("rect", {class: "ghostbox", width: 60, height: 44, rx: 2, y: PLOT.base + 34}, ghost);
  const ghostText = svgEl("text", {class: "ghosttext mid", y: PLOT.base + 62}, ghost);
  const ghostDots = svgEl("g", {}, ghost);
  const marker = svgEl("line", {class: "marker", y1: PLOT.top, y2: PLOT.base + 26}, svg);
  const wants = svgEl("g", {}, svg);
  const dots = svgEl("g", {}, svg);
  const handle = svgEl("path", {class: "handle"}, svg);
  const index = svgEl("line", {class: "index", y1: PLOT.base + 28, y2: PLOT.base + 41}, svg);
  const ring = svgEl("rect", {class: "ring", width: 99, height: 51, rx: 4, y: PLOT.base + 30.5}, svg);
  const valueText = svgEl("text", {class: "onhandle mid", y: PLOT.base + 62}, svg);
  const note = svgEl("text", {class: "muted", y: PLOT.base + 62}, svg);

  const data = {ids: [], five: [], now: {}, meets: [], slot: null, kept: null, ghost: null};
  const lines = new Map();
  const drawn = {};
  const geo = {width: host.clientWidth || 437, frame: null};
  let slotWidth = geo.width; // narrower than the plot where the switch stands beside it
  let value = null;
  let held = false;
  let awaited = null;
  let waiting = 0;
  let across = [];
  let noteAtRight = true;
  let ghostSide = 0;
  let five = [];

  const span = () => geo.width - PLOT.left - PLOT.right;
  const px = (v) => PLOT.left + (span() * (v - data.frame.lo)) / (data.frame.hi - data.frame.lo);
  const py = (ratio) => PLOT.top + PLOT.curve * (1 - ratio / data.frame.yhi);
  Object.assign(geo, {span, px, py});
  const frame = plotFrame({geo, root, head, slider, svg, still, reqs, over, ticks, axisName});
  const {names, draw: drawNames} = plotNames({geo, chart, ties, wants, dots, ghostDots, lines, open: (id) => tell("open", id)});
  const scale = () => PLOT.curve / (1000 * data.frame.yhi);

  /** A factor as it is said; far above the plot its line is not told as a number. */
  function saidOf(ratio) {
    const {yhi, places} = data.frame;
    const far = Math.floor(3 * yhi);
    return ratio === null ? "no answer" : ratio < 0 ? "< 0" : ratio > far ? `> ${far}` : ratio.toFixed(places);
  }

  /** Everything that stays on a move; the lines are drawn anew after it. */
  function drawFrame() {
    frame.draw();
    attr(clip, "width", span());
    across = [];
  }

  /** The lines anew; only when they, the axis or the width are others. */
  function drawLines() {
    const {frame, ids, ys} = data;
    if (drawn.ids === ids && drawn.ys === ys && drawn.frame === frame && drawn.width === geo.width) return;
    Object.assign(drawn, {ids, ys, frame, width: geo.width});
    const fit = span() / (frame.hi - frame.lo);
    across = frame.xs.map((x) => `${Math.round((x - frame.lo) * fit * 10) / 10} `);
    const known = new Set(ids);
    for (const [id, line] of lines) {
      if (known.has(id)) continue;
      for (const node of [line.path, line.count, line.keep]) node.remove();
      lines.delete(id);
    }
    const rows = ids.length ? heights(ys, ids.length, frame.yhi) : [];
    ids.forEach((id, i) => {
      const own = lines.get(id) ?? {path: svgEl("path"), count: svgEl("path"), keep: svgEl("path")};
      const [name, part, dash, look] = frame.names[id];
      lines.set(id, Object.assign(own, {id, name, part, dash, look, y: rows[i]}));
      attr(own.path, "d", linePath(across, rows[i], PLOT.curve, scale()));
    });
  }

  function drawRanks() {
    const top = new Set(five);
    const sent = data.kept?.ids.length ? heights(data.kept.ys, data.kept.ids.length, data.frame.yhi) : [];
    const keptLines = new Map(sent.map((ys, i) => [data.kept.ids[i], ys]));
    for (const [id, line] of lines) if (!top.has(id) && line.path.parentNode !== rest) rest.append(line.path);
    const backwards = [...five].reverse().filter((id) => lines.has(id));
    const inOrder = backwards.map((id) => lines.get(id).path);
    const same = inOrder.length === live.children.length && inOrder.every((path, i) => live.children[i] === path);
    if (!same) live.append(...inOrder);
    for (const [id, line] of lines) {
      const gov = id === five[0] ? " gov" : "";
      attr(line.path, "class", `line p-${line.part} dash-${line.dash}${gov}`);
      const past = top.has(id) ? keptLines.get(id) : undefined;
      if (past) {
        attr(line.keep, "class", `keptline p-${line.part}`);
        attr(line.keep, "d", linePath(across, past, PLOT.curve, scale()));
      }
      place(line.keep, past ? kept : null);
      if (data.frame.whole && top.has(id)) {
        attr(line.count, "class", `count p-${line.part}`);
        attr(line.count, "d", linePath(across, line.y, PLOT.curve, scale()).replace(/[ML]([^ML]+)/g, "M$1h0"));
      }
      place(line.count, data.frame.whole && top.has(id) ? counts : null);
    }
  }

  const frameRaw = () => data.frame.raw;

  /** Raw factors: what each line must reach, beside the marker; those that share it side by side. */
  function drawWants() {
    if (!frameRaw()) return;
    const beside = new Map();
    five.forEach((id, rank) => {
      const wanted = data.required?.[id];
      const before = beside.get(wanted) ?? 0;
      beside.set(wanted, before + 1);
      attr(names[rank].want, "d", wanted ? `M${6 + 13 * before} ${py(wanted).toFixed(1)}h11` : "");
    });
  }

  function place(node, parent) {
    if (node.parentNode === parent) return;
    if (parent) parent.append(node);
    else node.remove();
  }

  /** What follows the hand: marker, handle, dots, numbers. */
  function drawValue() {
    if (value === null) return;
    const x = px(value);
    const own = held || awaited !== null;
    const text = own || data.text === undefined ? (value * (1 + 1e-12)).toFixed(data.frame.decimals) : data.text;
    const box = Math.max(x, 48);
    const top = PLOT.base + 36;
    const half = PLOT.box / 2 - 2;
    const shoulder = Math.max(x - 9, box - half);
    attr(handle, "d", `M${x} ${PLOT.base + 26}L${x + 9} ${top}H${box + half}v40H${box - half}v-40H${shoulder}Z`);
    for (const node of [marker, index]) {
      attr(node, "x1", x);
      attr(node, "x2", x);
    }
    attr(valueText, "x", box);
    attr(ring, "x", box - 49.5);
    words(valueText, text);
    attr(grab, "style", `transform:translateX(${box - 50}px)`);
    attr(wire, "style", `transform:translateX(${x - 12}px)`);
    attr(slider, "aria-valuetext", `${text} ${data.frame.whole || !data.frame.unit ? data.frame.title.toLowerCase() : data.frame.unit}`);
    if (!held) slider.value = value;
    attr(dots, "transform", `translate(${x} 0)`);
    attr(wants, "transform", `translate(${x} 0)`);
    five.forEach((id, rank) => {
      const line = lines.get(id);
      if (!line) return;
      const {button, dot} = names[rank];
      const drawnAt = own || !(id in data.now) ? lineAt(data.frame.xs, line.y, value) : undefined;
      const ratio = drawnAt === undefined ? data.now[id] : drawnAt === null ? null : drawnAt / 1000;
      const [, number, sign] = button.children;
      const said = saidOf(ratio);
      const wanted = data.frame.raw ? `, ${(data.required?.[id] ?? 1).toFixed(2)} is wanted` : data.frame.said;
      show(dot, Number.isFinite(ratio) && ratio < data.frame.yhi);
      if (Number.isFinite(ratio)) attr(dot, "cy", py(ratio).toFixed(1));
      words(number, ratio === null ? "" : said);
      show(sign, ratio === null);
      attr(button, "aria-label", `${line.name}, ${said}${ratio === null ? "" : wanted}, show working`);
    });
    const ghostAt = drawGhost(x, box);
    frame.giveWay(x, ghostAt);
    drawNote(box);
    frame.drawWords(x, (v) => five.map((id) => (lines.has(id) ? lineAt(data.frame.xs, lines.get(id).y, v) ?? NaN : NaN) / 1000));
  }

  /** The remedy in preview: dashed handle on the plot it moves; returns the place of its marker. */
  function drawGhost(x, box) {
    const to = data.ghost && data.ghost.value !== null ? px(data.ghost.value) : NaN;
    const on = !Number.isNaN(to);
    attr(ghostLine, "d", data.ghost?.line ? linePath(across, data.ghost.line, PLOT.curve, scale()) : "");
    show(ghost, on);
    five.forEach((id, rank) => {
      const ratio = on ? data.ghost.dots?.[id] ?? null : null;
      show(names[rank].hollow, on && ratio !== null && ratio < data.frame.yhi);
      if (ratio !== null) attr(names[rank].hollow, "cy", py(ratio).toFixed(1));
      attr(names[rank].hollow, "cx", on ? to : 0);
    });
    ghostSide = 0;
    if (!on) return to;
    const right = to >= x ? box + 116 < geo.width : box < 116;
    const left = right ? box + 56 : box - 116;
    ghostSide = right ? 1 : -1;
    attr(ghostBox, "x", left);
    attr(ghostText, "x", left + 30);
    words(ghostText, data.ghost.text);
    attr(ghostMark, "d", `M${to} ${PLOT.top}V${PLOT.base + 30}H${left + 30}V${PLOT.base + 33}`);
    return to;
  }

  /** The note keeps its side of the handle as long as it fits there. */
  function drawNote(box) {
    const text = data.note ?? "";
    words(note, text);
    const room = textWidth(text) + 60;
    const past = (side) => (ghostSide === side ? 70 : 0);
    const fits = [box - room - past(-1) >= 0, box + room + past(1) <= geo.width];
    if (!held && fits[1]) noteAtRight = true;
    else if (!fits[Number(noteAtRight)] && fits[Number(!noteAtRight)]) noteAtRight = !noteAtRight;
    attr(note, "class", noteAtRight ? "muted" : "muted end");
    attr(note, "x", noteAtRight ? box + 60 + past(1) : box - 60 - past(-1));
  }

  function drawMarks() {
    const crisp = (v) => Math.floor(v) + 0.5;
    const past = data.kept?.value;
    const there = past !== undefined && past !== null && past !== value;
    attr(keptMark, "d", there ? `M${crisp(px(past))} ${PLOT.top}V${PLOT.base}` : "");
    attr(heavy, "d", data.meets.map(([a, b]) => {
      const ends = [px(a), px(b)].map((x) => Math.min(Math.max(x, PLOT.left), PLOT.left + span()));
      const more = Math.max(0, 5 - (ends[1] - ends[0])) / 2;
      return `M${(ends[0] - more).toFixed(1)} ${PLOT.base + 0.5}H${(ends[1] + more).toFixed(1)}`;
    }).join(""));
  }

  function drawAll() {
    if (!data.frame) return;
    if (!held) five = data.five.slice(0, 5);
    drawLines();
    drawRanks();
    drawNames(five);
    drawWants();
    drawMarks();
    drawValue();
    drawSaid();
  }

  /** What the picture says, in words; while a hand moves it, the slider speaks. */
  function drawSaid() {
    if (held) return;
    const {frame: {raw, axis, title, lo, hi, unit, decimals}, meets} = data;
    const ends = meets.map(([a, b]) => `${a.toFixed(decimals)} to ${b.toFixed(decimals)}`);
    const lowest = five.filter((id) => lines.has(id))
      .map((id) => `${lines.get(id).name} ${saidOf(data.now[id] ?? null)}`);
    attr(svg, "aria-label", `${raw ? "Raw safety factors" : axis || "factors"} against ${title.toLowerCase()}, ` +
      `${lo} to ${hi} ${unit}. ${ends.length ? `Meets from ${ends.join(", ")}.` : "No value meets."} ` +
      `Lowest at ${valueText.textContent}: ${lowest.join(", ")}.`);
  }

  /** The hand's value: drawn at once, then told. */
  function move(next) {
    if (next === value) return;
    value = next;
    awaited = next;
    clearTimeout(waiting);
    waiting = setTimeout(() => settle(true), PATIENCE);
    data.refused = null;
    slot.update(data, slotWidth);
    drawValue();
    tell("move", next);
  }

  /** Take the sent value, unless the hand is on the handle or a newer one is still under way. */
  function settle(late) {
    if (held || data.value === undefined) return;
    if (!late && awaited !== null && Math.abs(data.value - awaited) > data.frame.step / 2) return;
    awaited = null;
    value = data.value;
    if (late) drawAll();
  }

  function hold(on) {
    held = on;
    if (!on) settle(false); // the answer may have come while the hand was still on it
    if (!on && awaited !== null) {
      clearTimeout(waiting);
      waiting = setTimeout(() => settle(true), PATIENCE);
    }
    if (!on) drawAll();
    tell("hold", on);
  }

  sliderHand({chart, slider, grab, wire, data, px, move, hold, value: () => value,
    text: () => valueText.textContent, boxAt: () => Math.max(px(value), 48) - 46, tell});

  new ResizeObserver(() => {
    const now = host.clientWidth;
    if (!now || now === geo.width || !data.frame) return;
    geo.width = now;
    drawFrame();
    drawAll();
  }).observe(host);
  new ResizeObserver(([{contentRect}]) => {
    if (!contentRect.width || contentRect.width === slotWidth) return;
    slotWidth = contentRect.width;
    if (data.frame) slot.update(data, slotWidth);
  }).observe(slotBox);

  let frameText = "";
  let axisText = "";
  return {
    update(sent) {
      Object.assign(data, sent);
      if (!data.frame) return;
      const text = sent.frame ? JSON.stringify(sent.frame) : frameText;
      if (text !== frameText) {
        frameText = text;
        const axis = ["field", "lo", "hi", "unit"].map((name) => data.frame[name]).join();
        if (axis !== axisText) awaited = null; // the same axis still waits for the newest answer
        axisText = axis;
        geo.width = host.clientWidth || geo.width;
        geo.frame = data.frame;
        drawFrame();
      }
      if ("slot" in sent || "refused" in sent) slot.update(data, slotWidth);
      settle(false);
      drawAll();
    },
  };
}
