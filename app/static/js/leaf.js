/* The one panel that opens. Its words come ready from the server; here they are only pressed. */

function leafView(host, tell) {
  host.insertAdjacentHTML("beforeend", '<aside class="view leaf" hidden tabindex="-1"></aside>');
  const box = host.lastElementChild;
  let came = null;
  const close = () => tell("close");
  box.addEventListener("click", (event) => {
    const on = event.target.closest("[data-do]");
    if (!on) return;
    const field = box.querySelector("input");
    tell(on.dataset.do, on.dataset.what ?? (field ? field.value : null));
  });
  box.addEventListener("keydown", (event) => {
    if (event.key === "Escape") close();
    if (event.key === "Enter" && event.target.matches("input")) tell("save", event.target.value);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && !box.hidden) close();
  });
  return {
    update(data) {
      if (data.html === undefined) return;
      const opening = box.hidden && data.html;
      if (opening) came = deepFocus();
      box.innerHTML = data.html;
      box.hidden = !data.html;
      host.parentNode?.host?.classList.toggle("shut", !data.html);
      if (data.html) {
        box.scrollTop = 0;
        (box.querySelector("input") ?? box).focus({preventScroll: true});
      } else if (came) {
        came.focus?.({preventScroll: true});
        came = null;
      }
    },
  };

  function deepFocus() {
    let at = document.activeElement;
    while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
    return at;
  }
}
