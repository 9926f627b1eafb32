/* A drawing made by the server; its marks open what they stand for. */

function pictureView(host, tell) {
  host.insertAdjacentHTML("beforeend", '<div class="view picture"></div>');
  const box = host.lastElementChild;
  const press = (event) => {
    const mark = event.target.closest("[data-mark]");
    if (mark) tell("open", mark.dataset.mark.split(" ")[0]);
  };
  box.addEventListener("click", press);
  box.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    press(event);
  });
  return {
    update(data) {
      if (data.svg === undefined) return;
      const back = host.getRootNode().activeElement?.dataset?.mark;
      box.innerHTML = data.svg;
      for (const mark of box.querySelectorAll("[data-mark]")) {
        attr(mark, "role", "button");
        attr(mark, "tabindex", 0);
        if (!mark.getAttribute("aria-label")) attr(mark, "aria-label", `${mark.dataset.mark}: show working`);
        if (back && mark.dataset.mark === back) mark.focus();
      }
    },
  };
}
