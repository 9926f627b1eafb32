/* Where everything of the Loads page's sum stands. One pressure axis for trace and stair; on a phone
   the trace has its own above. */

const STAIR_COLUMNS = {hot: [0, 0], scatter: [1, 1], meop: [0, 1], proof: [2, 2], yield: [3, 3], ultimate: [4, 4]};

/** Places in px for a host of some size. */
function stairPlaces(W, H, data, top) {
  const wide = W >= 1180;
  const small = W < 560;
  const axis = wide ? 44 : small ? 30 : 40;
  const bottom = H - (wide ? 52 : 48);
  const stairTop = small ? 214 : 30;
  const trace = small ? {x0: axis, x1: W - 8, top: 30, bottom: 150} :
    {x0: axis, x1: Math.round(W * (wide ? 0.345 : 0.33)), top: stairTop, bottom};
  const own = small && data.steps[0].id === "peak" ? 1 : 0; // the peak's own column on a phone
  const x0 = small ? axis + 8 : Math.round(W * (wide ? 0.388 : 0.375));
  const x1 = W - (wide ? 78 : small ? 50 : 60);
  const gap = wide ? 30 : small ? 16 : 20;
  const pitch = (x1 - x0 + gap) / (5 + own);
  const y = (p) => bottom - (p / top) * (bottom - stairTop);
  const column = (id) => {
    if (id === "peak" && !own) return {left: axis, right: Math.round((trace.x1 + x0) / 2)};
    const [first, last] = id === "peak" ? [-own, -own] : STAIR_COLUMNS[id];
    return {left: x0 + (first + own) * pitch, right: x0 + (last + own + 1) * pitch - gap};
  };
  const ceiling = small ? 1.15 * data.peak.p : top;
  const rise = (p) => (small ? trace.bottom - (p / ceiling) * (trace.bottom - trace.top) : y(p));
  return {W, H, wide, small, axis, top: stairTop, bottom, trace, x0, x1, pitch, gap, y, rise, column, own};
}

/** SVG nodes by name: made when first asked for, hidden while unasked. */
function nodePool(parent) {
  const nodes = new Map();
  let asked = new Set();
  return {
    start: () => (asked = new Set()),
    get(name, tag, attrs = {}, text) {
      let node = nodes.get(name);
      if (!node) nodes.set(name, (node = svgEl(tag, {}, parent)));
      asked.add(name);
      attr(node, "visibility", null);
      for (const [key, value] of Object.entries(attrs)) attr(node, key, value);
      if (text !== undefined) words(node, text);
      return node;
    },
    finish() {
      for (const [name, node] of nodes) if (!asked.has(name)) attr(node, "visibility", "hidden");
    },
  };
}

const px = (v) => v.toFixed(1);
const flat = (x0, x1, y) => `M${px(x0)} ${px(y)}H${px(x1)}`;
const upright = (x, y0, y1) => `M${px(x)} ${px(y0)}V${px(y1)}`;

/** Axis, zone, levels: what lies under everything. */
function drawGround(pool, g, frame, data) {
  const right = g.x1 + 26 > g.W ? g.W : g.x1 + 26;
  const meop = Math.max(g.y(data.meop), g.top);
  pool.get("zone", "rect", {class: "zone", x: px(g.axis), y: px(meop), width: px(right - g.axis), height: px(g.bottom - meop)});
  pool.get("unit", "text", {class: "muted", x: 0, y: px(g.top - 16)}, frame.unit);
  for (const t of frame.ticks) {
    pool.get(`tick ${t}`, "path", {class: "major", d: flat(g.axis - 9, g.axis, g.y(t))});
    pool.get(`number ${t}`, "text", {class: "muted end", x: px(g.axis - 13), y: px(g.y(t) + 5)}, String(t));
  }
  pool.get("minor", "path", {class: "minor", d: frame.minor.map((t) => flat(g.axis - 5, g.axis, g.y(t))).join("")});
  pool.get("axis", "path", {class: "major", d: upright(g.axis, g.top - 2, g.bottom)});
  pool.get("floor", "path", {class: "minor", d: flat(g.axis, right, g.bottom)});
  const heavy = data.meets.map(([a, b]) => upright(g.axis, Math.min(g.y(a), g.bottom), Math.max(g.y(b), g.top)));
  pool.get("meets", "path", {class: "heavy", d: heavy.join("")});
  for (const level of data.levels) {
    const y = g.y(level.p);
    const seen = y > g.top - 2;
    pool.get(`level ${level.id}`, "path", {class: level.id === "meop" ? "meop" : "hair", d: seen ? flat(g.axis, right, y) : ""});
  }
  return right;
}

/** Each level's name and product at the left, its number at the right. */
function drawLevels(pool, g, data, press) {
  const shown = data.levels.filter((level) => g.y(level.p) > g.top - 2);
  const order = [...shown].sort((a, b) => b.p - a.p);
  const rows = spread(order.map((level) => g.y(level.p)), 22, g.top + 4, g.bottom - 8);
  order.forEach((level, i) => {
    const strong = level.id === "meop" ? " strong" : "";
    const number = pool.get(`right ${level.id}`, "text", {class: `name end${strong}`, x: px(g.W - 2), y: px(rows[i] + 6)}, level.text);
    press(number, level.opens, `${level.name} ${level.text}`);
    const meop = level.id === "meop";
    if (!g.wide && !meop) return;
    const size = g.wide ? 16 : 14;
    const room = g.wide ? Infinity : (data.steps[0].id === "peak" ? g.trace.x1 : g.column(data.given ? "meop" : "hot").right - 16) - g.axis - 26;
    if (g.small || textWidth(level.name, size, 650) + textWidth(level.sum, size) > room) { // over the axis
      pool.get("sum meop", "text", {x: px(g.axis + 14), y: px(g.top - 16)}, `${level.name}${level.sum === level.text ? "" : ":"} ${level.sum}`);
      return;
    }
    const y = px(rows[i] - 8);
    const name = pool.get(`name ${level.id}`, "text", {class: `strong${g.wide ? " name" : ""}`, x: px(g.axis + 14), y}, level.name);
    press(name, level.opens); // its number is the stop
    const end = g.wide ? g.trace.x1 : g.axis + 26 + room - 12;
    pool.get(`sum ${level.id}`, "text", {class: `end${g.wide ? " name" : ""}`, x: px(end), y}, level.sum);
  });
}

/** One step: its block or line, its words, its rail; `p` is where its thumb is now. */
function drawStep(pool, g, step, p, text, data) {
  const {left, right} = g.column(step.id);
  const at = (v) => step.plo + ((v - step.lo) / (step.hi - step.lo)) * (step.phi - step.plo);
  const cut = (v) => Math.min(Math.max(g.y(v), g.top - 4), g.bottom);
  const y = cut(p);
  const base = cut(step.base);
  const key = (what) => `${what} ${step.id}`;
  const adds = ["hot", "scatter", "meop"].includes(step.id);
  if (adds && step.id !== "meop") {
    pool.get(key("block"), "rect", {class: "block", x: px(left), y: px(Math.min(y, base)), width: px(right - left), height: px(Math.max(Math.abs(base - y), 1))});
    pool.get(key("run"), "path", {class: "run", d: step.id === "hot" && !g.small ? "" : flat(left - g.gap, left, base)});
  } else if (step.id !== "peak") {
    if (adds) pool.get(key("run"), "path", {class: "run", d: flat(left - g.gap, left, base)});
    pool.get(key("riser"), "path", {class: "hair2", d: upright(left, base, y)});
    pool.get(key("line"), "path", {class: "step", d: flat(left, right, y)});
  }
  pool.get(key("rail"), "path", {class: "rail", d: upright(right, cut(step.plo), cut(step.phi))});
  const heavy = step.meets.map(([a, b]) => upright(right, cut(at(a)), cut(at(b))));
  pool.get(key("heavy"), "path", {class: "heavy", d: heavy.join("")});
  if (step.id === "peak") {
    if (g.small) pool.get(key("text"), "text", {class: "mid", x: px((left + right) / 2), y: px(y + 30)}, text.replace(/ .*/, ""));
    return;
  }
  const room = adds ? Math.min(Math.max(base, y) + 26, g.bottom - (g.wide ? 46 : 24)) :
    (base - y < 52 ? base + 24 : y + 24);
  if (g.wide && adds) pool.get(key("title"), "text", {class: "name strong", x: px(left), y: px(room)}, step.name);
  const x = px(left + (adds ? 0 : 12));
  const down = g.wide && adds ? 22 : 0;
  pool.get(key("text"), "text", {class: g.wide ? "name" : "", x: g.small ? px(left) : x, y: px(room + down)}, g.small ? text.replace(/ (MPa|psi)$/, "").replace(/ /g, "") : text);
  const narrow = /^[+÷]/.test(step.more) ? step.more.replace(/,? [a-zA-Z].*$/, "") : step.more.replace("your own number", "yours");
  if (!g.small) pool.get(key("more"), "text", {class: "muted", x, y: px(room + down + 19)}, g.wide ? step.more : narrow);
}

/** What the design reaches over a level: a stem in its part's colour. */
function drawStem(pool, g, stem, level, unit, press) {
  const {left} = g.column(stem.id);
  const beyond = g.y(stem.p) < g.top;
  const y = beyond ? g.top : g.y(stem.p);
  const from = Math.max(g.y(level), g.top);
  const key = (what) => `stem ${what} ${stem.id}`;
  const part = `p-${stem.part}`;
  pool.get(key("line"), "path", {class: `stem ${part}`, d: upright(left, from, y)});
  pool.get(key("end"), "path", {
    class: `stemend ${part}`,
    d: beyond ? `M${px(left - 6)} ${px(y + 4)}L${px(left)} ${px(y - 7)}L${px(left + 6)} ${px(y + 4)}Z` :
      `M${px(left - 5)} ${px(y)}a5 5 0 1 0 10 0a5 5 0 1 0 -10 0Z`,
  });
  const lines = g.small ? [stem.text] : g.wide ? [stem.name, stem.text] : [...stem.name.split(" "), stem.text];
  const below = Math.max(Math.min(y + 5, from - 10), 14 + 17 * (lines.length - 1));
  ["a", "b", "c", "d"].forEach((slot, i) => {
    const line = lines[lines.length - 1 - i];
    if (line === undefined) return;
    const node = pool.get(key(slot), "text", {class: `stemname ${part}`, x: px(left + (g.wide ? 11 : 8)), y: px(below - 17 * i)}, line);
    press(node, stem.check, i ? undefined : `${stem.name} reaches ${stem.text} ${unit}`);
  });
}

/** What the two halves of the stair are, under it. */
function drawFoot(pool, g, data) {
  const ids = data.steps.map((step) => step.id);
  const bracket = (a, b) => `M${px(a)} ${px(g.bottom + 2)}V${px(g.bottom + 9)}H${px(b)}V${px(g.bottom + 2)}`;
  const first = g.column(data.given ? "meop" : "hot");
  const last = g.column(data.given ? "meop" : "scatter");
  const times = [g.column("proof").left, g.column("ultimate").right];
  if (!g.small) {
    pool.get("bracket a", "path", {class: "bracket", d: bracket(first.left, last.right)});
    pool.get("bracket b", "path", {class: "bracket", d: bracket(...times)});
  }
  if (g.wide) {
    if (!data.given) pool.get("foot a", "text", {class: "muted mid", x: px((first.left + last.right) / 2), y: px(g.bottom + 28)}, "times peak: MEOP");
    pool.get("foot b", "text", {class: "muted mid", x: px((times[0] + times[1]) / 2), y: px(g.bottom + 28)}, "times MEOP: what every check must reach");
    return;
  }
  const short = {peak: "Peak", hot: g.own ? "Hot" : "Hot day", scatter: g.own ? "Batch" : "Scatter", meop: "given", proof: "Proof", yield: "Yield", ultimate: "Ultimate"};
  for (const id of ids) {
    const {left, right} = g.column(id);
    if ((id === "peak" && !g.own) || id === "meop") continue;
    const last = g.small && id === "ultimate";
    pool.get(`foot ${id}`, "text", {class: last ? "muted" : "muted mid", x: px(last ? left - 2 : (left + right) / 2), y: px(g.bottom + (g.small ? 20 : 28))}, short[id]);
  }
}
