/* Read-only eyes of the tests: what a person sees on the page, through every shadow root. */
window.probe = (() => {
  function* deep(root = document) {
    for (const node of root.querySelectorAll("*")) {
      yield node;
      if (node.shadowRoot) yield* deep(node.shadowRoot);
    }
  }
  const all = (selector) => [...deep()].filter((node) => node.matches(selector));
  const one = (selector) => all(selector)[0];
  const said = (node) => (node && shown(node) ? node.textContent.replace(/\s+/g, " ").trim() : "");
  const parent = (node) => node.assignedSlot ?? node.parentElement ?? node.getRootNode().host ?? null;

  function shown(node) {
    if (!node.getClientRects().length || node.closest(".aloud")) return false;
    const style = getComputedStyle(node);
    return style.visibility === "visible" && style.opacity !== "0";
  }

  function slot(box) {
    const [fix, say] = [box.querySelector(".fix"), box.querySelector(".say")];
    return {
      text: say.title || said(say), evidence: said(box.querySelector(".ev")),
      more: said(box.querySelector(".more")), warns: Boolean(box.querySelector(".sign svg")),
      fix: said(fix.querySelector("u")), effect: said(fix.querySelector("span")),
      previewed: fix.classList.contains("on"), refused: box.querySelector(".aloud").textContent,
    };
  }

  function plot(root) {
    const slider = root.querySelector(".slider");
    const names = [...root.querySelectorAll(".named")].filter(shown);
    return {
      title: said(root.querySelector("h2 b")), detail: said(root.querySelector("h2 span")),
      handle: said(root.querySelector(".onhandle")), note: said(root.querySelector(".chart > svg > .muted:last-child")),
      value: Number(slider.value), low: Number(slider.min), high: Number(slider.max),
      spoken: slider.getAttribute("aria-valuetext"), slot: slot(root.querySelector(".slot")),
      now: names.map((node) => [said(node.querySelector("b")), said(node.querySelector("i"))]),
      ghost: said(root.querySelector(".ghosttext")),
      ghostLine: root.querySelector(".ghostline").getAttribute("d") || "",
    };
  }

  /** Whether the drawings have been made for the room they have: the last thing of a page's opening. */
  const fits = () => all(".picture svg").every((svg) => {
    const [, , wide, high] = svg.getAttribute("viewBox").split(" ").map(Number);
    const cell = svg.closest(".picture");
    return Math.abs(cell.clientWidth - wide) <= 1 && Math.abs(cell.clientHeight - high) <= 1;
  });

  /** Where a rung stands or, while it still moves there, will stand. */
  const height = (rung) => Number(/translateY\((.*)px\)/.exec(rung.style.transform)[1]);

  /** Everything the page says, as data. */
  function page() {
    return {
      seq: Number(document.documentElement.dataset.seq), name: said(one(".bar .name span")),
      saved: said(one(".bar .saved")), verdict: said(one(".verdict h1")), more: said(one(".verdict .more")),
      undo: one(".undo").getAttribute("aria-label"), redo: one(".redo").getAttribute("aria-label"),
      plots: all("section.plot").map(plot), leaf: said(one("aside.leaf")),
      ladder: all(".rung").sort((a, b) => height(a) - height(b))
        .map((rung) => ["b", ".out", "i"].map((part) => said(rung.querySelector(part)))),
      pictures: all(".picture").map((box) => [...box.querySelectorAll("text")].map(said)),
    };
  }

  /** Paths of a plot's curves by the order drawn, and their classes. */
  const curves = (i) => [...all("section.plot")[i].querySelectorAll("path.line")].map((node) => node.getAttribute("d"));

  function clipped(node, rect) {
    let {left, top, right, bottom} = rect;
    for (let at = parent(node); at; at = parent(at)) {
      if (at instanceof SVGElement && !(at instanceof SVGSVGElement)) continue;
      const style = getComputedStyle(at);
      if (style.overflowX === "visible" && style.overflowY === "visible") continue;
      const box = at.getBoundingClientRect();
      [left, top] = [Math.max(left, box.left), Math.max(top, box.top)];
      [right, bottom] = [Math.min(right, box.right), Math.min(bottom, box.bottom)];
    }
    return right - left > 1 && bottom - top > 1 ? [left, top, right, bottom] : null;
  }

  /** Boxes of every piece of text in sight: [text, left, top, right, bottom, colour]. */
  function texts() {
    const out = [];
    const panels = all("aside, .menu").filter(shown);
    const covers = (node, [left, top, right, bottom]) => panels.some((panel) => {
      const box = panel.getBoundingClientRect();
      const inside = (left + right) / 2 > box.left && (left + right) / 2 < box.right &&
        (top + bottom) / 2 > box.top && (top + bottom) / 2 < box.bottom;
      return inside && !panel.contains(node);
    });
    const keep = (node, text, rect) => {
      const box = clipped(node, rect);
      const style = getComputedStyle(node);
      if (box && text && !covers(node, box)) {
        out.push([text, ...box, node instanceof SVGElement ? style.fill : style.color]);
      }
    };
    for (const node of deep()) {
      if (/^(script|style|title|noscript)$/i.test(node.tagName) || !shown(node)) continue;
      if (node.matches("text")) keep(node, said(node), node.getBoundingClientRect());
      else if (node.matches("math")) keep(node, said(node), node.getBoundingClientRect());
      else if (node.matches("input[type=text]")) keep(node, node.value, node.getBoundingClientRect());
      else if (!node.closest("svg, math")) {
        for (const child of node.childNodes) {
          if (child.nodeType !== Node.TEXT_NODE || !child.textContent.trim()) continue;
          const range = document.createRange();
          range.selectNodeContents(child);
          for (const rect of range.getClientRects()) keep(node, child.textContent.trim(), rect);
        }
      }
    }
    return out;
  }

  /** Texts that are cut short, by an ellipsis or a clamp. */
  const cut = () => [...deep()]
    .filter((node) => shown(node) && node.textContent.trim() && !node.matches("aside.leaf"))
    .filter((node) => getComputedStyle(node).overflowX === "hidden" && node instanceof HTMLElement &&
      !node.matches(":root, body") &&
      (node.scrollWidth > node.clientWidth + 1 || node.scrollHeight > node.clientHeight + 1))
    .map(said);

  /** Where the keyboard is, through every shadow root. */
  function focused() {
    let at = document.activeElement;
    while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
    return at;
  }

  return {all, curves, cut, fits, focused, page, said, shown, texts};
})();
