/* The strip at the foot of a narrow page: one step down, the value, one step up, keep.
   It works the shown plot's own slider as its arrow keys do, and says what that slider says. */

function thumbView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<div class="view thumb" role="group" aria-label="Slider shown">
    <button type="button" class="less">−</button><button type="button" class="number"><small></small><span></span></button>
    <button type="button" class="greater">+</button><button type="button" class="keep">Keep</button></div>`);
  const [less, number, greater, keep] = host.lastElementChild.children;
  const REPEAT = {after: 420, every: 110};
  const watch = new MutationObserver(read);
  let slider = null;

  /** The shown plot's slider, through the shadow roots. */
  function within(root) {
    const found = root.querySelector(".slider");
    if (found) return found;
    for (const node of root.querySelectorAll("*")) {
      const inner = node.shadowRoot && within(node.shadowRoot);
      if (inner) return inner;
    }
    return null;
  }
  function follow() {
    const plot = document.querySelector(`.board.${document.documentElement.dataset.page ?? "hold"} .plot.shown`);
    slider = plot && within(plot);
    watch.disconnect();
    attr(host.lastElementChild, "hidden", plot ? null : "");
    if (!slider) {
      if (plot) requestAnimationFrame(follow); // its view is still to come
      return;
    }
    watch.observe(slider, {attributes: true, attributeFilter: ["aria-valuetext", "aria-label"]});
    read();
  }
  function read() {
    const value = slider.getAttribute("aria-valuetext") ?? "";
    const title = (slider.getAttribute("aria-label") ?? "").split(",")[0];
    const [name, shown] = number.children;
    words(name, document.documentElement.dataset.page === "loads" ? title : ""); // no tab says which
    words(shown, value);
    attr(number, "aria-label", `${title} ${value}, type a value`);
    attr(less, "aria-label", `${title}, one step down`);
    attr(greater, "aria-label", `${title}, one step up`);
  }

  function press(key) {
    slider?.dispatchEvent(new KeyboardEvent("keydown", {key, bubbles: true, cancelable: true}));
  }
  function stepper(button, key) {
    let timer = 0;
    let repeated = false;
    const again = () => {
      repeated = true;
      press(key);
      timer = setTimeout(again, REPEAT.every);
    };
    const stop = () => clearTimeout(timer);
    button.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      repeated = false;
      stop();
      timer = setTimeout(again, REPEAT.after);
    });
    for (const end of ["pointerup", "pointercancel", "pointerleave", "lostpointercapture"]) button.addEventListener(end, stop);
    button.addEventListener("contextmenu", (event) => event.preventDefault());
    button.addEventListener("click", () => {
      stop();
      if (!repeated) press(key);
      repeated = false;
    });
  }
  stepper(less, "ArrowLeft");
  stepper(greater, "ArrowRight");
  number.addEventListener("click", () => press("Enter"));
  keep.addEventListener("click", () => tell("keep"));
  for (const turned of ["plotshown", "pageshown"]) document.addEventListener(turned, follow);
  follow();

  return {
    update(data) {
      words(keep, data.kept ? "Keep this instead" : "Keep");
    },
  };
}
