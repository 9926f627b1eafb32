/* The three blocks under the stair: the trace and its figures, the factors, the metal's heat. */

function blocksView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<div class="view blocks">
    <section class="block trace" aria-label="Trace"><header><h2>Trace <span></span></h2><button type="button" class="act remove" hidden></button></header>
      <div class="message"><span class="sign"></span><p><span class="say"></span> <em class="ev"></em></p>
      <button type="button" class="act take" hidden></button><button type="button" class="act add"></button></div><div class="lines"></div>
      <input type="file" accept=".csv,.txt,.tsv,.dat,text/csv,text/plain" hidden aria-label="Trace to add, a CSV file"></section>
    <section class="block factors" aria-label="Factors"><header><h2>Factors <span>and what stands behind them</span></h2></header>
      <div class="slot"></div><div class="cells"></div></section>
    <section class="block heat" aria-label="Heat"><header><h2>Heat <span>metal at peak</span></h2><button type="button" class="act tables">Strength by heat</button></header>
      <div class="message"><span class="sign"></span><p><span class="say"></span></p></div><div class="rows"></div></section></div>`);
  const root = host.lastElementChild;
  const of = (selector) => root.querySelector(selector);
  const picker = of("input[type=file]");
  const slot = slotView(of(".factors .slot"), tell, () => of(".cell")?.focus({preventScroll: true}));
  const rows = new Map();
  let sent = 0;
  let longest = 0;
  let frame = null;
  let drawn = {};
  let standing = null;
  let last = null;

  of(".add").addEventListener("click", () => picker.click());
  of(".remove").addEventListener("click", () => {
    tell("remove");
    of(".add").focus({preventScroll: true}); // the pressed one may be about to go
  });
  of(".take").addEventListener("click", () => tell("take peak"));
  of(".tables").addEventListener("click", () => tell("strength"));
  picker.addEventListener("change", async () => {
    const chosen = picker.files[0];
    picker.value = "";
    if (!chosen) return;
    if (chosen.size > longest) tell("trace too large", chosen.size);
    else tell("trace", {name: chosen.name, text: decoded(await chosen.arrayBuffer())});
  });

  /** UTF-8, UTF-16 by its mark, else Latin: what loggers write. */
  function decoded(buffer) {
    const [a, b] = new Uint8Array(buffer, 0, Math.min(2, buffer.byteLength));
    const marked = a === 0xff && b === 0xfe ? "utf-16le" : a === 0xfe && b === 0xff ? "utf-16be" : "utf-8";
    try {
      return new TextDecoder(marked, {fatal: true}).decode(buffer);
    } catch {
      return new TextDecoder("windows-1252").decode(buffer);
    }
  }

  function send(row, kind, payload) {
    sent += 1;
    row.awaited = sent;
    tell(kind, {...payload, at: sent});
  }

  function message(box, {level, text, evidence, refused}) {
    const sign = box.querySelector(".sign");
    const shown = refused ? null : level;
    attr(sign, "hidden", shown ? null : "");
    if (sign.level !== shown) sign.innerHTML = shown ? markSvg(shown) : "";
    sign.level = shown;
    words(box.querySelector(".say"), tied(refused || text));
    if (box.querySelector(".ev")) words(box.querySelector(".ev"), refused ? "" : evidence);
    const width = box.querySelector("p").clientWidth || 240;
    const long = textWidth(box.querySelector("p").textContent.trim(), 16) > 0.9 * width * Math.floor(box.clientHeight / 24 || 2);
    attr(box, "class", `message${shown || refused ? "" : " rest"}${long ? " long" : ""}`);
  }

  function traceBlock(now) {
    words(of(".trace h2 span"), now.soft);
    words(of(".add"), now.add);
    attr(of(".remove"), "hidden", now.remove ? null : "");
    words(of(".remove"), now.several ? `Remove ${now.remove}` : "Remove");
    attr(of(".remove"), "aria-label", `Remove the trace ${now.remove}`);
    attr(of(".take"), "hidden", now.take ? null : "");
    words(of(".take"), now.take);
    message(of(".trace .message"), now);
    const text = JSON.stringify(now.rows);
    if (drawn.lines === text) return;
    drawn.lines = text;
    become(of(".lines"), parsed(now.rows.map(([label, value, from, path]) => `<${path ? `button type="button" data-path="${esc(path)}"` : "div"} class="line">
      <span>${esc(label)}</span><b>${esc(value)}</b><em>${esc(from)}</em></${path ? "button" : "div"}>`).join("") + (now.hint ? `<p class="hint">${esc(now.hint)}</p>` : "")));
  }
  root.addEventListener("click", (event) => {
    const path = event.target.closest("[data-path].line, [data-path].cell")?.dataset.path;
    if (path) tell("goto", path);
  });

  function factorsBlock(now) {
    const text = JSON.stringify(now.cells);
    if (drawn.cells !== text) {
      drawn.cells = text;
      const cells = of(".cells");
      if (!cells.childElementCount) {
        cells.innerHTML = now.cells.map(({path}) => `<button type="button" class="cell" data-path="${esc(path)}"><span></span><b></b><small></small></button>`).join("");
      }
      now.cells.forEach((cell, i) => {
        const [name, value, small] = cells.children[i].children;
        words(name, cell.name);
        words(value, cell.text);
        small.innerHTML = `${esc(cell.for)}. <em>${esc(cell.basis)}</em>`;
      });
    }
    standing = {slot: now.slot, refused: now.refused, frame: {field: "loads.proof_base"}};
    fit();
  }
  const again = () => {
    if (!last) return;
    fit();
    message(of(".trace .message"), last.trace);
    message(of(".heat .message"), last.heat.slot);
  };
  const fit = () => standing && slot.update(standing, of(".factors").clientWidth || 437);
  new ResizeObserver(again).observe(root);

  function heatBlock(now, at) {
    message(of(".heat .message"), now.slot);
    for (const [path, values] of Object.entries(now.fields)) {
      const row = rows.get(path);
      if (!row) continue;
      if (row.awaited && at >= row.awaited) row.awaited = 0;
      row.update(values);
    }
  }

  function build() {
    rows.clear();
    const scroller = of(".heat .rows");
    scroller.replaceChildren();
    for (const still of frame.rows) rows.set(still.path, numberRow({scroller, still, send, tell}));
  }

  return {
    update(data) {
      if (data.frame) {
        const text = JSON.stringify(data.frame);
        if (text !== drawn.frame) {
          drawn.frame = text;
          ({frame} = data);
          build();
        }
      }
      if (!data.trace) return;
      ({longest} = last = data);
      traceBlock(data.trace);
      factorsBlock(data.factors);
      heatBlock(data.heat, data.at);
    },
  };
}
