/* A drawing made by the server; its marks open what they stand for, its parts their fields. */

function pictureView(host, tell) {
  host.insertAdjacentHTML("beforeend", '<div class="view picture"></div>');
  const box = host.lastElementChild;
  cellSize(host, tell);
  const NEAR = [6, 12, 18]; // px round a touch within which a thin part is still meant
  let names = {};
  let opened = null;

  /** The mark or part at a place, else the nearest part round it. */
  function meant(event) {
    const direct = event.target.closest("[data-mark], [data-part]");
    if (direct || event.detail === 0) return direct;
    const root = host.getRootNode();
    for (const far of NEAR) {
      for (let turn = 0; turn < 8; turn += 1) {
        const [x, y] = [Math.cos, Math.sin].map((f) => far * f((turn * Math.PI) / 4));
        const found = root.elementFromPoint(event.clientX + x, event.clientY + y)?.closest("[data-part]");
        if (found && box.contains(found)) return found;
      }
    }
    return null;
  }
  const press = (event) => {
    const found = meant(event);
    if (found?.dataset.mark !== undefined) tell("open", found.dataset.mark.split(" ")[0]);
    else if (found) {
      opened = found.dataset.part;
      tell("part", opened);
    }
  };
  const groups = (part) => [...box.querySelectorAll(`[data-part="${part}"]`)];
  const first = (part) => groups(part)[0];

  /** What had the focus may be another node now, or gone. */
  function refocus(before, now) {
    if (before !== now) before.blur();
    now?.focus({preventScroll: true});
    if (before === now && now.matches(":focus-visible")) {
      for (const group of groups(now.dataset.part)) group.classList.add("keyed");
    }
  }

  box.addEventListener("click", press);
  box.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    press(event);
  });
  /* A part is drawn in several groups; all of it answers to the keyboard and the mouse. */
  const light = (look, on) => (event) => {
    const node = event.target.closest("[data-part]");
    if (!node || (on && look === "keyed" && !node.matches(":focus-visible"))) return;
    for (const group of groups(node.dataset.part)) group.classList.toggle(look, on);
  };
  box.addEventListener("focusin", light("keyed", true));
  box.addEventListener("focusout", light("keyed", false));
  box.addEventListener("pointerover", light("here", true));
  box.addEventListener("pointerout", light("here", false));
  document.addEventListener("part", (event) => {
    const back = opened && (first(event.detail) ?? first(opened));
    opened = null;
    if (!back) return;
    back.focus({preventScroll: true});
    event.preventDefault();
  });

  return {
    update(data) {
      if (data.parts) names = data.parts;
      if (data.svg === undefined) return;
      const active = host.getRootNode().activeElement;
      const [mark, part] = [active?.dataset?.mark, box.contains(active) ? active.dataset.part : undefined];
      const drawn = parsed(data.svg);
      drawn.firstElementChild.setAttribute("role", "group");
      const met = new Set();
      for (const node of drawn.querySelectorAll("[data-mark], [data-part]")) {
        const own = node.dataset.part;
        if (own !== undefined && met.has(own)) continue;
        if (own !== undefined) met.add(own);
        const label = own !== undefined ? `${names[own] ?? own}: open the fields` : `${node.dataset.mark}: show working`;
        const said = node.getAttribute("aria-label");
        node.setAttribute("role", "button");
        node.setAttribute("tabindex", 0);
        node.setAttribute("aria-label", node.dataset.mark !== undefined && said ? `${said}: show working` : said || label);
      }
      become(box, drawn);
      const over = box.querySelector("[data-part]:hover"); // no event comes while it stays there
      if (over) for (const group of groups(over.dataset.part)) group.classList.add("here");
      if (mark !== undefined) refocus(active, box.querySelector(`[data-mark="${mark}"][tabindex]`));
      else if (part !== undefined) refocus(active, first(part));
    },
  };
}
