/* The sum of the Loads page: trace, stair, and a thumb for each step. A thumb follows the hand at
   once; the rest comes from the server. */

function stairView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<section class="view sum" aria-label="From the peak to MEOP, and the factors on it">
    <svg role="group"></svg><button type="button" class="build" hidden>Build it up</button></section>`);
  const root = host.lastElementChild;
  const [svg, build] = root.children;
  const under = nodePool(svgEl("g", {}, svg));
  const over = nodePool(svgEl("g", {}, svg));
  const thumbs = new Map();
  let frame = null;
  let data = null;
  let traces = null;
  let sent = 0;
  let g = null;
  let active = "";

  build.addEventListener("click", () => tell("build"));
  new ResizeObserver(() => draw()).observe(root);

  /** A text that opens its working, or its field; without a name it only answers to a touch. */
  function press(node, opens, name = null) {
    attr(node, "role", name && "button");
    attr(node, "tabindex", name && "0");
    attr(node, "aria-label", name);
    attr(node, "aria-hidden", name ? null : "true");
    node.opens = opens;
    if (node.heard) return;
    node.heard = true;
    onPress(node, () => tell(node.opens.startsWith("loads.") ? "goto" : "open", node.opens));
  }

  const pressureAt = (step, v) => step.plo + ((v - step.lo) / (step.hi - step.lo)) * (step.phi - step.plo);
  const trimmed = (v, digits, least = 0) => v.toFixed(digits).replace(new RegExp(`(\\.\\d{${least}}\\d*?)0+$`), "$1").replace(/\.$/, "");
  function said(step, v) {
    if (step.plain) return `${v.toFixed(step.decimals)} ${step.unit}`;
    return step.share ? `+ ${trimmed(v, 2)} %` : `× ${trimmed(v, 3, 1)}`;
  }

  function thumb(step) {
    if (thumbs.has(step.id)) return thumbs.get(step.id);
    root.insertAdjacentHTML("beforeend", `<div class="thumbed"><input type="range" step="any" aria-orientation="vertical"><i class="knob"></i><div class="grab"></div></div>`);
    const box = root.lastElementChild;
    const [slider, , grab] = box.children;
    const made = {box, slider, grab, step, at: step.value, awaited: 0, held: false, slid: false};
    thumbHand(made, {
      value: (clientY) => {
        const {top} = root.getBoundingClientRect();
        const p = ((g.bottom - (clientY - top)) / (g.bottom - g.top)) * frame.top;
        return made.step.lo + ((p - made.step.plo) / (made.step.phi - made.step.plo)) * (made.step.hi - made.step.lo);
      },
      place: () => root.getBoundingClientRect().top + g.y(pressureAt(made.step, made.at)),
      move(v) {
        made.at = v;
        made.slid = true;
        sent += 1;
        made.awaited = sent;
        draw();
        tell("slide", {id: made.step.id, value: v, at: sent});
      },
      hold: (on) => tell("hold", on),
      text: () => said(made.step, made.at).replace(/^[+×] /, ""),
      typed(text) {
        sent += 1;
        made.awaited = sent;
        tell("typed", {id: made.step.id, text, at: sent});
      },
      chosen: () => choose(made.step.id),
      root,
    });
    thumbs.set(step.id, made);
    return made;
  }

  /** The thumb that the strip of a narrow page works. */
  function choose(id) {
    if (active === id) return;
    active = id;
    for (const [own, {slider}] of thumbs) slider.classList.toggle("slider", own === id);
    document.dispatchEvent(new CustomEvent("plotshown"));
  }

  function draw() {
    const [W, H] = [root.clientWidth, root.clientHeight];
    if (!data || !frame || !traces || W < 200) return;
    g = stairPlaces(W, H, data, frame.top);
    attr(svg, "width", W);
    attr(svg, "height", H);
    for (const pool of [under, over]) pool.start();
    const right = drawGround(under, g, frame, data);
    for (const [what, levels] of [["kept", data.kept], ["ghost", data.ghost]]) {
      for (const {id} of levels ? data.steps : []) others(what, id, levels[id]);
    }
    drawTrace(under, g, traces, data);
    drawFoot(under, g, data);
    for (const step of data.steps) {
      const own = thumb(step);
      const p = own.slid || own.held ? pressureAt(step, own.at) : step.p;
      drawStep(over, g, step, p, said(step, own.at), data);
      place(own, p);
    }
    for (const stem of data.stems) {
      const level = data.levels.find(({id}) => id === stem.id);
      drawStem(over, g, stem, level.p, frame.unit, press);
    }
    drawLevels(over, g, data, press);
    for (const pool of [under, over]) pool.finish();
    const used = new Set(data.steps.map(({id}) => id));
    for (const [id, own] of thumbs) attr(own.box, "hidden", used.has(id) ? null : "");
    if (!used.has(active)) choose(data.steps[0].id);
    attr(build, "hidden", data.given ? null : "");
    if (data.given) {
      const {left, right: end} = g.column("meop");
      attr(build, "style", `left:${Math.round((left + end) / 2 - 56)}px;top:${Math.round(g.bottom + 4)}px`);
    }
    const all = data.levels.map(({name, sum}) => `${name} ${sum}`).join("; ");
    const reach = data.stems.map(({name, text}) => `${name} ${text}`).join(", ");
    attr(svg, "aria-label", `In ${frame.unit}: ${all}. The design reaches: ${reach}.`);
    return right;
  }

  /** A level of the kept or the previewed design, dashed. */
  function others(what, id, p) {
    const own = data.steps.find((step) => step.id === id);
    if (p === null || p === undefined || Math.abs(g.y(p) - g.y(own.p)) < 1 || g.y(p) < g.top) return;
    const {right} = g.column(id); // by the thumb, clear of the words
    under.get(`${what} ${id}`, "path", {class: what, d: flat(right - 32, right + 16, g.y(p))});
  }

  function place(own, p) {
    const {step} = own;
    const x = g.column(step.id).right;
    const y = Math.min(Math.max(g.y(p), g.top - 4), g.bottom);
    attr(own.box, "style", `transform:translate(${px(x - 22)}px,${px(y - 22)}px)`);
    own.box.classList.toggle("beyond", g.y(p) < g.top - 4);
    attr(own.slider, "min", step.lo);
    attr(own.slider, "max", step.hi);
    own.slider.value = own.at;
    attr(own.slider, "aria-label", step.name);
    attr(own.slider, "aria-valuetext", said(step, own.at));
  }

  return {
    update(now) {
      if (now.frame) ({frame} = now);
      if (now.traces) ({traces} = now);
      if (now.steps) data = now;
      if (!data) return;
      for (const step of data.steps) {
        const own = thumb(step);
        own.step = step;
        if (own.awaited && data.at >= own.awaited) own.awaited = 0;
        if (!own.awaited) own.slid = false;
        if (!own.held && !own.slid) own.at = step.value;
      }
      draw();
    },
  };
}

/** Hand, keys and typing on one thumb. */
function thumbHand(own, act) {
  const {slider, grab, box} = own;
  const clean = (v) => Number(v.toPrecision(12));
  const inside = (v) => Math.min(Math.max(v, own.step.lo), own.step.hi);
  const stepped = (v) => clean(inside(Math.round(v / own.step.step) * own.step.step));
  let drag = null;
  let lastTap = 0;

  grab.addEventListener("pointerdown", (event) => {
    if (event.button || drag) return;
    event.preventDefault();
    slider.classList.add("byhand"); // the focus ring is for keys
    slider.focus({preventScroll: true});
    act.chosen();
    drag = {id: event.pointerId, y: event.clientY, offset: act.place() - event.clientY, moved: false};
    grab.setPointerCapture(event.pointerId);
  });
  grab.addEventListener("pointermove", (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    if (!drag.moved && Math.abs(event.clientY - drag.y) < 3) return;
    if (!drag.moved) {
      own.held = true;
      act.hold(true);
    }
    drag.moved = true;
    const next = stepped(act.value(event.clientY + drag.offset));
    if (next !== own.at) act.move(next);
  });
  const up = (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    const {moved} = drag;
    drag = null;
    own.held = false;
    if (moved) act.hold(false);
    else if (event.type === "pointerup" && event.timeStamp - lastTap < 400) type();
    lastTap = moved ? 0 : event.timeStamp;
  };
  for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) grab.addEventListener(end, up);

  /** Ends of the heavy part round the value, rounded inwards to a step. */
  function ends() {
    const {meets, lo, hi, step} = own.step;
    const [low, high] = meets.find(([a, b]) => a <= own.at && own.at <= b) ?? meets[0] ?? [lo, hi];
    return [Math.ceil(low / step - 1e-6) * step, Math.floor(high / step + 1e-6) * step].map((v) => clean(inside(v)));
  }
  slider.addEventListener("focus", act.chosen);
  slider.addEventListener("blur", () => slider.classList.remove("byhand"));
  slider.addEventListener("keydown", (event) => {
    slider.classList.remove("byhand");
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const size = event.shiftKey ? own.step.step : own.step.key;
    const by = (n) => stepped(own.at + n * size);
    const acts = {
      ArrowRight: () => by(1), ArrowUp: () => by(1), ArrowLeft: () => by(-1), ArrowDown: () => by(-1),
      PageUp: () => by(5), PageDown: () => by(-5), Home: () => ends()[0], End: () => ends()[1],
    };
    if (acts[event.key]) act.move(acts[event.key]());
    else if (event.key === "Enter") type();
    else if (/^[0-9.,×+]$/.test(event.key)) type(event.key);
    else return;
    event.preventDefault();
  });
  slider.addEventListener("input", () => act.move(stepped(Number(slider.value)))); // set by a reader

  const type = (first) => typeOver({parent: box, slider, before: act.text(), first, name: own.step.name, taken: act.typed});
}
