/* What lets go first: one rung per way of letting go, from the wanted pressure to the reached one. */

const LADDER = {names: 212, numbers: 56, top: 35, row: 44, rungs: 6, bar: 15};
LADDER.base = LADDER.top + LADDER.row * LADDER.rungs;

function ladderView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<section class="view ladder"><h2></h2>
    <div class="scale"><svg height="${LADDER.base + 30}" aria-hidden="true"></svg></div></section>`);
  const [head, scale] = host.lastElementChild.children;
  const still = scale.firstElementChild;
  const rungs = new Map();
  const data = {rungs: [], ticks: [], hi: 1};
  let width = host.clientWidth || 437;
  let order = [];
  let stillText = "";
  let sorting = 0;

  const long = () => width - LADDER.names - LADDER.numbers;
  const px = (v) => LADDER.names + (long() * Math.min(Math.max(v, 0), data.hi)) / data.hi;
  const crisp = (v) => Math.floor(v) + 0.5;
  const part = (node, name) => attr(node, "class", name);

  function drawScale() {
    const now = JSON.stringify([width, data.title, data.meop, data.proof, data.hi, data.ticks, data.unit]);
    if (now === stillText) return;
    stillText = now;
    const {meop, proof, hi, ticks, unit} = data;
    const {top, base} = LADDER;
    const text = (x, y, kind, content) => (svgEl("text", {x, y, class: kind}, still).textContent = content);
    words(head, data.title);
    still.replaceChildren();
    attr(still, "width", width);
    svgEl("rect", {class: "zone", x: px(0), y: top, width: px(meop.at) - px(0), height: base - top}, still);
    const step = ticks.length > 1 ? (ticks[1] - ticks[0]) / 5 : hi;
    const fine = px(step) - px(0) < 4 ? [] : Array.from({length: Math.floor(hi / step + 1e-6) + 1}, (_, i) => i * step);
    const comb = (values, length) => values.map((v) => `M${crisp(px(v))} ${base}v${length}`).join("");
    svgEl("path", {class: "minor", d: comb(fine, 4)}, still);
    svgEl("path", {class: "major", d: comb(ticks, 7)}, still);
    svgEl("path", {class: "base", d: `M${px(0)} ${base + 0.5}H${px(hi)}`}, still);
    for (const v of sparse(ticks, px)) text(px(v), base + 23, "muted mid", v);
    text(LADDER.names - 12, base + 23, "muted end", unit);
    svgEl("path", {class: "want", d: `M5 ${base + 11}v14`}, still);
    text(12, base + 23, "muted", "wanted");
    const past = 31 + textWidth("wanted");
    svgEl("circle", {class: "key", cx: past, cy: base + 18, r: 6}, still);
    text(past + 11, base + 23, "muted", "lets go");
    /* Two rows of labels; the line of the lower one starts below the upper label, so none is crossed. */
    const fits = px(proof.at) + 6 + textWidth(proof.text) <= width;
    const rows = fits ? [[meop, 10, false], [proof, 29, true]] : [[proof, 10, false], [meop, 29, false]];
    for (const [level, y, right] of rows) {
      const line = level === meop ? "meop" : "proof";
      svgEl("path", {class: line, d: `M${crisp(px(level.at))} ${y - 10}V${base}`}, still);
      text(px(level.at) + (right ? 6 : -6), y, right ? "" : "end", level.text);
    }
  }

  function rung(id) {
    if (rungs.has(id)) return rungs.get(id);
    scale.insertAdjacentHTML("beforeend", `<button type="button" class="rung"><b></b><span class="out"></span>
      <i></i><span class="or">or</span><svg height="44" aria-hidden="true"></svg></button>`);
    const button = scale.lastElementChild;
    const [name, outcome, number, or, svg] = button.children;
    const draw = (tag, kind, more = {}) => svgEl(tag, {class: kind, ...more}, svg);
    const own = {
      button, name, outcome, number, or,
      keptLine: draw("path", "keptline"), keptDot: draw("circle", "keptdot", {r: 4, cy: LADDER.bar + 13}),
      bar: draw("path", "bar"), want: draw("path", "want"), shape: draw("g", "shape"),
      arrow: draw("path", "arrow"), ghost: draw("circle", "ghost", {r: 6, cy: LADDER.bar}),
    };
    button.addEventListener("click", () => tell("open", id));
    rungs.set(id, own);
    return own;
  }

  function drawRung(it, place) {
    const own = rung(it.id);
    const y = LADDER.bar;
    const none = it.state === "no answer" || it.at === null;
    const wanted = it.wanted ?? null;
    const past = !none && it.at > data.hi;
    const x = none ? px(0) + 10 : px(it.at) - (past ? 8 : 0);
    part(own.button, `rung p-${it.part}${none ? " none" : ""}`);
    attr(own.button, "style", `transform:translateY(${LADDER.top + place * LADDER.row}px)`);
    attr(own.button, "aria-label", `${it.name}, ${it.outcome}, ${none ? "no answer" : `${it.text} ${data.unit}`}` +
      `${wanted === null ? "" : `, ${Number(wanted.toPrecision(3))} is wanted`}, show working`);
    words(own.name, it.name);
    words(own.outcome, it.outcome);
    words(own.number, none ? "" : it.text);
    attr(own.or, "hidden", it.either && place ? null : "");
    const from = wanted === null ? px(data.meop.at) : px(wanted);
    part(own.bar, wanted === null ? "bar thin" : "bar");
    attr(own.bar, "d", none ? "" : `M${from.toFixed(1)} ${y}H${x.toFixed(1)}`);
    attr(own.want, "d", wanted === null ? "" : `M${px(wanted).toFixed(1)} ${y - 8}v16`);
    const state = none ? "none" : it.state === "meets" ? "disc" : it.state;
    if (own.state !== state) own.shape.innerHTML = mark(state, 0, 0, state === "close" || state === "none" ? 7.4 : 11);
    own.state = state;
    attr(own.shape, "transform", `translate(${x.toFixed(1)} ${y})`);
    attr(own.arrow, "d", past ? `M${x + 9} ${y - 5}l7 5l-7 5Z` : "");
    const before = it.kept ?? null;
    show(own.keptDot, before !== null);
    attr(own.keptDot, "cx", before === null ? x : px(before));
    attr(own.keptLine, "d", before === null || none ? "" : `M${px(before).toFixed(1)} ${y + 13}H${x.toFixed(1)}`);
    const next = it.ghost ?? null;
    show(own.ghost, next !== null);
    attr(own.ghost, "cx", next === null ? x : px(next));
  }

  /** While a hand is on a slider the rungs keep their places; a new one takes the place that fell free. */
  function places(ids) {
    if (!data.held || !order.length) return ids;
    const fresh = ids.filter((id) => !order.includes(id));
    return [...order.map((id) => (ids.includes(id) ? id : fresh.shift())), ...fresh].filter((id) => id !== undefined);
  }

  function draw() {
    if (!data.meop) return;
    drawScale();
    order = places(data.rungs.slice(0, LADDER.rungs).map((it) => it.id));
    for (const [id, own] of rungs) {
      if (order.includes(id)) continue;
      own.button.remove();
      rungs.delete(id);
    }
    part(scale, data.held ? "scale held" : "scale");
    const sent = new Map(data.rungs.map((it) => [it.id, it]));
    order.forEach((id, place) => drawRung(sent.get(id), place));
    clearTimeout(sorting);
    sorting = setTimeout(inOrder, 300);
  }

  /** Tab follows the eye: the nodes change places too, once they have come to rest (moving a node
      cuts its transition short) and never under a focus, which would be lost. */
  function inOrder() {
    if (data.held || scale.contains(host.getRootNode().activeElement)) return;
    order.forEach((id, i) => {
      const {button} = rungs.get(id);
      if (scale.children[i + 1] !== button) scale.insertBefore(button, scale.children[i + 1] ?? null);
    });
  }

  new ResizeObserver(() => {
    const now = host.clientWidth;
    if (!now || now === width) return;
    width = now;
    draw();
  }).observe(host);

  return {
    update(sent) {
      Object.assign(data, sent);
      draw();
    },
  };
}
