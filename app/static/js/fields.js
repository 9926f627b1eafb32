/* The fields of one part. Rows are made once for a part and then only changed, so that a box being
   typed in and a thumb being dragged stay what they are. Each act bears a number; its row follows
   the hand until the server has answered that number. */

function fieldsView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<aside class="view fields" tabindex="-1" hidden>
    <header><label class="part"><select aria-label="Part"></select></label><span class="soft count"></span>
    <button type="button" class="close">Close</button></header><div class="rows"></div></aside>`);
  const box = host.lastElementChild;
  const [head, scroller] = box.children;
  const select = head.querySelector("select");
  const count = head.querySelector(".count");
  const picker = pickList(box, (path, key, row) => {
    if (key !== null && key !== row.now.key) send(row, "pick", {path, text: key});
    row.press.focus({preventScroll: true});
  });
  const rows = new Map();
  const inSight = new Map(); // share of each row that shows
  let frame = {part: null, rows: []};
  let lists = {};
  let sent = 0;
  let on = null;
  let pressing = false;
  let came = null;
  let told = "";
  let resting = 0;

  function send(row, kind, payload) {
    sent += 1;
    row.awaited = sent;
    tell(kind, {...payload, at: sent});
  }

  const watch = new IntersectionObserver((entries) => {
    for (const {target, intersectionRatio} of entries) inSight.set(target.dataset.path, intersectionRatio);
    clearTimeout(resting);
    resting = setTimeout(tellSight, 80);
  }, {root: scroller, threshold: [0, 0.6, 0.7]});

  function tellSight() {
    if (box.hidden) return;
    const paths = frame.rows.map((row) => row.path);
    const seen = paths.filter((path) => inSight.get(path) > 0);
    const whole = paths.filter((path) => inSight.get(path) > 0.6);
    const all = paths.length;
    const [first, last] = [whole[0], whole[whole.length - 1]].map((path) => paths.indexOf(path) + 1);
    words(count, whole.length && whole.length < all ? `${first} to ${last} of ${all} fields` : all === 1 ? "1 field" : `${all} fields`);
    if (String(seen) === told) return;
    told = String(seen);
    tell("seen", seen);
  }

  /** The row in hand shows its help and boxes; it stays where it is under the finger. */
  function mark(row) {
    if (row === on || !row) return;
    const before = row.root.offsetTop;
    on?.root.classList.remove("on");
    row.root.classList.add("on");
    on = row;
    scroller.scrollTop += row.root.offsetTop - before;
    row.root.scrollIntoView({block: "nearest"});
  }
  let due = null;
  box.addEventListener("focusin", (event) => {
    due = rows.get(event.target.closest(".row")?.dataset.path) ?? null;
    if (!pressing) mark(due);
  });
  box.addEventListener("pointerdown", () => (pressing = true), true);
  for (const end of ["pointerup", "pointercancel"]) {
    document.addEventListener(end, () => {
      if (!pressing) return;
      pressing = false;
      setTimeout(() => mark(due)); // after the click that this press becomes
    }, true);
  }

  const close = () => tell("close");
  head.querySelector(".close").addEventListener("click", close);
  select.addEventListener("change", () => tell("part", select.value));
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || box.hidden || event.defaultPrevented) return;
    if (picker.open()) picker.shut();
    else close();
  });

  function build() {
    rows.clear();
    inSight.clear();
    watch.disconnect();
    picker.shut(true);
    on = null;
    scroller.replaceChildren();
    scroller.scrollTop = 0;
    const same = select.options.length === frame.parts.length;
    if (!same) select.replaceChildren(...frame.parts.map(([key, label]) => new Option(label, key)));
    select.value = frame.part;
    attr(box, "aria-label", `${select.selectedOptions[0].text}: fields`);
    attr(head.querySelector(".close"), "aria-label", `Close the fields of ${select.selectedOptions[0].text.toLowerCase()}`);
    for (const still of frame.rows) {
      const lend = {scroller, still, send, tell, list: () => picker.show(row, lists[still.list])};
      const row = still.list ? pickRow(lend) : numberRow(lend);
      rows.set(still.path, row);
      watch.observe(row.root);
    }
    const [first] = frame.rows;
    if (!first.list) mark(rows.get(first.path)); // a pick shows its data without being in hand
    scroller.scrollTop = 0;
    told = "";
  }

  function deepFocus() {
    let at = document.activeElement;
    while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
    return at;
  }

  /** The keyboard goes back to the part in the drawing; failing that, to where it came from. */
  function leave() {
    const inside = box.contains(host.getRootNode().activeElement);
    box.hidden = true;
    picker.shut(true);
    if (!inside) return;
    const back = new CustomEvent("part", {detail: frame.part, cancelable: true});
    if (document.dispatchEvent(back)) came?.focus?.({preventScroll: true});
  }

  let frameText = "";
  let asked = 0;
  return {
    update(data) {
      if (data.lists) ({lists} = data);
      if (data.frame) {
        const text = JSON.stringify(data.frame);
        const changed = text !== frameText && data.frame.part;
        frameText = text;
        ({frame} = data);
        if (changed) build();
      }
      if (data.open === undefined) return;
      if (data.open && box.hidden) {
        came = deepFocus();
        box.hidden = false;
        tellSight();
        box.focus({preventScroll: true});
      } else if (!data.open && !box.hidden) {
        leave();
      }
      for (const [path, values] of Object.entries(data.rows ?? {})) {
        const row = rows.get(path);
        if (!row) continue;
        if (row.awaited && data.at >= row.awaited) row.awaited = 0;
        row.update(values);
      }
      if (data.open && data.asked && data.asked[0] !== asked) {
        asked = data.asked[0];
        rows.get(data.asked[1])?.root.querySelector(".box, .press")?.focus();
      }
    },
  };
}

let fieldIds = 0;

/** A node made of markup, and its parts by class. */
function rowNodes(scroller, path, markup) {
  scroller.insertAdjacentHTML("beforeend", `<div class="row">${markup}</div>`);
  const root = scroller.lastElementChild;
  attr(root, "data-path", path);
  root.dataset.path = path;
  return [root, (name) => root.querySelector(`.${name}`)];
}

/** A row whose value is picked from a list: the data of the pick stands in it. */
function pickRow({scroller, still, list}) {
  const [root, of] = rowNodes(scroller, still.path, `<button type="button" class="press" aria-haspopup="listbox">
    <span class="label"></span><b class="picked"></b><span class="numbers"></span></button>
    <div class="more"><p class="said" role="alert"></p><p class="help"></p></div>`);
  const row = {root, press: of("press"), still, now: {}, awaited: 0};
  words(of("label"), still.label);
  of("press").addEventListener("click", list);
  row.update = (now) => {
    row.now = now;
    words(of("picked"), now.text);
    words(of("numbers"), now.numbers || still.help);
    words(of("said"), now.refused);
    const source = now.source ? ` ${now.source}.` : "";
    words(of("help"), now.numbers ? still.help + source : "");
    attr(of("press"), "aria-label", `${still.label}: ${now.text}, ${now.numbers || still.help} Pick another`);
    showRefusal(root, now.refused);
  };
  return row;
}

/** A refusal that came is in sight. */
function showRefusal(root, refused) {
  const fresh = refused && !root.classList.contains("refused");
  root.classList.toggle("refused", Boolean(refused));
  if (fresh) root.scrollIntoView({block: "nearest"});
}

/** A row with a box for its number and a rail. */
function numberRow({scroller, still, send, tell}) {
  const id = `field-${(fieldIds += 1)}`;
  const [root, of] = rowNodes(scroller, still.path, `<div class="top"><label class="label" for="${id}"></label>
    <input class="box" type="text" id="${id}" autocomplete="off" spellcheck="false" aria-describedby="${id}-said ${id}-help">
    <span class="unit"></span></div>
    <div class="rail"><div class="track"><i class="base"></i></div>
    <input class="slider" type="range" step="any"><div class="grab"></div></div>
    <div class="more"><p class="said" id="${id}-said" role="alert"></p><p class="help" id="${id}-help"></p>
    <div class="spreads"><label>± <input class="tol" type="text" autocomplete="off"></label>
    <span><label>measured <input class="measured" type="text" autocomplete="off"></label>
    <label>± <input class="accuracy" type="text" autocomplete="off"></label><i></i></span></div></div>`);
  const row = {root, still, now: null, awaited: 0, held: false, slid: false, at: 0};
  const box = of("box");
  words(of("label"), still.label);
  attr(of("slider"), "aria-label", still.label);
  if (still.optional) attr(box, "placeholder", "not stated");
  const rail = railHand(row, of, {
    move: (value) => send(row, "slide", {path: still.path, value}),
    hold: (on) => tell("hold", on),
  });
  const path = still.path;
  const main = textBox(box, () => row.now.text, (text) => send(row, "field", {path, text}));
  const boxes = [main];
  const spreads = of("spreads");
  if (still.usual) {
    const [tol, measured, accuracy] = ["tol", "measured", "accuracy"].map(of);
    const name = still.label;
    attr(tol, "aria-label", `Tolerance of ${name}`);
    attr(tol, "placeholder", still.usual);
    attr(measured, "aria-label", `Measured ${name}`);
    attr(accuracy, "aria-label", `Accuracy of the measured ${name}`);
    for (const [node, said] of [
      [tol, `How far it may be off, either way; empty: the usual ${still.usual}`],
      [measured, "What the real part reads; it counts in place of the number above"],
      [accuracy, "How far that reading may be off; empty: a calliper's"],
    ]) for (const key of ["title", "aria-description"]) attr(node, key, said);
    words(spreads.querySelector("i"), still.spread);
    const measure = () => send(row, "measured", {path, text: measured.value, accuracy: accuracy.value});
    boxes.push(
      textBox(tol, () => row.now.tol, (text) => send(row, "tolerance", {path, text})),
      textBox(measured, () => row.now.measured, measure),
      textBox(accuracy, () => row.now.accuracy, () => measured.value.trim() && measure()),
    );
  } else {
    spreads.remove();
  }

  row.update = (now) => {
    row.now = now;
    for (const each of boxes) each.show(Boolean(now.refused), row.awaited);
    if (still.usual) attr(of("accuracy"), "placeholder", now.calliper);
    const measured = now.measured ? ` measured ± ${now.accuracy || now.calliper}` : "";
    words(of("unit"), still.unit + measured);
    root.classList.toggle("long", Boolean(measured));
    words(of("said"), now.refused || now.dropped);
    words(of("help"), [still.help, now.note].filter(Boolean).join(" "));
    attr(box, "aria-invalid", now.refused ? "true" : null);
    showRefusal(root, now.refused || now.dropped);
    root.classList.toggle("unset", !now.stated);
    rail.update();
  };
  return row;
}

/** A box that sends its text when it is left or Enter is pressed. A refused text stays in the box
    as long as the keyboard does; leaving it, or Escape, brings back what holds. */
function textBox(box, holds, act) {
  let edited = false;
  let state = ""; // "sent" until the server answers, "refused" until it is mended or left
  let standing = false; // a refusal is shown: typing what holds takes it away
  const commit = () => {
    if (!edited) return;
    edited = false;
    if (box.value.trim() === holds() && !standing) return;
    state = "sent";
    act(box.value.trim());
  };
  const restore = () => {
    edited = false;
    state = "";
    box.value = holds();
  };
  box.addEventListener("input", () => (edited = true));
  box.addEventListener("focus", () => box.select());
  box.addEventListener("blur", () => {
    commit();
    if (state !== "sent") restore();
  });
  box.addEventListener("keydown", (event) => {
    if (event.key === "Enter") {
      edited = edited || box.value.trim() !== holds();
      commit();
    }
    if (event.key === "Escape" && box.value !== holds()) {
      event.preventDefault();
      restore();
      box.select();
    }
  });
  return {
    show(refused, pending) {
      standing = refused;
      const here = box.getRootNode().activeElement === box;
      if ((edited && here) || (state === "sent" && pending)) return;
      if (refused && here && state) {
        if (state === "sent") box.select();
        state = "refused";
        return;
      }
      restore();
    },
  };
}
