/* One factor plot. Its axis is the slider; during a drag everything the hand moves is drawn here,
   from the curves already sent, without asking anybody. */

const PLOT = {left: 26, right: 150, top: 22, curve: 184, height: 286, box: 92, gap: 18, name: 100};
PLOT.base = PLOT.top + PLOT.curve;

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
  axisName.addEventListener("click", () => tell("raw", !data.frame.raw));
  const slot = slotView(slotBox, tell, () => slider.focus({preventScroll: true}));
  const still = svgEl("g", {}, svg);
  const clip = svgEl("svg", {class: "clip", x: PLOT.left, y: PLOT.top, height: PLOT.curve}, svg);
  const [rest, kept, live, counts] = ["rest", "keeps", "live", "counts"].map((c) => svgEl("g", {class: c}, clip));
  const ghostLine = svgEl("path", {class: "ghostline"}, clip);
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

  const data = {xs: [], lines: [], five: [], now: {}, meets: [], slot: null, kept: null, ghost: null};
  const lines = new Map();
  const names = [];
  let width = host.clientWidth || 437;
  let slotWidth = width; // narrower than the plot where the switch stands beside it
  let value = null;
  let held = false;
  let awaited = null;
  let waiting = 0;
  let across = [];
  let tickTexts = [];
  let shortWord = null;
  let shortAtRight = null;
  let noteAtRight = true;
  let ghostSide = 0;
  let five = [];

  const span = () => width - PLOT.left - PLOT.right;
  const px = (v) => PLOT.left + (span() * (v - data.frame.lo)) / (data.frame.hi - data.frame.lo);
  const py = (ratio) => PLOT.top + PLOT.curve * (1 - ratio / data.frame.yhi);
  const scale = () => PLOT.curve / (1000 * data.frame.yhi);
  const crisp = (v) => Math.floor(v) + 0.5;

  function drawFrame() {
    const {frame} = data;
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
    attr(clip, "width", span());
    const text = (x, y, kind, content) => {
      const node = svgEl("text", {x, y, class: kind}, content === "" ? null : still);
      node.textContent = content;
      return node;
    };
    still.replaceChildren();
    const common = !frame.raw; // with raw factors every line has a requirement of its own
    if (common) svgEl("rect", {class: "zone", x: PLOT.left, y: py(1), width: span(), height: PLOT.base - py(1)}, still);
    for (const v of frame.yticks) {
      if (v !== 1 || !common) svgEl("path", {class: "grid", d: `M${PLOT.left} ${crisp(py(v))}H${right}`}, still);
      if (v < frame.yhi) text(PLOT.left - 8, py(v) + 5, "muted end", v);
    }
    words(axisName, frame.axis);
    attr(axisName, "aria-pressed", frame.raw);
    attr(axisName, "aria-label", "Raw safety factors");
    attr(axisName, "title", frame.raw ? "Show factors over what is required" : "Show raw safety factors");
    attr(root, "class", frame.first ? "view plot" : "view plot later");
    text(width, PLOT.top - 8, "muted end", "now");
    if (common) svgEl("path", {class: "req", d: `M${PLOT.left} ${crisp(py(1))}H${right}`}, still);
    shortWord = text(0, py(0.28), "muted short", common ? "short" : "");
    svgEl("path", {class: "base", d: `M${PLOT.left} ${PLOT.base + 0.5}H${right}`}, still);
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
    across = [];
  }

  function drawLines() {
    const fit = span() / (data.frame.hi - data.frame.lo);
    across = data.xs.map((x) => `${Math.round((x - data.frame.lo) * fit * 10) / 10} `);
    const known = new Set(data.lines.map((line) => line.id));
    for (const [id, line] of lines) {
      if (known.has(id)) continue;
      for (const node of [line.path, line.count, line.keep]) node.remove();
      lines.delete(id);
    }
    for (const line of data.lines) {
      const own = lines.get(line.id) ?? {path: svgEl("path"), count: svgEl("path"), keep: svgEl("path")};
      lines.set(line.id, Object.assign(own, line));
      attr(own.path, "d", linePath(across, line.y, PLOT.curve, scale()));
    }
  }

  function drawRanks() {
    const top = new Set(five);
    for (const [id, line] of lines) if (!top.has(id) && line.path.parentNode !== rest) rest.append(line.path);
    const backwards = [...five].reverse().filter((id) => lines.has(id));
    const inOrder = backwards.map((id) => lines.get(id).path);
    const same = inOrder.length === live.children.length && inOrder.every((path, i) => live.children[i] === path);
    if (!same) live.append(...inOrder);
    for (const [id, line] of lines) {
      const gov = id === five[0] ? " gov" : "";
      attr(line.path, "class", `line p-${line.part} dash-${line.dash}${gov}`);
      const past = top.has(id) ? data.kept?.lines?.[id] : undefined;
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

  function drawNames() {
    while (names.length < five.length) {
      chart.insertAdjacentHTML("beforeend", `<button type="button" class="named"><b></b><i></i></button>`);
      const button = chart.lastElementChild;
      button.insertAdjacentHTML("beforeend", markSvg("none", 16));
      const [dot, hollow] = [svgEl("circle", {r: 4.5}), svgEl("circle", {r: 4.5})];
      const own = {button, id: null, tie: svgEl("path", {}, ties), want: svgEl("path", {}, wants), dot, hollow};
      button.addEventListener("click", () => tell("open", own.id));
      dots.prepend(own.dot);
      ghostDots.prepend(own.hollow);
      names.push(own);
    }
    const last = (id) => [...(lines.get(id)?.y ?? [])].reverse().find((y) => y !== null) ?? 0;
    const ends = five.map((id, rank) => ({rank, end: last(id)}));
    ends.sort((a, b) => b.end - a.end || b.rank - a.rank);
    const lift = (end) => py(Math.min(end / 1000, data.frame.yhi + 0.02));
    const ys = spread(ends.map(({end}) => lift(end)), PLOT.gap, PLOT.top + 6, PLOT.base - 4);
    const right = PLOT.left + span();
    ends.forEach(({rank, end}, i) => {
      const own = names[rank];
      const room = Math.min(ys[i] - (ys[i - 1] ?? -Infinity), (ys[i + 1] ?? Infinity) - ys[i], 44);
      const air = `--air:${Math.max(0, (room - PLOT.gap) / 2).toFixed(1)}px`;
      attr(own.tie, "d", `M${right + 1} ${lift(end).toFixed(1)}L${right + 8} ${ys[i].toFixed(1)}`);
      attr(own.button, "style", `transform:translateY(${ys[i].toFixed(1)}px);${air}`);
    });
    names.forEach((own, rank) => {
      const line = lines.get(five[rank]);
      attr(own.button, "hidden", line ? null : "");
      show(own.tie, line);
      show(own.want, line && frameRaw());
      if (!line) return;
      own.id = line.id;
      attr(own.button, "class", `named p-${line.part}${rank ? "" : " gov"}`);
      attr(own.tie, "class", `tie p-${line.part}`);
      attr(own.want, "class", `wantmark p-${line.part}`);
      attr(own.dot, "class", `dot p-${line.part}`);
      attr(own.hollow, "class", `ghostdot p-${line.part}`);
      words(own.button.firstChild, line.name);
      const over = textWidth(line.name, 14, rank ? 400 : 650) - PLOT.name;
      const closer = over > 0 ? Math.max(-1.2, -over / line.name.length).toFixed(2) : 0;
      attr(own.button.firstChild, "style", `letter-spacing:${closer}px`);
    });
  }

  /** What follows the hand: marker, handle, dots, numbers. */
  function drawValue() {
    if (value === null) return;
    const {frame} = data;
    const x = px(value);
    const own = held || awaited !== null;
    const text = own || data.text === undefined ? value.toFixed(frame.decimals) : data.text;
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
    attr(slider, "aria-valuetext", `${text} ${frame.whole || !frame.unit ? frame.title.toLowerCase() : frame.unit}`);
    if (!held) slider.value = value;
    attr(dots, "transform", `translate(${x} 0)`);
    attr(wants, "transform", `translate(${x} 0)`);
    five.forEach((id, rank) => {
      const line = lines.get(id);
      if (!line) return;
      const {button, dot} = names[rank];
      const mine = own ? lineAt(data.xs, line.y, value) : data.now[id] ?? null;
      const ratio = own && mine !== null ? mine / 1000 : mine;
      const [, number, sign] = button.children;
      const said = ratio === null ? "no answer" : ratio.toFixed(2);
      const wanted = frame.raw ? `, ${(data.required?.[id] ?? 1).toFixed(2)} is wanted` : " of what is wanted";
      show(dot, ratio !== null && ratio < frame.yhi);
      if (ratio !== null) attr(dot, "cy", py(ratio).toFixed(1));
      words(number, ratio === null ? "" : said);
      show(sign, ratio === null);
      attr(button, "aria-label", `${line.name}, ${said}${ratio === null ? "" : wanted}, show working`);
    });
    const ghostAt = drawGhost(x, box);
    for (const tick of tickTexts) show(tick.node, Math.abs(tick.x - x) > 12 && !(Math.abs(tick.x - ghostAt) <= 12));
    drawNote(box);
    drawShort(x);
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
    const right = to >= x ? box + 116 < width : box < 116;
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
    const fits = [box - room - past(-1) >= 0, box + room + past(1) <= width];
    if (!held && fits[1]) noteAtRight = true;
    else if (!fits[Number(noteAtRight)] && fits[Number(!noteAtRight)]) noteAtRight = !noteAtRight;
    attr(note, "class", noteAtRight ? "muted" : "muted end");
    attr(note, "x", noteAtRight ? box + 60 + past(1) : box - 60 - past(-1));
  }

  /** The word in the shaded zone starts on the freer side and leaves it only when something runs through it. */
  function drawShort(x) {
    const {lo, hi} = data.frame;
    const reach = (56 / span()) * (hi - lo);
    const room = (right) => {
      const [edge, inner] = right ? [hi, hi - reach] : [lo, lo + reach];
      if (right ? x > px(inner) : x < px(inner)) return 0;
      const ys = [edge, inner].flatMap((v) => five.map((id) => lines.has(id) && lineAt(data.xs, lines.get(id).y, v)));
      return Math.min(...ys.filter(Number.isFinite), 5000);
    };
    const [left, right] = [room(false), room(true)];
    if (shortAtRight === null) shortAtRight = right >= left;
    const [here, there] = shortAtRight ? [right, left] : [left, right];
    if (here < 380 && there >= 380) shortAtRight = !shortAtRight;
    attr(shortWord, "class", shortAtRight ? "muted short end" : "muted short");
    attr(shortWord, "x", shortAtRight ? PLOT.left + span() - 8 : PLOT.left + 8);
  }

  function drawMarks() {
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
    drawNames();
    drawWants();
    drawMarks();
    drawValue();
    drawSaid();
  }

  /** What the picture says, in words; while a hand moves it, the slider speaks. */
  function drawSaid() {
    if (held) return;
    const {frame, meets} = data;
    const ends = meets.map(([a, b]) => `${a.toFixed(frame.decimals)} to ${b.toFixed(frame.decimals)}`);
    const lowest = five.filter((id) => lines.has(id)).map((id) => {
      const ratio = data.now[id] ?? null;
      return `${lines.get(id).name} ${ratio === null ? "no answer" : ratio.toFixed(2)}`;
    });
    attr(svg, "aria-label", `${frame.raw ? "Raw safety factors" : "Factors ÷ required"} against ${frame.title.toLowerCase()}, ` +
      `${frame.lo} to ${frame.hi} ${frame.unit}. ${ends.length ? `Meets from ${ends.join(", ")}.` : "No value meets."} ` +
      `Lowest at ${valueText.textContent}: ${lowest.join(", ")}.`);
  }

  /** The hand's value: drawn at once, then told. */
  function move(next) {
    if (next === value) return;
    value = next;
    awaited = next;
    clearTimeout(waiting);
    waiting = setTimeout(() => settle(true), 1000);
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
      waiting = setTimeout(() => settle(true), 1000);
    }
    if (!on) drawAll();
    tell("hold", on);
  }

  sliderHand({chart, slider, grab, wire, data, px, move, hold, value: () => value,
    text: () => valueText.textContent, boxAt: () => Math.max(px(value), 48) - 46, tell});

  new ResizeObserver(() => {
    const now = host.clientWidth;
    if (!now || now === width || !data.frame) return;
    width = now;
    drawFrame();
    drawAll();
  }).observe(host);
  new ResizeObserver(([{contentRect}]) => {
    if (!contentRect.width || contentRect.width === slotWidth) return;
    slotWidth = contentRect.width;
    if (data.frame) slot.update(data, slotWidth);
  }).observe(slotBox);

  let frameText = "";
  return {
    update(sent) {
      Object.assign(data, sent);
      if (!data.frame) return;
      const text = sent.frame ? JSON.stringify(sent.frame) : frameText;
      if (text !== frameText) {
        frameText = text;
        awaited = null;
        width = host.clientWidth || width;
        drawFrame();
      }
      if ("slot" in sent || "refused" in sent) slot.update(data, slotWidth);
      settle(false);
      drawAll();
    },
  };
}
