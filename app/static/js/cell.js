/* A drawing fills its cell: the server is told the cell's size once and when it has come to rest
   after a change, and again if the drawing does not come. Until then the last one is scaled to fit. */

function cellSize(cell, tell) {
  const PATIENCE = 2500; // ms for what takes a tenth of it
  let told = "";
  let resting = 0;
  const asked = (width) => Math.min(Math.max(width, 120), 1600); // what the server draws at most and least
  const drawn = (width) => Math.abs((cell.querySelector("svg")?.viewBox.baseVal.width ?? 0) - asked(width)) <= 1;
  function say(size, tries) {
    told = String(size);
    tell("size", size);
    setTimeout(() => tries && told === String(size) && !drawn(size[0]) && say(size, tries - 1), PATIENCE);
  }
  new ResizeObserver(([{contentRect}]) => {
    const size = [Math.round(contentRect.width), Math.round(contentRect.height)];
    clearTimeout(resting);
    if (size[0] < 40 || size[1] < 40 || String(size) === told) return;
    resting = setTimeout(() => say(size, 3), told ? 150 : 0);
  }).observe(cell);
}
