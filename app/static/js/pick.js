/* The list of a field that is picked: it covers the rows, each choice with its data. Below it, the
   hand on a rail. */

function pickList(panel, done) {
  panel.insertAdjacentHTML("beforeend", `<div class="list" hidden><header><h2></h2>
    <button type="button" class="back">Back</button></header><ul role="listbox" tabindex="0"></ul></div>`);
  const box = panel.lastElementChild;
  const title = box.querySelector("h2");
  const list = box.querySelector("ul");
  let row = null;
  let options = [];
  let at = 0;
  let typed = "";
  let lastTyped = 0;

  function go(to) {
    at = Math.min(Math.max(to, 0), options.length - 1);
    [...list.children].forEach((node, i) => node.classList.toggle("at", i === at));
    attr(list, "aria-activedescendant", `pick-${at}`);
    list.children[at]?.scrollIntoView({block: "nearest"});
  }
  function shut(silent) {
    if (box.hidden) return;
    box.hidden = true;
    if (!silent) done(row.still.path, null, row);
  }
  function take(i) {
    box.hidden = true;
    done(row.still.path, options[i][0], row);
  }
  const typing = (now) => typed && now - lastTyped < 900;
  /** The next choice whose key or label begins with what was typed, or has it after a blank or dash. */
  function find(letter, now) {
    typed = typing(now) ? typed + letter : letter;
    lastTyped = now;
    const start = typed.length > 1 ? at : at + 1;
    const fits = ([key, label]) => [" ", "-"].some((edge) => ` ${key} ${label}`.toLowerCase().includes(edge + typed));
    const order = options.map((_, i) => (start + i) % options.length);
    const found = order.find((i) => fits(options[i]));
    if (found !== undefined) go(found);
  }

  box.querySelector(".back").addEventListener("click", () => shut());
  list.addEventListener("click", (event) => {
    const chosen = event.target.closest("li");
    if (chosen) take([...list.children].indexOf(chosen));
  });
  list.addEventListener("keydown", (event) => {
    const page = Math.max(1, Math.floor(list.clientHeight / 64));
    const acts = {
      ArrowDown: () => go(at + 1), ArrowUp: () => go(at - 1), Home: () => go(0), End: () => go(options.length - 1),
      PageDown: () => go(at + page), PageUp: () => go(at - page), Enter: () => take(at), " ": () => take(at),
    };
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const letter = event.key === " " && typing(event.timeStamp);
    if (acts[event.key] && !letter) acts[event.key]();
    else if (event.key.length === 1) find(event.key.toLowerCase(), event.timeStamp);
    else return;
    event.preventDefault();
  });

  return {
    open: () => !box.hidden,
    shut,
    show(asking, choices) {
      row = asking;
      options = choices ?? [];
      words(title, row.still.label);
      attr(list, "aria-label", row.still.label);
      list.innerHTML = options.map(([key, label, numbers, source], i) =>
        `<li role="option" id="pick-${i}" aria-selected="${key === row.now.key}"><b>${esc(label)}</b>` +
        `${numbers ? `<span>${esc(numbers)}</span>` : ""}${source ? `<span class="soft">${esc(source)}</span>` : ""}</li>`).join("");
      box.hidden = false;
      go(Math.max(0, options.findIndex(([key]) => key === row.now.key)));
      list.focus({preventScroll: true});
      list.children[at]?.scrollIntoView({block: "center"});
    },
  };
}

/** Hand and keys on a rail: the native slider carries keys and name, the drawn thumb the hand. */
function railHand(row, of, act) {
  const [track, slider, grab] = ["track", "slider", "grab"].map(of);
  const thumb = document.createElement("i");
  thumb.className = "thumb";
  let drawn = "";
  let drag = null;
  let meetsDrawn = "";
  const heavy = [];
  const frame = () => row.now.rail;
  const share = (v) => Math.min(Math.max((v - frame().lo) / (frame().hi - frame().lo), 0), 1);
  const clean = (v) => Number(v.toPrecision(12));
  const stepped = (v, step = frame().step) =>
    clean(Math.min(Math.max(Math.round(v / step) * step, frame().lo), frame().hi));
  const bar = (name) => {
    const node = document.createElement("i");
    node.className = name;
    return node;
  };

  function place() {
    thumb.style.left = `${(100 * share(row.at)).toFixed(2)}%`;
    slider.value = row.at;
    const {decimals, stock} = frame();
    const near = stock.find(([v]) => Math.abs(v - row.at) < 1e-9);
    const own = row.held || (row.slid && row.awaited);
    const text = own ? String(clean(Number(row.at.toFixed(decimals)))) : row.now.text;
    if (own) of("box").value = text;
    const none = !row.now.stated && !own;
    attr(slider, "aria-valuetext", none ? "not stated" : [`${text} ${row.still.unit}`.trim(), near?.[1]].filter(Boolean).join(", "));
  }
  function move(v) {
    if (v === row.at) return;
    row.at = v;
    row.slid = true; // until the server has answered, box and thumb say what the hand does
    act.move(v);
    place();
  }
  function hold(on) {
    if (row.held === on) return;
    row.held = on;
    row.root.classList.toggle("held", on);
    act.hold(on);
  }
  /** Nearest stock size within seven pixels, else the nearest step; Shift asks for the plain step. */
  function caught(v, fine) {
    const reach = (7 * (frame().hi - frame().lo)) / drag.width;
    const near = fine ? [] : frame().stock.map(([size]) => size).filter((size) => Math.abs(size - v) < reach);
    near.sort((a, b) => Math.abs(a - v) - Math.abs(b - v));
    return near.length ? near[0] : stepped(v);
  }
  const under = (event) => {
    const x = event.clientX + drag.offset - drag.left;
    return caught(frame().lo + Math.min(Math.max(x / drag.width, 0), 1) * (frame().hi - frame().lo), event.shiftKey);
  };

  grab.addEventListener("pointerdown", (event) => {
    if (event.button || drag || !row.now) return;
    event.preventDefault();
    slider.classList.add("byhand"); // the focus ring is for keys
    slider.focus({preventScroll: true});
    const {left, width} = track.getBoundingClientRect();
    const off = left + width * share(row.at) - event.clientX;
    drag = {id: event.pointerId, x: event.clientX, left, width, offset: Math.abs(off) < 22 ? off : 0};
    drag.onThumb = Math.abs(off) < 22;
    grab.setPointerCapture(event.pointerId);
  });
  grab.addEventListener("pointermove", (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    if (!row.held && Math.abs(event.clientX - drag.x) < 3) return;
    hold(true);
    move(under(event));
  });
  const up = (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    if (event.type === "pointerup" && !row.held && !drag.onThumb) move(under(event));
    drag = null;
    hold(false);
  };
  for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) grab.addEventListener(end, up);

  /** Ends of the heavy part round the value, rounded inwards to a step. */
  function ends() {
    const {meets, rail} = row.now;
    const own = meets.find(([a, b]) => a <= row.at && row.at <= b) ?? meets[0] ?? [rail.lo, rail.hi];
    return [Math.ceil(own[0] / rail.step - 1e-6) * rail.step, Math.floor(own[1] / rail.step + 1e-6) * rail.step].map(clean);
  }
  function paged(way) {
    const size = frame().stock.map(([v]) => v).sort((a, b) => way * (a - b)).find((v) => way * (v - row.at) > 1e-9);
    return size ?? stepped(row.at + way * 10 * frame().step);
  }
  slider.addEventListener("blur", () => slider.classList.remove("byhand"));
  slider.addEventListener("keydown", (event) => {
    slider.classList.remove("byhand");
    if (event.ctrlKey || event.metaKey || event.altKey || !row.now) return;
    const {step, whole} = frame();
    const little = whole || event.shiftKey ? step : 2 * step;
    const acts = {
      ArrowRight: () => stepped(row.at + little), ArrowUp: () => stepped(row.at + little),
      ArrowLeft: () => stepped(row.at - little), ArrowDown: () => stepped(row.at - little),
      PageUp: () => paged(1), PageDown: () => paged(-1), Home: () => ends()[0], End: () => ends()[1],
    };
    if (acts[event.key]) move(acts[event.key]());
    else if (event.key === "Enter" || /^[0-9.,]$/.test(event.key)) type(event.key);
    else return;
    event.preventDefault();
  });
  slider.addEventListener("input", () => move(stepped(Number(slider.value))));

  function type(key) {
    const box = of("box");
    box.focus({preventScroll: true});
    if (key === "Enter") return;
    box.value = key;
    box.dispatchEvent(new Event("input"));
  }

  return {
    update() {
      const text = JSON.stringify(frame());
      if (text !== drawn) {
        drawn = text;
        attr(slider, "min", frame().lo);
        attr(slider, "max", frame().hi);
        const ticks = frame().stock.map(([v]) => {
          const tick = bar("stock");
          tick.style.left = `${(100 * share(v)).toFixed(2)}%`;
          return tick;
        });
        track.replaceChildren(track.firstElementChild, ...ticks, ...heavy, thumb);
        meetsDrawn = "";
      }
      const spans = JSON.stringify(row.now.meets);
      if (spans !== meetsDrawn) {
        meetsDrawn = spans;
        while (heavy.length < row.now.meets.length) {
          heavy.push(bar("heavy"));
          track.insertBefore(heavy[heavy.length - 1], thumb);
        }
        heavy.forEach((node, i) => {
          const span = row.now.meets[i];
          attr(node, "hidden", span ? null : "");
          if (!span) return;
          node.style.left = `${(100 * share(span[0])).toFixed(2)}%`;
          node.style.width = `max(5px, ${(100 * (share(span[1]) - share(span[0]))).toFixed(2)}%)`;
        });
      }
      if (!row.awaited) row.slid = false;
      if (!row.held && !row.slid) row.at = row.now.value;
      place();
    },
  };
}
