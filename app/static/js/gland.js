/* The gland of one ring in one corner: which ring, which corner, the picture, its three numbers. */

function glandView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<section class="view gland" aria-label="Gland">
    <div class="which" role="group" aria-label="Ring shown"></div>
    <h2><b></b><span></span></h2><div class="sheet"></div><dl></dl></section>`);
  const [which, head, sheet, foot] = host.lastElementChild.children;
  const buttons = new Map();
  cellSize(sheet, tell);

  function button(id) {
    if (buttons.has(id)) return buttons.get(id);
    which.insertAdjacentHTML("beforeend", `<button type="button"><span></span><i></i></button>`);
    const made = which.lastElementChild;
    made.addEventListener("click", () => tell("ring", id));
    buttons.set(id, made);
    return made;
  }

  return {
    update(data) {
      for (const {id, label, state, on} of data.rings) {
        const made = button(id);
        words(made.firstElementChild, label);
        attr(made, "aria-pressed", on);
        attr(made, "aria-label", `${label}, ${state}`);
        if (made.state !== state) made.lastElementChild.innerHTML = markSvg(state === "no answer" ? "none" : state, 18);
        made.state = state;
      }
      const known = new Set(data.rings.map(({id}) => id));
      for (const [id, made] of buttons) attr(made, "hidden", known.has(id) ? null : "");
      words(head.firstElementChild, data.corner);
      words(head.lastElementChild, data.side);
      if (data.svg !== sheet.drawn) become(sheet, parsed(data.svg));
      sheet.drawn = data.svg;
      const text = JSON.stringify(data.foot);
      if (text !== foot.drawn) {
        foot.drawn = text;
        foot.innerHTML = data.foot.map(([name, value]) => `<div><dt>${esc(name)}</dt><dd>${esc(value)}</dd></div>`).join("");
      }
    },
  };
}
