/* A drawing fills its cell: the server is told the cell's size once and when it has come to rest
   after a change. Until it has drawn anew the last drawing is scaled to fit. */

function cellSize(cell, tell) {
  let told = "";
  let resting = 0;
  new ResizeObserver(([{contentRect}]) => {
    const size = [Math.round(contentRect.width), Math.round(contentRect.height)];
    clearTimeout(resting);
    if (size[0] < 40 || size[1] < 40 || String(size) === told) return;
    resting = setTimeout(() => {
      told = String(size);
      tell("size", size);
    }, told ? 150 : 0);
  }).observe(cell);
}
