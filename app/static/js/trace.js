/* The curve of a trace with its peak, rise and burn, on the pressure axis of the stair. */

function drawTrace(pool, g, traces, data) {
  const {x0, x1, top, bottom} = g.trace;
  const x = (t) => x0 + (t / traces.hi) * (x1 - x0 - (g.small ? 0 : 14));
  const y = (p) => Math.max(g.rise(p), top - 4);
  const about = traces.about;
  pool.get("time axis", "path", {class: "major", d: flat(x0, x1, bottom)});
  if (g.small) pool.get("own axis", "path", {class: "major", d: upright(x0, top - 4, bottom)});
  traces.ticks.forEach((t, i) => {
    pool.get(`time tick ${i}`, "path", {class: "major", d: upright(x(t), bottom, bottom + 7)});
    const last = i === traces.ticks.length - 1;
    pool.get(`time ${i}`, "text", {class: last ? "muted end" : "muted mid", x: px(last ? x1 + 2 : x(t)), y: px(bottom + 24)}, last ? `${t} s` : String(t));
  });
  const line = (run) => run.t.map((t, i) => `${i ? "L" : "M"}${px(x(t))} ${px(y(run.p[i]))}`).join("");
  traces.runs.forEach((run, i) => {
    const front = i === traces.runs.length - 1;
    pool.get(`run ${i}`, "path", {class: front ? "curve" : "earlier", d: line(run)});
  });
  const peak = data.peak.p;
  const start = about && Math.abs(about.peak[1] - peak) < 1e-3 * peak ? x(about.peak[0]) : x0;
  const end = g.small ? x1 : g.column(data.given ? "meop" : "hot").left;
  pool.get("peak line", "path", {class: "run", d: flat(start, end, y(peak))});
  if (!about) {
    const said = traces.missing.length ? [`The design keeps the figures of ${traces.missing[0]}.`, "Add the file again to see its curve."] : ["No trace yet."];
    const size = g.wide ? "muted mid" : "muted";
    said.forEach((text, i) => pool.get(`none ${i}`, "text", {class: size, x: px(g.wide ? (x0 + x1) / 2 : x0 + 10), y: px((y(peak) + bottom) / 2 + 20 * i)}, g.wide || i === 0 && !traces.missing.length ? text : ["", "Add the file again."][i]));
    pool.get("peak said", "text", {class: "end", x: px(x1 - 2), y: px(y(peak) + (g.small || y(peak) - g.y(data.meop) > 24 ? -7 : 18))}, `peak ${data.peak.text}`);
    return;
  }
  const [t, p, said] = about.peak;
  pool.get("peak dot", "path", {class: "mark", d: dot(x(t), y(p), 4.5)});
  const middle = Math.min(Math.max(x(t), x0 + 60), x1 - 60);
  // Under a low curve there is room for two lines at most: the peak is then told over it.
  const tall = bottom - y(p);
  const over = tall < 110 && y(p) - g.y(data.meop) > 30;
  pool.get("peak said", "text", {class: "strong mid halo", x: px(middle), y: px(y(p) + (over ? -9 : 22))}, said);
  const lines = Math.floor((tall - (over ? 0 : 22) - 4) / 20);
  const [ten, ninety] = about.rise;
  if (ten[0] !== null && ninety[0] !== null) {
    pool.get("rise", "path", {class: "mark", d: dot(x(ten[0]), y(ten[1]), 3.5) + dot(x(ninety[0]), y(ninety[1]), 3.5)});
    const down = Math.min(y(0.52 * p), y(0.1 * p) - 28);
    const text = lines < 2 ? "" : g.wide ? about.rose : about.rose.replace(/,.*/, "");
    if (text) pool.get("rise lead", "path", {class: "lead", d: `M${px(x(ninety[0]) + 3)} ${px(y(ninety[1]) + 5)}L${px(x(ninety[0]) + 24)} ${px(down - 16)}`});
    pool.get("rise said", "text", {class: "halo", x: px(x(ninety[0]) + 18), y: px(down)}, text);
  }
  const [from, to] = about.burn;
  if (from[0] !== null && to[0] !== null) {
    const low = y(from[1]);
    const [a, b] = [x(from[0]) + 5, x(to[0])];
    pool.get("burn", "path", {class: "lead", d: flat(a, b, low) + `M${px(a + 7)} ${px(low - 3)}L${px(a)} ${px(low)}L${px(a + 7)} ${px(low + 3)}M${px(b - 7)} ${px(low - 3)}L${px(b)} ${px(low)}L${px(b - 7)} ${px(low + 3)}`});
    const text = lines < 1 ? "" : g.wide ? about.burnt : about.burnt.replace(/,.*/, "");
    pool.get("burn said", "text", {class: "mid halo", x: px((a + b) / 2), y: px(low - 8)}, text);
  }
  if (traces.runs.length > 1) {
    const low = traces.runs.every((run) => run.t.every((at, i) => at < 0.76 * traces.hi || run.p[i] < 0.4 * p));
    pool.get("earlier said", "text", {class: "muted end", x: px(x1 - 2), y: px(y(0.6 * p))}, g.wide && low ? "other runs grey" : "");
  }
}

/** A round dot as a path, so that one node bears several. */
function dot(x, y, r) {
  return `M${px(x - r)} ${px(y)}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`;
}
