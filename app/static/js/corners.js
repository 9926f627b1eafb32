/* Twelve corners of one ring: squeeze is a ring that must lie between two circles, the gap a disc
   that must stay inside one. Touching a corner draws its gland; Escape lets the closest be drawn. */

const CORNER = {most: 17};

function cornersView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<section class="view corners" aria-label="Corners">
    <h2>Twelve<br>corners</h2><div class="heads"></div><div class="grid" role="group" aria-label="Corners of tolerance, temperature and pressure"></div></section>`);
  const [, heads, grid] = host.lastElementChild.children;
  const cells = [];
  for (const what of ["squeeze", "gap"]) {
    heads.insertAdjacentHTML("beforeend", `<b class="${what}"></b>${["0", "MEOP", "proof"].map((load, i) => `<span style="--at:${i}" class="${what}">${load}</span>`).join("")}`);
  }
  for (let row = 0; row < 4; row += 1) {
    const [play, day] = [row < 2 ? "loose" : "tight", row % 2 ? "hot" : "cold"];
    grid.insertAdjacentHTML("beforeend", `<div class="row"><span class="play">${row % 2 ? "" : play}</span><span class="day">${day}</span></div>`);
    for (const what of ["squeeze", "gap"]) for (let load = 0; load < 3; load += 1) cell(grid.lastElementChild, what, 3 * row + load);
  }

  function cell(row, what, i) {
    row.insertAdjacentHTML("beforeend", `<button type="button" class="${what}"><svg width="44" height="40" viewBox="-22 -20 44 40" aria-hidden="true">
      <circle class="limit" r="${CORNER.most}"/><circle class="limit least" r="0"/><circle class="now" r="0"/></svg></button>`);
    const root = row.lastElementChild;
    const [, least, now] = root.firstElementChild.children;
    root.addEventListener("click", () => tell("corner", root.getAttribute("aria-pressed") === "true" && root.dataset.picked ? null : i));
    cells.push({root, what, i, least, now});
  }
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && !event.defaultPrevented && host.isConnected) tell("corner", null);
  });

  return {
    update(data) {
      words(heads.children[0], data.squeeze);
      words(heads.children[4], data.gap);
      for (const {root, what, i, least, now} of cells) {
        const corner = data.corners[i];
        const share = what === "squeeze" ? corner.squeeze : corner.gap;
        attr(root, "aria-pressed", i === data.drawn);
        root.dataset.picked = data.picked ? "1" : "";
        attr(root, "aria-label", `${corner.name}: ${what === "squeeze" ? corner.squeezeText : corner.gapText}`);
        const r = share === null ? 0 : Math.min(Math.max(share, 0), 1.25) * CORNER.most;
        attr(now, "r", r.toFixed(1));
        attr(now, "class", `now${(what === "squeeze" ? corner.squeezeBad : corner.gapBad) ? " bad" : ""}${share === null ? " none" : ""}`);
        attr(least, "r", what === "squeeze" ? (data.least * CORNER.most).toFixed(1) : "0");
      }
    },
  };
}
