/* The one panel that opens. Its words come ready from the server; here they are only pressed. */

function leafView(host, tell) {
  host.insertAdjacentHTML("beforeend", '<aside class="view leaf" hidden tabindex="-1"></aside>');
  const box = host.lastElementChild;
  let about = null;
  let came = null;
  let scrolled = 0;
  let pressed = false; // whether what was typed is on its way: the answer may take the focus
  const close = () => tell("close");
  box.addEventListener("click", (event) => {
    const on = event.target.closest("[data-do]");
    if (!on) return;
    pressed = on.matches(".act");
    tell(on.dataset.do, on.dataset.what ?? typed());
  });
  box.addEventListener("keydown", (event) => {
    if (event.key === "Escape") close();
    const act = box.querySelector(".act");
    if (event.key === "Enter" && act && event.target.matches("input")) {
      pressed = true;
      tell(act.dataset.do, typed());
    }
  });
  box.addEventListener("input", () => (pressed = false));
  box.addEventListener("change", (event) => event.target.closest(".form") && tell("typed", typed()));
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && !box.hidden) close();
  });
  /** What was typed: the one box's text, or every box of a form by its name. */
  function typed() {
    const boxes = [...box.querySelectorAll("input")];
    if (!boxes.length) return null;
    return boxes.length > 1 ? Object.fromEntries(boxes.map((b) => [b.name, b.value])) : boxes[0].value;
  }

  return {
    update(data) {
      if (data.html === undefined) return;
      const opening = box.hidden && data.html;
      if (!opening && data.html && about && data.about === about) return renew(data.html);
      about = data.about;
      if (opening) {
        came = deepFocus();
        scrolled = window.scrollY;
      }
      box.innerHTML = data.html;
      box.hidden = !data.html;
      host.parentNode?.host?.classList.toggle("shut", !data.html);
      if (data.html) {
        box.scrollTop = 0;
        (box.querySelector("[aria-invalid]") ?? box.querySelector("input") ?? box).focus({preventScroll: true});
        attr(box, "aria-label", box.querySelector("h2")?.textContent.trim() ?? "");
        if (opening) box.scrollIntoView({block: "nearest"}); // on a low page it may be out of sight
      } else if (came) {
        came.focus?.({preventScroll: true});
        came = null;
        if (window.scrollY !== scrolled) window.scrollTo(0, scrolled);
      }
    },
  };

  /** Other words for the same: whoever reads on, or has a hand on a slider, keeps place and focus,
      but not on a button that does another thing by now. */
  function renew(html) {
    const root = box.getRootNode();
    const within = box.contains(root.activeElement);
    const does = () => JSON.stringify({...root.activeElement?.dataset});
    const before = does();
    const inputs = () => [...box.querySelectorAll("input")];
    const said = new Map(inputs().map((b) => [b, b.getAttribute("value")]));
    become(box, parsed(html));
    for (const b of inputs()) if (said.get(b) !== b.getAttribute("value") && b !== root.activeElement) b.value = b.getAttribute("value");
    const wrong = pressed && box.querySelector("[aria-invalid]");
    pressed = false;
    if (within && (wrong || !box.contains(root.activeElement) || does() !== before)) (wrong || box).focus({preventScroll: true});
    attr(box, "aria-label", box.querySelector("h2")?.textContent.trim() ?? "");
  }

  function deepFocus() {
    let at = document.activeElement;
    while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
    return at;
  }
}
