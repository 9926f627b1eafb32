/* Shared by the drawn views: nodes, shapes of warnings and states, lines, the place for a message,
   the hand on a slider that is drawn. */

const SVG_SPACE = "http://www.w3.org/2000/svg";

/** Text made harmless inside markup. */
function esc(text) {
  const safe = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;"};
  return String(text).replace(/[&<>"']/g, (sign) => safe[sign]);
}

/** Set one attribute; equal values are not written again, so an update touches only what moved. */
function attr(node, name, value) {
  const last = node.lastAttr || (node.lastAttr = {});
  if (last[name] === value) return;
  last[name] = value;
  if (value === null) node.removeAttribute(name);
  else node.setAttribute(name, value);
}

/** Set the text of a node, as attr does. */
function words(node, text) {
  if (node.lastWords === text) return;
  node.lastWords = text;
  node.textContent = text;
}

/** A number stays on one line with its unit. */
const tied = (text) => text.replace(/(\d) (?=(?:mm|in|µm|MPa|psi|kN|N|lbf|%|°C|°F)(?!\w))/g, "$1\u00a0");

/** A drawing as it was sent, not on the page yet. */
function parsed(markup) {
  const template = document.createElement("template");
  template.innerHTML = markup;
  return template.content;
}

/** Make a node's children those of another, touching only what differs: to draw all anew costs the
    browser several times as much. */
function become(node, like) {
  const [mine, theirs] = [[...node.childNodes], [...like.childNodes]];
  theirs.forEach((child, i) => {
    const own = mine[i];
    if (!own) node.append(child);
    else if (own.nodeName !== child.nodeName) own.replaceWith(child);
    else if (own.nodeType !== Node.ELEMENT_NODE) own.data === child.data || (own.data = child.data);
    else {
      for (const {name} of [...own.attributes]) if (!child.hasAttribute(name)) own.removeAttribute(name);
      for (const {name, value} of child.attributes) if (own.getAttribute(name) !== value) own.setAttribute(name, value);
      become(own, child);
    }
  });
  for (const left of mine.slice(theirs.length)) left.remove();
}

/** Show or hide a node. */
function show(node, on) {
  attr(node, "visibility", on ? null : "hidden");
}

/** A new SVG node. */
function svgEl(tag, attrs = {}, parent = null) {
  const node = document.createElementNS(SVG_SPACE, tag);
  for (const [name, value] of Object.entries(attrs)) attr(node, name, value);
  if (parent) parent.append(node);
  return node;
}

/** Width in CSS px of a line of page text: asked of a canvas, because asking the page costs a layout. */
function textWidth(text, size = 14, weight = 400) {
  const pen = textWidth.pen || (textWidth.pen = document.createElement("canvas").getContext("2d"));
  pen.font = `${weight} ${size}px system-ui, sans-serif`;
  return pen.measureText(text).width;
}

/** Which of some numbers on an axis are written, so that none touches the one before it. */
function sparse(values, px) {
  let end = -Infinity;
  return values.filter((v) => {
    const half = textWidth(String(v)) / 2 + 3;
    if (px(v) - half < end) return false;
    end = px(v) + half;
    return true;
  });
}

/** Enter, Space or a press on something that is not a native button. */
function onPress(node, act) {
  node.addEventListener("click", act);
  node.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    act(event);
  });
}

/** Shape of a warning level or state, centred on x, y; r is half its height. */
function mark(level, x = 0, y = 0, r = 11) {
  const at = (dx, dy) => `${(x + dx * r).toFixed(2)} ${(y + dy * r).toFixed(2)}`;
  const poly = (kind, ...points) => `<path class="${kind}" d="M${points.join("L")}Z"/>`;
  const ring = (kind, dx, dy, size, more = "") =>
    `<circle class="${kind}" cx="${(x + dx * r).toFixed(2)}" cy="${(y + dy * r).toFixed(2)}" ` +
    `r="${(size * r).toFixed(2)}"${more}/>`;
  const bar = (a, b) => `<path class="i-stroke" d="M${a}L${b}"/>`;
  const eighths = [1, 3, 5, 7, 9, 11, 13, 15].map((k) => (k * Math.PI) / 8);
  const shapes = {
    stop: () => poly("i-solid", ...eighths.map((a) => at(Math.cos(a), Math.sin(a)))) +
      poly("i-cut", at(-0.55, -0.16), at(0.55, -0.16), at(0.55, 0.16), at(-0.55, 0.16)),
    look: () => poly("i-open", at(0, -0.92), at(1.02, 0.84), at(-1.02, 0.84)) +
      bar(at(0, -0.3), at(0, 0.24)) + ring("i-solid", 0, 0.52, 0.13),
    know: () => ring("i-open", 0, 0, 0.9) + bar(at(0, -0.08), at(0, 0.46)) +
      ring("i-solid", 0, -0.4, 0.13),
    meets: () => ring("i-open", 0, 0, 0.9) +
      `<path class="i-stroke" d="M${at(-0.42, 0.02)}L${at(-0.12, 0.38)}L${at(0.43, -0.34)}"/>`,
    close: () => ring("i-open", 0, 0, 0.9) + `<path class="i-solid" d="M${at(0, -0.9)}` +
      `A${0.9 * r} ${0.9 * r} 0 0 0 ${at(0, 0.9)}Z"/>`,
    short: () => poly("i-solid", at(-0.78, -0.6), at(0.78, -0.6), at(0, 0.75)),
    wish: () => poly("i-open", at(0, -0.7), at(0.7, 0), at(0, 0.7), at(-0.7, 0)),
    disc: () => ring("i-solid", 0, 0, 0.6),
    none: () => ring("i-open", 0, 0, 0.9, ` stroke-dasharray="${0.3 * r} ${0.265 * r}"`),
  };
  return (shapes[level] ?? shapes.none)();
}

/** The same as a small picture in a line of text; its words always stand beside it. */
function markSvg(level, size = 24) {
  return `<svg class="mark" width="${size}" height="${size}" viewBox="-12 -12 24 24" ` +
    `aria-hidden="true">${mark(level)}</svg>`;
}

/* Pixel texts in tenths, made once: writing a curve is then only joining strings. */
const LINE_TENTHS = Array.from({length: 7400}, (_, i) => `${(i - 5500) / 10} `);

/** Lines as they were sent, in thousandths: 16 bits each, parts of ten thousand of a plot's height.
    What is too far off to be told is endless here. */
function heights(text, count, high) {
  const bytes = atob(text);
  const size = bytes.length / 2 / count;
  const per = high / 10;
  const rows = [];
  for (let row = 0, at = 0; row < count; row += 1) {
    const ys = new Array(size);
    for (let i = 0; i < size; i += 1, at += 2) {
      const y = bytes.charCodeAt(at) | ((bytes.charCodeAt(at + 1) << 24) >> 16);
      ys[i] = y === -32768 ? null : Math.abs(y) < 32000 ? y * per : y * Infinity;
    }
    rows.push(ys);
  }
  return rows;
}

/** Path of one line standing on a floor (px); a missing answer lifts the pen. */
function linePath(across, ys, floor, scale) {
  let path = "";
  let pen = "M";
  for (let i = 0; i < across.length; i += 1) {
    const y = ys[i];
    if (y === null || y === undefined) {
      pen = "M";
    } else {
      const tenths = Math.round((floor - y * scale) * 10) + 5500;
      path += pen + across[i] + LINE_TENTHS[Math.min(Math.max(tenths, 0), 7399)];
      pen = "L";
    }
  }
  return path;
}

/** Value of a line between its points, null where either neighbour has no answer. */
function lineAt(xs, ys, x) {
  let low = 0;
  let high = xs.length - 1;
  if (high < 0) return null;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (xs[middle] <= x) low = middle;
    else high = middle;
  }
  const share = high === low ? 0 : Math.min(Math.max((x - xs[low]) / (xs[high] - xs[low]), 0), 1);
  const near = share < 1e-6 ? ys[low] : share > 1 - 1e-6 ? ys[high] : undefined;
  if (near !== undefined) return near;
  if (ys[low] === null || ys[high] === null) return null;
  const between = ys[low] * (1 - share) + ys[high] * share; // from endless to endless there is no way
  return Number.isNaN(between) ? null : between;
}

/** Least moves that put sorted places at least a gap apart inside low..high. */
function spread(places, gap, low, high) {
  const groups = [];
  places.forEach((place, i) => {
    groups.push({sum: place - i * gap, count: 1});
    while (groups.length > 1) {
      const [before, last] = groups.slice(-2);
      if (before.sum / before.count < last.sum / last.count) break;
      groups.splice(-2, 2, {sum: before.sum + last.sum, count: before.count + last.count});
    }
  });
  const most = high - (places.length - 1) * gap;
  const flat = groups.flatMap((g) => Array(g.count).fill(Math.min(Math.max(g.sum / g.count, low), most)));
  return flat.map((place, i) => place + i * gap);
}

/** The place kept for one message: a resting sentence, or the worst warning with its remedy.
    A first touch, focus or hover previews the remedy, the next takes it, leaving ends the preview. */
function slotView(box, tell, focusElsewhere) {
  box.innerHTML = `<span class="sign"></span><p><span class="say"></span> <em class="ev"></em>
    <span class="more" role="button" tabindex="0"></span></p>
    <button type="button" class="fix"><u></u><span></span></button><span class="aloud"></span>`;
  const [sign, paragraph, fix, aloud] = box.children;
  const [say, evidence, more] = paragraph.children;
  let now = {level: null, text: ""};
  let field = "";
  let previewed = null;
  let wasPreviewed = false;

  const leave = () => {
    if (previewed === null) return;
    const check = previewed;
    previewed = null;
    draw();
    tell("leave", check);
  };
  const preview = () => {
    if (previewed === now.check || !now.fix) return;
    leave();
    previewed = now.check;
    draw();
    tell("preview", previewed);
  };
  const draw = () => attr(fix, "class", now.fix && (now.fix.on || previewed === now.check) ? "fix on" : "fix");

  onPress(say, () => now.level && tell("open", now.check));
  onPress(more, () => tell("more", field));
  fix.addEventListener("pointerenter", (event) => event.pointerType === "mouse" && preview());
  fix.addEventListener("pointerleave", (event) => event.pointerType === "mouse" && !fix.matches(":focus") && leave());
  fix.addEventListener("pointerdown", () => (wasPreviewed = previewed === now.check));
  fix.addEventListener("focus", preview);
  fix.addEventListener("blur", leave);
  fix.addEventListener("click", (event) => {
    const byKey = event.detail === 0;
    const second = byKey ? previewed === now.check : wasPreviewed;
    if (!second) {
      fix.focus({preventScroll: true}); // some browsers give a touched button no focus, and then no blur
      preview();
      return;
    }
    wasPreviewed = false;
    previewed = null;
    draw();
    tell("take", now.check);
  });
  document.addEventListener("pointerdown", (event) => {
    if (previewed !== null && !event.composedPath().includes(fix)) leave();
  });

  /** How many lines of 16 px the sentence is long. */
  function lineCount(width) {
    const fixWidth = now.fix ? Math.max(textWidth(now.fix.text, 16, 650), textWidth(now.fix.effect)) + 25 : 0;
    const said = [say, evidence, more].map((node) => node.textContent).join(" ").trim();
    return textWidth(said, 16) / Math.max(width - (now.level ? 34 : 0) - fixWidth, 1);
  }

  /** What does not fit is cut within the sentence: the word on its evidence stays.
      Asking the page what fits costs a layout: it is asked in the frame that has to make one. */
  function cut(count) {
    const whole = tied(now.text);
    let kept = whole;
    while (count > 1.6 && paragraph.scrollHeight > paragraph.clientHeight + 1 && kept.includes(" ")) {
      kept = kept.slice(0, kept.lastIndexOf(" "));
      words(say, `${kept} …`);
    }
    for (const name of ["title", "aria-label"]) attr(say, name, kept === whole ? null : now.text);
  }

  let drawn = "";
  let cutting = 0;
  return {
    update(data, width) {
      const text = JSON.stringify([data.slot, data.refused, width]);
      if (text === drawn) return;
      drawn = text;
      field = data.frame?.field ?? "";
      const calm = {level: null, text: data.slot?.text ?? ""};
      now = data.refused ? {level: null, text: data.refused} : data.slot?.level ? data.slot : calm;
      if (previewed !== null && (previewed !== now.check || !now.fix)) leave();
      if (!now.fix && fix.matches(":focus")) focusElsewhere();
      attr(sign, "hidden", now.level ? null : "");
      if (sign.level !== now.level) sign.innerHTML = now.level ? markSvg(now.level) : "";
      sign.level = now.level;
      words(say, tied(now.text));
      attr(say, "role", now.level ? "button" : null);
      attr(say, "tabindex", now.level ? "0" : null);
      words(evidence, now.level && now.evidence ? now.evidence : "");
      words(more, now.more ? `and ${now.more} more` : "");
      attr(more, "hidden", now.more ? null : "");
      attr(fix, "hidden", now.fix ? null : "");
      words(fix.firstChild, now.fix?.text ?? "");
      words(fix.lastChild, (now.fix?.effect ?? "").replaceAll(/ (?=\d)/g, "\u00a0"));
      words(aloud, data.refused ?? "");
      draw();
      const calmly = !now.level && !data.refused ? " rest" : "";
      const count = lineCount(width);
      attr(box, "class", `slot${calmly}${count > 2 * 0.92 ? " tight" : ""}`); // three lines of 14 px
      cancelAnimationFrame(cutting);
      cutting = requestAnimationFrame(() => cut(count));
    },
  };
}

/** The page that a view stands on. */
function boardOf(host) {
  for (let at = host; at; at = at.getRootNode().host) {
    const found = at.closest(".board");
    if (found) return found;
  }
  return document;
}

/** A field over a drawn slider; Escape leaves the value as it was. Nothing when one is open. */
function typeOver({parent, slider, before, first = "", name, taken}) {
  if (parent.querySelector(".typed")) return null;
  const field = document.createElement("input");
  Object.assign(field, {className: "typed", type: "text", inputMode: "decimal", autocomplete: "off"});
  field.value = first || before;
  field.setAttribute("aria-label", `${name}, type a value`);
  let open = true;
  const close = (keep) => {
    if (!open) return; // taking the field away blurs it, which closes it again
    open = false;
    const text = field.value.trim();
    const focused = field.matches(":focus");
    field.remove();
    if (focused) slider.focus({preventScroll: true});
    if (keep && text && text !== before) taken(text);
  };
  field.addEventListener("keydown", (event) => {
    event.stopPropagation();
    if (event.key === "Enter" || event.key === "Escape") close(event.key === "Enter");
  });
  field.addEventListener("blur", () => close(true));
  parent.append(field);
  field.focus({preventScroll: true});
  if (!first) field.select();
  return field;
}

/** Hand, keys and typing on the handle. The plot lends its nodes and the two acts, move and hold. */
function sliderHand(plot) {
  const {slider, grab, wire, data} = plot;
  const clean = (v) => Number(v.toPrecision(12));
  const inside = (v) => Math.min(Math.max(v, data.frame.lo), data.frame.hi);
  const stepped = (v) => {
    const step = data.frame.whole ? 1 : data.frame.step;
    return clean(inside(Math.round(v / step) * step));
  };
  const perPixel = () => (data.frame.hi - data.frame.lo) / (plot.px(data.frame.hi) - plot.px(data.frame.lo));
  let drag = null;
  let lastTap = 0;

  /** Nearest stock size within seven pixels, else the nearest step; Shift asks for the plain step. */
  function caught(v, fine) {
    const sizes = fine ? [] : data.frame.stock.map(([size]) => size);
    const near = sizes.filter((size) => Math.abs(size - v) < 7 * perPixel());
    near.sort((a, b) => Math.abs(a - v) - Math.abs(b - v));
    return near.length ? near[0] : stepped(v);
  }

  function down(event) {
    if (event.button || drag || !data.frame) return;
    event.preventDefault();
    slider.classList.add("byhand"); // the focus ring is for keys
    slider.focus({preventScroll: true});
    drag = {id: event.pointerId, x: event.clientX, offset: plot.px(plot.value()) - event.clientX, moved: false};
    event.currentTarget.setPointerCapture(event.pointerId);
  }
  function along(event) {
    if (!drag || event.pointerId !== drag.id) return;
    if (!drag.moved && Math.abs(event.clientX - drag.x) < 3) return;
    if (!drag.moved) plot.hold(true);
    drag.moved = true;
    const v = data.frame.lo + (event.clientX + drag.offset - plot.px(data.frame.lo)) * perPixel();
    plot.move(caught(inside(v), event.shiftKey));
  }
  function up(event) {
    if (!drag || event.pointerId !== drag.id) return;
    const {moved} = drag;
    drag = null;
    if (moved) plot.hold(false);
    else if (event.type === "pointerup" && event.timeStamp - lastTap < 400) type();
    lastTap = moved ? 0 : event.timeStamp;
  }
  for (const node of [grab, wire]) {
    node.addEventListener("pointerdown", down);
    node.addEventListener("pointermove", along);
    for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) node.addEventListener(end, up);
  }

  /** Ends of the heavy axis round the value, rounded inwards to a step. */
  function ends() {
    const {meets, frame} = data;
    const own = meets.find(([a, b]) => a <= plot.value() && plot.value() <= b);
    const [low, high] = own ?? (meets.length ? [meets[0][0], meets[meets.length - 1][1]] : [frame.lo, frame.hi]);
    const step = frame.whole ? 1 : frame.step;
    return [Math.ceil(low / step - 1e-6) * step, Math.floor(high / step + 1e-6) * step].map((v) => clean(inside(v)));
  }
  function paged(way) {
    const size = data.frame.stock.map(([v]) => v).sort((a, b) => way * (a - b))
      .find((v) => way * (v - plot.value()) > 1e-9);
    return size ?? stepped(plot.value() + way * 10 * data.frame.key);
  }
  slider.addEventListener("blur", () => slider.classList.remove("byhand"));
  slider.addEventListener("keydown", (event) => {
    slider.classList.remove("byhand");
    if (event.ctrlKey || event.metaKey || event.altKey || !data.frame) return;
    const step = event.shiftKey ? data.frame.step : data.frame.key;
    const acts = {
      ArrowRight: () => stepped(plot.value() + step), ArrowUp: () => stepped(plot.value() + step),
      ArrowLeft: () => stepped(plot.value() - step), ArrowDown: () => stepped(plot.value() - step),
      PageUp: () => paged(1), PageDown: () => paged(-1), Home: () => ends()[0], End: () => ends()[1],
    };
    if (acts[event.key]) plot.move(acts[event.key]());
    else if (event.key === "Enter") type();
    else if (/^[0-9.,]$/.test(event.key)) type(event.key);
    else return;
    event.preventDefault();
  });
  /* Screen readers set a range directly, without keys. */
  slider.addEventListener("input", () => plot.move(stepped(Number(slider.value))));

  const type = (first) => {
    const {chart} = plot;
    const field = typeOver({parent: chart, slider, before: plot.text(), first, name: data.frame.title, taken: (text) => plot.tell("typed", text)});
    if (field) field.style.transform = `translateX(${plot.boxAt()}px)`;
  };
}
