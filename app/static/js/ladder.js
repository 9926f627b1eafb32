/* What lets go first: one rung per way of letting go, from the wanted pressure to the reached one. */

/* Its three forms by the room there is: name over outcome beside the scale; all on one line; and,
   where it is tight, the outcome below the bar, with the scale's lines only beside the names. */
const LADDER = {
  tall: {names: 212, numbers: 68, top: 35, row: 44, rungs: 6, bar: 15, kept: 13},
  line: {names: 384, numbers: 96, top: 26, row: 34, rungs: 5, bar: 15, kept: 11},
  tight: {names: 148, numbers: 64, top: 35, row: 44, rungs: 6, bar: 13, kept: 8},
};

function ladderView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<section class="view ladder"><h2><b></b><span class="note"></span></h2>
    <div class="scale"><svg aria-hidden="true"></svg></div></section>`);
  const root = host.lastElementChild;
  const [title, scale] = root.children;
  const [head, note] = title.children;
  const still = scale.firstElementChild;
  const rungs = new Map();
  const data = {rungs: [], ticks: [], hi: 1};
  let width = host.clientWidth || 437;
  let height = host.clientHeight || 372;
  let form = null;
  let at = null;
  let order = [];
  let stillText = "";
  let sorting = 0;

  const long = () => width - at.names - at.numbers;
  const px = (v) => at.names + (long() * Math.min(Math.max(v, 0), data.hi)) / data.hi;
  const crisp = (v) => Math.floor(v) + 0.5;
  const part = (node, name) => attr(node, "class", name);

  /** The form that the room asks for; taller room makes taller rows. */
  function settle() {
    form = width >= 700 ? "line" : width >= 420 ? "tall" : "tight";
    const {top, row, rungs} = LADDER[form];
    const spare = form === "line" ? 0 : (height - 372) / rungs;
    at = {...LADDER[form], row: row + Math.floor(Math.min(Math.max(spare, 0), 16))};
    at.base = top + at.row * rungs;
    attr(root, "class", `view ladder ${form}`);
    attr(still, "height", at.base + 30);
  }

  function drawScale() {
    const now = JSON.stringify([width, at, data.title, data.meop, data.proof, data.hi, data.ticks, data.unit, data.note]);
    if (now === stillText) return;
    stillText = now;
    const {meop, proof, hi, ticks, unit} = data;
    const {top, base} = at;
    const text = (x, y, kind, content) => (svgEl("text", {x, y, class: kind}, still).textContent = content);
    words(head, data.title);
    words(note, data.note);
    still.replaceChildren();
    attr(still, "width", width);
    const rows = Array.from({length: at.rungs}, (_, i) => top + i * at.row);
    const [starts, deep] = form === "tight" ? [rows, 25] : [[top], base - top];
    const across = px(meop.at) - px(0);
    svgEl("path", {class: "zone", d: starts.map((y) => `M${px(0)} ${y}h${across}v${deep}h${-across}Z`).join("")}, still);
    const step = ticks.length > 1 ? (ticks[1] - ticks[0]) / 5 : hi;
    const fine = px(step) - px(0) < 4 ? [] : Array.from({length: Math.floor(hi / step + 1e-6) + 1}, (_, i) => i * step);
    const comb = (values, length) => values.map((v) => `M${crisp(px(v))} ${base}v${length}`).join("");
    svgEl("path", {class: "minor", d: comb(fine, 4)}, still);
    svgEl("path", {class: "major", d: comb(ticks, 7)}, still);
    svgEl("path", {class: "base", d: `M${px(0)} ${base + 0.5}H${px(hi)}`}, still);
    for (const v of sparse(ticks, px)) text(px(v), base + 23, "muted mid", v);
    text(form === "tight" ? width : at.names - 12, base + 23, "muted end", unit);
    svgEl("path", {class: "want", d: `M${form === "tight" ? 1.5 : 5} ${base + 11}v14`}, still);
    text(form === "tight" ? 6 : 12, base + 23, "muted", "wanted");
    const past = textWidth("wanted") + (form === "tight" ? 19 : 31);
    svgEl("circle", {class: "key", cx: past, cy: base + 18, r: 6}, still);
    text(past + (form === "tight" ? 9 : 11), base + 23, "muted", "lets go");
    /* Two rows of labels; the line of the lower one starts below the upper label, so none is crossed. */
    const fits = px(proof.at) + 6 + textWidth(proof.text) <= width;
    const [one, two] = form === "line" && fits ? [16, 16] : [10, 29];
    const labels = fits ? [[meop, one, false], [proof, two, true]] : [[proof, one, false], [meop, two, false]];
    for (const [level, y, right] of labels) {
      const line = level === meop ? "meop" : "proof";
      const x = crisp(px(level.at));
      if (level.at !== null) svgEl("path", {class: line, d: `M${x} ${y - 10}V${top}${starts.map((from) => `M${x} ${from}v${deep}`).join("")}`}, still);
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
      keptLine: draw("path", "keptline"), keptDot: draw("circle", "keptdot", {r: 4}),
      bar: draw("path", "bar"), want: draw("path", "want"), shape: draw("g", "shape"),
      arrow: draw("path", "arrow"), ghost: draw("circle", "ghost", {r: 6}),
    };
    button.addEventListener("click", () => tell("open", id));
    rungs.set(id, own);
    return own;
  }

  function drawRung(it, place) {
    const own = rung(it.id);
    const y = at.bar;
    const none = it.state === "no answer" || it.at === null;
    const wanted = it.wanted ?? null;
    const past = !none && it.at > data.hi;
    const x = none ? px(0) + 10 : px(it.at) - (past ? 8 : 0);
    part(own.button, `rung p-${it.part}${none ? " none" : ""}`);
    attr(own.button, "style", `transform:translateY(${at.top + place * at.row}px)`);
    attr(own.button, "aria-label", `${it.name}, ${it.outcome}, ${none ? "no answer" : `${it.text} ${data.unit}`}` +
      `${wanted === null ? "" : `, ${Number(wanted.toPrecision(3))} is wanted`}, show working`);
    words(own.name, it.name);
    words(own.outcome, it.outcome);
    words(own.number, none ? "–" : it.text);
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
    attr(own.keptDot, "cy", y + at.kept);
    attr(own.ghost, "cy", y);
    attr(own.keptDot, "cx", before === null ? x : px(before));
    attr(own.keptLine, "d", before === null || none ? "" : `M${px(before).toFixed(1)} ${y + at.kept}H${x.toFixed(1)}`);
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
    order = places(data.rungs.slice(0, at.rungs).map((it) => it.id));
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

  new ResizeObserver(([{contentRect}]) => {
    if (!contentRect.width || (contentRect.width === width && contentRect.height === height)) return;
    width = contentRect.width;
    height = contentRect.height;
    settle();
    root.classList.add("turning"); // a new form is taken up at once
    draw();
    requestAnimationFrame(() => requestAnimationFrame(() => root.classList.remove("turning")));
  }).observe(host);
  settle();

  return {
    update(sent) {
      Object.assign(data, sent);
      draw();
    },
  };
}
