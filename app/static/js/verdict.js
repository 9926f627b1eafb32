/* The verdict sentence with the mark of its state; beside it what is kept for comparison. */

function verdictView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<section class="view verdict">
    <span class="state"></span><div class="said" aria-live="polite" aria-atomic="true"><h1><strong></strong> <span></span></h1><span class="aloud"></span></div>
    <div class="more"><p class="past" hidden><svg width="28" height="10" aria-hidden="true"><path d="M0 5.5H28"/></svg>
      <span></span><button type="button" class="drop" aria-label="Drop the kept design">Drop</button></p>
      <p class="beside"></p></div>
    <button type="button" class="keep"></button></section>`);
  const [state, spoken, more, keep] = host.lastElementChild.children;
  const [sentence, aloud] = spoken.children; // the page's one live region
  const [past, beside] = more.children;
  const [, said, drop] = past.children;
  let level = null;
  keep.addEventListener("click", () => tell("keep"));
  drop.addEventListener("click", () => {
    tell("drop");
    keep.focus({preventScroll: true}); // the pressed one is about to go
  });
  return {
    update(data) {
      if (data.state !== level) {
        level = data.state;
        state.innerHTML = markSvg(level === "no answer" ? "none" : level, 36);
      }
      sentence.classList.toggle("long", data.bold.length + data.plain.length > 76);
      words(sentence.firstElementChild, tied(data.bold));
      words(sentence.lastElementChild, tied(data.plain));
      words(aloud, data.aloud ?? "");
      beside.replaceChildren(...data.more.flatMap((line, i) => (i ? [document.createElement("br"), line] : [line])));
      words(said, data.kept);
      attr(past, "hidden", data.kept ? null : "");
      words(keep, data.kept ? "Keep this instead" : "Keep for comparison");
    },
  };
}
