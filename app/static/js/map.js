/* Wall against screws: the worst factor over required as ink, heavier the shorter; the heavy line
   goes round what meets. Hand or arrows read a place, a click or Enter takes both its values. */

const MAP = {left: 34, right: 14, top: 22, bottom: 34, shades: [0.5, 0.8, 1], contours: [0.8, 1.2, 1.5]};

function mapView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<aside class="view leaf map" hidden aria-label="Map of wall and screws">
    <header><h2>Wall × screws <span>worst factor ÷ required</span></h2><button type="button" class="shut">Close</button></header>
    <p class="reading" role="status"></p>
    <div class="field" tabindex="0" role="application" aria-roledescription="map"
      aria-label="Map. Arrow keys read, Page keys go to the next stock wall, Enter takes both values, Escape closes."><svg></svg></div></aside>`);
  const box = host.lastElementChild;
  const [head, reading, field] = box.children;
  const svg = field.firstElementChild;
  const draw = (tag, kind, more = {}) => svgEl(tag, {class: kind, ...more}, svg);
  svg.innerHTML = `<defs><pattern id="unknown" width="6" height="6" patternUnits="userSpaceOnUse"><path class="unknown" d="M0 6L6 0"/></pattern></defs>`;
  const ground = draw("rect", "none", {fill: "url(#unknown)"});
  const areas = [0, ...MAP.shades].map((_, i) => draw("path", `shade s${i}`));
  const [contours, meets] = [draw("path", "contour"), draw("path", "meets")];
  const still = draw("g", "still");
  const labels = draw("g", "labels");
  const cross = draw("path", "cross");
  const kept = draw("circle", "keptdot", {r: 6});
  const dot = draw("circle", "here", {r: 6.5});
  const ring = draw("circle", "aim", {r: 8});

  let data = null;
  let size = [437, 240];
  let aim = null; // the place read, null: the design's own
  let touched = false;
  let came = null;

  const clamp = (v, low, high) => Math.min(Math.max(v, low), high);
  const wide = () => size[0] - MAP.left - MAP.right;
  const tall = () => size[1] - MAP.top - MAP.bottom;
  const px = (v) => MAP.left + (wide() * (v - data.x.lo)) / (data.x.hi - data.x.lo);
  const row = () => tall() / data.ys.length;
  const py = (count) => MAP.top + tall() - row() * (count - data.ys[0] + 0.5);
  const trimmed = (v) => String(Number((v - 1e-9).toFixed(data.x.decimals)));

  /** Stretches of a row of the map at or above a level; a missing answer ends one. */
  function above(values, level) {
    const out = [];
    let start = null;
    for (let i = 0; i < values.length; i += 1) {
      const [before, here] = [values[i - 1] ?? null, values[i]];
      const on = here !== null && here >= level;
      const was = i > 0 && before !== null && before >= level;
      if (on === was) continue;
      const cut = i === 0 || before === null || here === null ? data.xs[on || !i ? i : i - 1]
        : data.xs[i - 1] + ((data.xs[i] - data.xs[i - 1]) * (level - before)) / (here - before);
      if (on) start = cut;
      else out.push([start, cut]);
    }
    if (values.length && values[values.length - 1] !== null && values[values.length - 1] >= level) {
      out.push([start, data.xs[data.xs.length - 1]]);
    }
    return out;
  }

  /** Boxes of all rows as one path. */
  const boxes = (rows) => rows.map((spans, i) => spans.map(([a, b]) =>
    `M${px(a).toFixed(1)} ${(py(data.ys[i]) - row() / 2).toFixed(1)}H${px(b).toFixed(1)}v${row().toFixed(2)}H${px(a).toFixed(1)}Z`).join("")).join("");

  /** The steps round them, and the places for a number: the longest level stretch, else upright ones. */
  function outline(rows) {
    const ends = [data.xs[0], data.xs[data.xs.length - 1]];
    const inside = (spans, x) => spans.some(([a, b]) => a <= x && x <= b);
    const [uprights, levels] = [[], []];
    let path = "";
    rows.forEach((spans, i) => {
      const y = py(data.ys[i]) - row() / 2;
      for (const x of spans.flat()) {
        if (ends.includes(x)) continue;
        uprights.push([px(x), y + row() / 2]);
        path += `M${px(x).toFixed(1)} ${(y + row()).toFixed(1)}V${y.toFixed(1)}`;
      }
      const next = rows[i + 1];
      if (!next) return;
      const cuts = [...spans.flat(), ...next.flat()].sort((a, b) => a - b);
      for (let k = 1; k < cuts.length; k += 1) {
        const middle = (cuts[k - 1] + cuts[k]) / 2;
        if (cuts[k] > cuts[k - 1] && inside(spans, middle) !== inside(next, middle)) {
          const [a, b] = [px(cuts[k - 1]), px(cuts[k])];
          path += `M${a.toFixed(1)} ${y.toFixed(1)}H${b.toFixed(1)}`;
          if (b - a > 40) levels.push([b - a, [(a + b) / 2, y]]);
        }
      }
    });
    levels.sort((a, b) => b[0] - a[0]);
    return {path, spots: [...levels.map(([, at]) => at), ...uprights]};
  }

  function drawMap() {
    const rows = (level) => data.worst.map((values) => above(values, level * 1000));
    attr(svg, "width", size[0]);
    attr(svg, "height", size[1]);
    for (const [name, value] of Object.entries({x: MAP.left, y: MAP.top, width: wide(), height: tall()})) attr(ground, name, value);
    [-99, ...MAP.shades].forEach((level, i) => attr(areas[i], "d", boxes(rows(level))));
    const heavy = outline(rows(1));
    attr(meets, "d", heavy.path);
    const lines = MAP.contours.map((level) => outline(rows(level)));
    attr(contours, "d", lines.map(({path}) => path).join(""));
    drawLabels([[1, heavy.spots], ...lines.map(({spots}, i) => [MAP.contours[i], spots])]);
  }

  /** A number on each line, where the others and the marker leave room. */
  function drawLabels(lines) {
    const taken = [[px(data.at.x), py(data.at.y)]];
    labels.replaceChildren();
    for (const [level, spots] of lines) {
      const free = spots.find(([x, y]) => x > MAP.left + 20 && x < size[0] - MAP.right - 20 &&
        y > MAP.top + 10 && y < MAP.top + tall() - 10 && taken.every(([u, v]) => Math.abs(u - x) > 36 || Math.abs(v - y) > 20));
      if (!free) continue;
      taken.push(free);
      svgEl("rect", {x: (free[0] - 14).toFixed(1), y: (free[1] - 8).toFixed(1), width: 28, height: 16}, labels);
      const node = svgEl("text", {class: `mid${level === 1 ? " strong" : ""}`, x: free[0].toFixed(1), y: (free[1] + 5).toFixed(1)}, labels);
      node.textContent = level.toFixed(1);
    }
  }

  let stillText = "";
  function drawStill() {
    const text = JSON.stringify([size, data.x, data.ys]);
    if (text === stillText) return;
    stillText = text;
    still.replaceChildren();
    const write = (x, y, kind, content) => (svgEl("text", {x, y, class: kind}, still).textContent = content);
    const base = MAP.top + tall();
    const comb = (values, long) => values.map((v) => `M${(Math.floor(px(v)) + 0.5)} ${base}v${long}`).join("");
    const sizes = data.x.stock.map(([v]) => v);
    svgEl("rect", {class: "frame", x: MAP.left, y: MAP.top, width: wide(), height: tall()}, still);
    svgEl("path", {class: "minor", d: comb(data.x.minor, 4)}, still);
    svgEl("path", {class: "major", d: comb(data.x.ticks, 7)}, still);
    svgEl("path", {class: "stock", d: comb(sizes, 11)}, still);
    svgEl("path", {class: "stockdot", d: sizes.map((v) => `M${Math.floor(px(v)) + 0.5} ${base + 11}h0`).join("")}, still);
    const unit = `wall, ${data.x.unit}`;
    const room = size[0] - MAP.right - textWidth(unit) - 14;
    for (const v of sparse(data.x.ticks, px)) if (px(v) < room) write(px(v), base + 27, "muted mid", v);
    write(size[0] - MAP.right, base + 27, "muted end", unit);
    const every = row() * 2 < 19 ? 4 : 2;
    for (const y of data.ys) if (y % every === 0) write(MAP.left - 8, py(y) + 5, "muted end", y);
    write(6, MAP.top - 7, "muted", data.rows > 1 ? "screws in a row" : "screws");
  }

  function drawAim() {
    const {at, rows} = data;
    const place = aim ?? at;
    const [x, y] = [px(place.x), py(place.y)];
    show(ring, aim);
    show(cross, aim);
    attr(ring, "cx", x.toFixed(1));
    attr(ring, "cy", y.toFixed(1));
    attr(cross, "d", aim ? `M${x.toFixed(1)} ${MAP.top}V${MAP.top + tall()}M${MAP.left} ${y.toFixed(1)}H${size[0] - MAP.right}` : "");
    attr(dot, "cx", px(at.x).toFixed(1));
    attr(dot, "cy", py(at.y).toFixed(1));
    show(kept, data.kept);
    attr(kept, "cx", px(data.kept?.x ?? at.x).toFixed(1));
    attr(kept, "cy", py(data.kept?.y ?? at.y).toFixed(1));
    const screws = `${place.y} screws${rows > 1 ? ` in each of ${rows} rows` : ""}`;
    const where = `Wall ${trimmed(place.x)} ${data.x.unit}, ${screws}: ${found(place)}`;
    words(reading, data.refused ?? (touched && aim ? `${where} Touch again to take it.` : where));
  }

  /** The worst check there, and how it stands. */
  function found({x, y}) {
    const i = clamp(y - data.ys[0], 0, data.ys.length - 1);
    const ratio = aim ? lineAt(data.xs, data.worst[i], x) : data.now;
    const near = Math.round(((x - data.xs[0]) / (data.xs[data.xs.length - 1] - data.xs[0])) * (data.xs.length - 1));
    const name = data.names[aim ? data.which[i][clamp(near, 0, data.xs.length - 1)] : data.first];
    if (ratio === null || ratio === undefined) return `no answer for ${name}.`;
    const said = ratio < 0 ? "< 0" : ratio >= 9000 ? "> 9" : (ratio / 1000).toFixed(ratio < 1000 && ratio >= 995 ? 3 : 2);
    return `${said}, ${name} is ${ratio < 1000 ? "short" : "the closest"}.`;
  }

  function aimAt(x, y) {
    const {lo, hi} = data.x;
    const next = {x: Number(clamp(x, lo, hi).toPrecision(12)), y: clamp(y, data.ys[0], data.ys[data.ys.length - 1])};
    aim = next;
    data.refused = null;
    drawAim();
  }
  const stepped = (x) => Math.round(x / data.x.key) * data.x.key;

  function under(event) {
    const at = field.getBoundingClientRect();
    const x = data.x.lo + ((event.clientX - at.left - MAP.left) / wide()) * (data.x.hi - data.x.lo);
    const near = data.x.stock.map(([v]) => v).filter((v) => Math.abs(px(v) - px(x)) < 6);
    near.sort((a, b) => Math.abs(a - x) - Math.abs(b - x));
    const y = data.ys[0] + Math.floor((MAP.top + tall() - (event.clientY - at.top)) / row());
    return [near[0] ?? stepped(x), y];
  }
  function take() {
    if (!aim) return;
    const {x, y} = aim;
    aim = null;
    tell("place", {x, y});
  }
  field.addEventListener("pointermove", (event) => {
    if (!data || (event.pointerType !== "mouse" && !event.buttons)) return;
    touched = event.pointerType !== "mouse";
    aimAt(...under(event));
  });
  field.addEventListener("pointerleave", (event) => {
    if (event.pointerType !== "mouse" || !data) return;
    aim = null;
    drawAim();
  });
  let again = false;
  field.addEventListener("pointerdown", (event) => {
    touched = event.pointerType !== "mouse";
    if (!touched) return;
    const [x, y] = under(event);
    again = Boolean(aim) && Math.hypot(px(aim.x) - px(x), py(aim.y) - py(y)) < 24;
    if (!again) aimAt(x, y);
  });
  field.addEventListener("click", () => (!touched || again) && take());
  field.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const {x, y} = aim ?? data.at;
    const sizes = data.x.stock.map(([v]) => v).sort((a, b) => a - b);
    const acts = {
      ArrowRight: () => aimAt(stepped(x + data.x.key), y), ArrowLeft: () => aimAt(stepped(x - data.x.key), y),
      ArrowUp: () => aimAt(x, y + 1), ArrowDown: () => aimAt(x, y - 1),
      PageUp: () => aimAt(sizes.find((v) => v > x + 1e-9) ?? x, y),
      PageDown: () => aimAt(sizes.reverse().find((v) => v < x - 1e-9) ?? x, y),
      Enter: take, " ": take,
    };
    if (!acts[event.key]) return;
    event.preventDefault();
    touched = false;
    acts[event.key]();
  });
  head.querySelector(".shut").addEventListener("click", () => tell("close"));
  document.addEventListener("keydown", (event) => {
    const typing = event.composedPath()[0].matches?.("input:not([type=range]), textarea, select");
    if (event.key === "Escape" && !box.hidden) tell("close");
    else if (event.key === "m" && !typing && !event.ctrlKey && !event.metaKey && !event.altKey) tell("map");
  });

  function drawAll() {
    drawStill();
    drawMap();
    drawAim();
  }
  new ResizeObserver(([{contentRect}]) => {
    const now = [contentRect.width, contentRect.height];
    if (!now[0] || !now[1] || String(now) === String(size)) return;
    size = now;
    if (data) drawAll();
  }).observe(field);

  function deepFocus() {
    let at = document.activeElement;
    while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
    return at;
  }

  return {
    update(sent) {
      const opening = box.hidden && sent.open;
      const closing = !box.hidden && !sent.open;
      if (opening) came = deepFocus();
      box.hidden = !sent.open;
      if (sent.open) {
        data = sent;
        if (data.refused) aim = null;
        drawAll();
      } else {
        data = aim = null;
      }
      if (opening) field.focus({preventScroll: true});
      if (closing) came?.focus?.({preventScroll: true});
    },
  };
}
