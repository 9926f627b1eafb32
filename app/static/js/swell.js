/* The section over its pressure slider. The thumb and its text follow the hand; the swollen drawing
   comes from the server. */

function sectionView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<div class="sheet"></div><div class="view swell">
    <span class="what"></span><div class="rail"><i class="tick meop"></i><i class="tick first"></i>
    <input type="range" min="0" max="100" step="0.5" value="0"></div><span class="said"></span></div>`);
  const [sheet, row] = host.children;
  const [what, rail, said] = row.children;
  const [meop, , slider] = rail.children;
  const picture = pictureView(sheet, tell);
  let data = null;
  let at = 0;
  let held = false;

  const rounded = (p) => (data.round < 1 ? p.toFixed(1) : String(Math.round(p / data.round) * data.round));

  function draw() {
    const {first, unit, end} = data;
    const none = first === null;
    const gone = !none && at >= 1;
    const text = none ? "no answer" : gone ? end : `${rounded(at * first)} of ${rounded(first)} ${unit}`;
    words(what, none ? "Swell" : `Swell ${data.factor}`);
    words(said, text);
    attr(said, "class", gone ? "said gone" : "said");
    attr(meop, "hidden", none || data.meop > 1 ? "" : null);
    attr(meop, "style", `--at:${Math.min(data.meop ?? 0, 1)}`);
    attr(slider, "aria-label", `Swell, drawn ${data.factor}: pressure`);
    attr(slider, "aria-valuetext", gone ? `${text} lets go at ${rounded(first)} ${unit}` : text);
    slider.disabled = none;
  }

  /** MEOP holds the thumb within a hundredth and a half. */
  function move(next) {
    at = Math.abs(next - data.meop) < 0.015 ? data.meop : next;
    draw();
    tell("slide", at);
  }
  slider.addEventListener("input", () => data && move(slider.value / 100));
  slider.addEventListener("pointerdown", () => (held = true));
  for (const end of ["pointerup", "pointercancel", "change", "blur"]) {
    slider.addEventListener(end, () => {
      held = false;
      slider.value = 100 * at;
    });
  }

  return {
    update(sent) {
      picture.update(sent);
      if (!sent.swell) return;
      const fresh = !data;
      data = sent.swell;
      if (fresh && !held) slider.value = 100 * (at = data.at);
      draw();
    },
  };
}
