/* The verdict sentence with the mark of its state. */

function verdictView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<section class="view verdict" role="status">
    <span class="state"></span><h1><strong></strong> <span></span></h1>
    <p class="more"></p></section>`);
  const [state, sentence, more] = host.lastElementChild.children;
  let level = null;
  return {
    update(data) {
      if (data.state !== level) {
        level = data.state;
        state.innerHTML = markSvg(level === "no answer" ? "none" : level, 36);
      }
      words(sentence.firstElementChild, data.bold);
      words(sentence.lastElementChild, data.plain);
      more.replaceChildren(...data.more.flatMap((line, i) => (i ? [document.createElement("br"), line] : [line])));
    },
  };
}
