/* The names at the right ends of the lowest lines: pushed apart up and down, tied to their lines. */

function plotNames({geo, chart, ties, wants, dots, ghostDots, lines, open}) {
  const names = [];

  function more() {
    chart.insertAdjacentHTML("beforeend", `<button type="button" class="named"><b></b><i></i></button>`);
    const button = chart.lastElementChild;
    button.insertAdjacentHTML("beforeend", markSvg("none", 16));
    const [dot, hollow] = [svgEl("circle", {r: 4.5}), svgEl("circle", {r: 4.5})];
    const own = {button, id: null, tie: svgEl("path", {}, ties), want: svgEl("path", {}, wants), dot, hollow};
    button.addEventListener("click", () => open(own.id));
    dots.prepend(own.dot);
    ghostDots.prepend(own.hollow);
    names.push(own);
  }

  function placeAll(five) {
    const last = (id) => [...(lines.get(id)?.y ?? [])].reverse().find((y) => y !== null) ?? 0;
    const ends = five.map((id, rank) => ({rank, end: last(id)}));
    ends.sort((a, b) => b.end - a.end || b.rank - a.rank);
    const lift = (end) => geo.py(Math.max(Math.min(end / 1000, geo.frame.yhi * 1.008), 0));
    const ys = spread(ends.map(({end}) => lift(end)), PLOT.gap, PLOT.top + 6, PLOT.base - 4);
    const right = PLOT.left + geo.span();
    ends.forEach(({rank, end}, i) => {
      const own = names[rank];
      const room = Math.min(ys[i] - (ys[i - 1] ?? -Infinity), (ys[i + 1] ?? Infinity) - ys[i], 44);
      const air = `--air:${Math.max(0, (room - PLOT.gap) / 2).toFixed(1)}px`;
      attr(own.tie, "d", `M${right + 1} ${lift(end).toFixed(1)}L${right + 8} ${ys[i].toFixed(1)}`);
      attr(own.button, "style", `transform:translateY(${ys[i].toFixed(1)}px);${air}`);
    });
  }

  return {
    names,
    draw(five) {
      while (names.length < five.length) more();
      placeAll(five);
      names.forEach((own, rank) => {
        const line = lines.get(five[rank]);
        attr(own.button, "hidden", line ? null : "");
        show(own.tie, line);
        show(own.want, line && geo.frame.raw);
        if (!line) return;
        own.id = line.id;
        attr(own.button, "class", `named p-${line.part}${rank ? "" : " gov"}${line.look ? " look" : ""}`);
        attr(own.tie, "class", `tie p-${line.part}`);
        attr(own.want, "class", `wantmark p-${line.part}`);
        attr(own.dot, "class", `dot p-${line.part}`);
        attr(own.hollow, "class", `ghostdot p-${line.part}`);
        words(own.button.firstChild, line.name);
        attr(own.button, "title", line.look ? "Only a look: decides nothing" : null);
        const over = textWidth(line.name, 14, rank ? 400 : 650) - PLOT.name;
        const closer = over > 0 ? Math.max(-1.2, -over / line.name.length).toFixed(2) : 0;
        attr(own.button.firstChild, "style", `letter-spacing:${closer}px`);
      });
    },
  };
}
