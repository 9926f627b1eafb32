/* The rings that suit a groove, or a groove for each ring: squeeze and stretch on two scales, the
   dot as drawn, the whisker over all corners, shaded where it is not wanted. A touched row is taken. */

function ringsView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<section class="view rings" aria-labelledby="rings-title">
    <header><h2 id="rings-title"></h2><button type="button" class="turn"></button></header>
    <div class="heads"><span>squeeze, %</span><span>stretch, %</span></div>
    <p class="none" hidden></p><div class="list" role="group"></div>
    <div class="foot"><span class="note">heavy: wanted</span><div class="axis"></div><div class="axis"></div></div>
    <div class="rubber"><p><b></b> <span></span></p><button type="button" aria-label="Other compound">Other<span> compound</span></button></div></section>`);
  const [header, , none, list, foot, rubber] = host.lastElementChild.children;
  const [title, turn] = header.children;
  const axes = foot.querySelectorAll(".axis");
  const rows = [];
  turn.addEventListener("click", () => tell("turn"));
  rubber.lastElementChild.addEventListener("click", () => tell("compound"));

  const at = (scale, value) => Math.min(Math.max((100 * (value - scale.low)) / (scale.high - scale.low), 0), 100);

  function row(i) {
    if (rows[i]) return rows[i];
    list.insertAdjacentHTML("beforeend", `<button type="button" class="fit"><span class="name"><b></b><i></i></span>
      <span class="scale"><i class="whisker"></i><i class="spot"></i></span>
      <span class="scale"><i class="whisker"></i><i class="spot"></i></span></button>`);
    const made = {root: list.lastElementChild, key: null};
    made.root.addEventListener("click", () => tell("take ring", made.key));
    rows.push(made);
    return made;
  }

  /** A value off its scale stands at its end, as a triangle. */
  function draw(node, scale, [least, drawn, most], bad) {
    const [whisker, spot] = node.children;
    const [a, b] = [at(scale, least), at(scale, most)];
    attr(whisker, "style", `left:${a.toFixed(2)}%;width:${(b - a).toFixed(2)}%`);
    attr(spot, "style", `left:${at(scale, drawn).toFixed(2)}%`);
    attr(spot, "class", bad ? "spot bad" : "spot");
    attr(node, "style", `--from:${at(scale, scale.wanted[0]).toFixed(2)}%;--to:${at(scale, scale.wanted[1]).toFixed(2)}%`);
  }

  function drawAxis(node, scale) {
    const [a, b] = scale.wanted.map((v) => at(scale, v).toFixed(2));
    node.innerHTML = `<i class="heavy" style="left:${a}%;width:${b - a}%"></i>` +
      scale.ticks.map((v) => `<span style="left:${at(scale, v).toFixed(2)}%">${v}</span>`).join("");
  }

  let axesText = "";
  return {
    update(data) {
      words(title, data.title);
      words(turn, data.turn);
      words(none, data.refused || data.none);
      attr(none, "class", data.refused ? "none refused" : "none");
      attr(none, "hidden", data.refused || data.none ? null : "");
      attr(list, "aria-label", data.title);
      const text = JSON.stringify(data.scales);
      if (text !== axesText) data.scales.forEach((scale, i) => drawAxis(axes[i], scale));
      axesText = text;
      data.rows.forEach((fit, i) => {
        const made = row(i);
        made.key = fit.key;
        const [name, squeeze, stretch] = made.root.children;
        words(name.firstElementChild, fit.label);
        words(name.lastElementChild, fit.note);
        attr(made.root, "class", fit.on ? "fit on" : "fit");
        attr(made.root, "aria-pressed", fit.on);
        attr(made.root, "aria-label", fit.aloud);
        attr(made.root, "hidden", null);
        draw(squeeze, data.scales[0], fit.squeeze, fit.bad[0]);
        draw(stretch, data.scales[1], fit.stretch, fit.bad[1]);
      });
      rows.slice(data.rows.length).forEach((made) => attr(made.root, "hidden", ""));
      words(rubber.querySelector("b"), data.compound);
      words(rubber.querySelector("p span"), data.range);
    },
  };
}
