/* Which of the three plots a narrow page shows. It bears the marks of all, so that no warning is
   out of sight. Switching stays in the browser. */

const SAID = {stop: "a stop", look: "something to look at"};

function switchView(host, tell) {
  host.insertAdjacentHTML("beforeend", '<div class="view switch" role="group" aria-label="Plot shown"></div>');
  const box = host.lastElementChild;
  const buttons = new Map();

  /** Show the plot of a field; whoever works on the shown one is told. */
  function turn(field) {
    for (const plot of boardOf(host).querySelectorAll(".plot[data-field]")) {
      plot.classList.toggle("shown", plot.dataset.field === field);
    }
    for (const [own, button] of buttons) attr(button, "aria-pressed", own === field);
    document.dispatchEvent(new CustomEvent("plotshown"));
  }

  function button({field, title}) {
    if (buttons.has(field)) return buttons.get(field);
    box.insertAdjacentHTML("beforeend", `<button type="button" aria-pressed="${!buttons.size}"><span>${esc(title)}</span><i></i></button>`);
    const made = box.lastElementChild;
    made.addEventListener("click", () => {
      turn(field);
      tell("look", field);
    });
    buttons.set(field, made);
    return made;
  }

  document.addEventListener("lookedat", ({detail}) => buttons.has(detail) && turn(detail));

  return {
    update(data) {
      for (const plot of data.plots ?? []) {
        const made = button(plot);
        attr(made, "aria-label", plot.level ? `${plot.title}, ${SAID[plot.level]}` : plot.title);
        if (made.level !== plot.level) made.lastElementChild.innerHTML = plot.level ? markSvg(plot.level, 18) : "";
        made.level = plot.level;
      }
    },
  };
}
