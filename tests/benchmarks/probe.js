/* Measures from inside the page, so that no instrument waits on a wire of its own.
   An answer is the number that a page counts up last when it has drawn what the server said;
   painted is the first frame after it, layout and painting of that frame included. */

window.probe = (() => {
  const sleep = (ms) => new Promise((done) => setTimeout(done, ms));
  const task = () => new Promise((done) => {
    const channel = new MessageChannel();
    channel.port1.onmessage = done;
    channel.port2.postMessage(0);
  });
  const painted = async () => {
    await new Promise((done) => requestAnimationFrame(done));
    await task();
    return performance.now();
  };
  const deep = (selector, root = document) => [...root.querySelectorAll("*")].flatMap((node) => [
    ...(node.matches(selector) ? [node] : []),
    ...(node.shadowRoot ? deep(selector, node.shadowRoot) : []),
  ]);

  let answers = 0;
  let heard = [];
  const answer = () => {
    answers += 1;
    for (const tell of heard.splice(0)) tell();
  };
  const next = () => Promise.race([
    new Promise((done) => heard.push(() => done(true))),
    sleep(20000).then(() => false),
  ]);

  /** Listen for answers: the count on the page itself, or the text of a stock pane. */
  function listen() {
    const model = [...Bokeh.documents[0]._all_models.values()].find((m) => m.type.endsWith("markup.HTML"));
    if (model) model.properties.text.change.connect(answer);
    else new MutationObserver(answer).observe(document.documentElement, {attributeFilter: ["data-seq"]});
  }

  /** The document has nothing left to do, and the next frame is painted: ms since navigation. */
  async function usable(counted) {
    const ready = () => window.Bokeh?.documents?.[0]?.is_idle &&
      (!counted || document.documentElement.dataset.seq);
    while (!ready()) await new Promise((done) => requestAnimationFrame(done));
    return painted();
  }

  /** Nothing has been answered for so long. */
  async function quiet(ms) {
    for (let before = -1; before !== answers; await sleep(ms)) before = answers;
  }

  /** One key after another, each when the last is painted and a pause is over. */
  async function keys(selector, names, pauses) {
    const target = deep(selector)[0];
    target.focus();
    const before = answers;
    const times = [];
    for (const [i, key] of names.entries()) {
      await sleep(pauses[i]);
      const start = performance.now();
      target.dispatchEvent(new KeyboardEvent("keydown", {key, bubbles: true, composed: true, cancelable: true}));
      if (!(await next())) throw new Error(`no answer to key ${i}`);
      const drawn = performance.now();
      times.push({drawn: drawn - start, painted: (await painted()) - start});
    }
    await sleep(300);
    return {times, answers: answers - before};
  }

  /** The handle drawn along by steps of px, one every ms, without waiting for anything. */
  async function drag(count, every, px) {
    const grab = deep("section.plot .grab")[0];
    const slider = deep("section.plot input.slider")[0];
    const models = [...Bokeh.documents[0]._all_models.values()].filter((m) =>
      m.data?.frame?.includes('"case.wall"') && m.data.data.includes('"slot"'));
    const box = grab.getBoundingClientRect();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    const send = (type, dx) => grab.dispatchEvent(new PointerEvent(type, {
      clientX: x + dx, clientY: y, pointerId: 77, button: 0, shiftKey: true, bubbles: true, composed: true, cancelable: true}));
    grab.setPointerCapture = () => {};
    const moves = [];
    const draws = [];
    let watching = true;
    (async () => {
      while (watching) {
        await next();
        if (!watching) return;
        const value = JSON.parse(models[0].data.data).value;
        painted().then((at) => draws.push({value, at}));
      }
    })();
    send("pointerdown", 0);
    send("pointermove", 4 * Math.sign(px));
    const start = performance.now();
    let last = slider.getAttribute("aria-valuetext");
    for (let i = 1; i <= count; i += 1) {
      await sleep(Math.max(0, start + i * every - performance.now()));
      send("pointermove", 4 * Math.sign(px) + i * px);
      const text = slider.getAttribute("aria-valuetext");
      if (text !== last) moves.push({value: parseFloat(text), at: performance.now()});
      last = text;
    }
    const ended = performance.now();
    const final = moves[moves.length - 1];
    const arrived = () => draws.find((d) => d.at > final.at && Math.abs(d.value - final.value) < 1e-6);
    while (!arrived() && performance.now() - ended < 20000) await sleep(10);
    send("pointerup", 4 * Math.sign(px) + count * px);
    await sleep(500);
    watching = false;
    answer();
    const lags = draws.flatMap((d) => {
      const of = moves.filter((m) => Math.abs(m.value - d.value) < 1e-6).pop();
      return of ? [{at: of.at - start, lag: d.at - of.at}] : [];
    });
    return {lags, moves: moves.length, took: ended - start, settle: arrived().at - final.at};
  }

  return {deep, listen, usable, quiet, keys, drag};
})();
