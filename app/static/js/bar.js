/* The bar: pages, the design's name with its menu, units, undo and redo. */

function barView(host, tell) {
  host.insertAdjacentHTML("beforeend", `<header class="view bar">
    <b>hobbyclosure</b><nav aria-label="Pages"></nav>
    <div class="who"><button class="name" aria-haspopup="menu" aria-expanded="false"><span></span>
      <svg width="10" height="8" aria-hidden="true"><path d="M0 1H10L5 7Z"/></svg></button>
      <span class="saved"></span>
      <div class="menu" role="menu" hidden></div></div>
    <div class="guest" hidden><p role="status"></p><button type="button" class="hand">Hand back</button><button type="button" class="go"></button></div>
    <div class="units" role="group" aria-label="Units"><button data-unit="metric" title="Show millimetres and megapascals">mm</button><button data-unit="inch" title="Show inches and psi">in</button></div>
    <button class="undo"></button><button class="redo"></button>
    <input type="file" accept=".toml,text/plain" hidden aria-label="Design file to open"></header>`);
  const bar = host.lastElementChild;
  const $ = (selector) => bar.querySelector(selector);
  const [nav, name, saved, menu, undo, redo, picker, guest, hand, go] = ["nav", ".name", ".saved", ".menu", ".undo", ".redo", "input", ".guest", ".hand", ".go"].map($);
  const items = {
    new: "New design…", open: "Open a file…", save: "Save", "save as": "Save under a name…", copy: "Download a copy",
    sheet: "Summary, PDF", steps: "Summary with every step, PDF", bench: "Bench form, PDF", log: "Log…", map: "Wall × screws map",
    share: "Share with a partner…", handed: "Your partner's differences…", night: "Night",
  };
  for (const [what, label] of Object.entries(items)) {
    menu.insertAdjacentHTML("beforeend", `<button role="menuitem" data-what="${what}">${label}</button>`);
  }
  let copied = 0;
  let largest = 0; // bytes of a file that is sent
  let printed = 0;
  let [busy, state] = ["", ""]; // a sheet is being made; what is said of saving
  let [unsent, asked, about] = [0, false, ""]; // differences of a copy not handed back; what is said
  menu.querySelector("[data-what=bench]").insertAdjacentHTML("afterend", `<p class="print"></p>`);
  const entries = () => [...menu.querySelectorAll("button")].filter((entry) => !entry.hidden);

  function unfold(on) {
    menu.hidden = !on;
    attr(name, "aria-expanded", on);
    if (on) entries()[0].focus();
  }
  name.addEventListener("click", () => unfold(menu.hidden));
  bar.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && !menu.hidden) {
      event.stopPropagation();
      unfold(false);
      name.focus();
    }
    const steps = {ArrowDown: 1, ArrowUp: -1}[event.key];
    if (steps && !menu.hidden) {
      event.preventDefault();
      const all = entries();
      const at = all.indexOf(host.getRootNode().activeElement);
      all[(at + steps + all.length) % all.length].focus();
    }
  });
  document.addEventListener("pointerdown", (event) => {
    if (!event.composedPath().includes(bar)) unfold(false);
  }, true);
  menu.addEventListener("click", (event) => {
    const what = event.target.dataset.what;
    if (!what) return;
    unfold(false);
    if (what === "open") picker.click();
    else if (what === "night") night(document.documentElement.dataset.theme !== "night");
    else tell(what);
  });
  picker.addEventListener("change", async () => {
    const chosen = picker.files[0];
    picker.value = "";
    if (!chosen) return;
    if (chosen.size > largest) tell("too large", {name: chosen.name, size: chosen.size});
    else tell("opened", {name: chosen.name, text: await chosen.text()});
  });
  bar.querySelector(".units").addEventListener("click", (event) => {
    if (event.target.dataset.unit) tell("units", event.target.dataset.unit);
  });
  nav.addEventListener("click", (event) => {
    const id = event.target.dataset.page;
    if (id) tell("page", id);
  });
  hand.addEventListener("click", () => tell("hand back"));
  go.addEventListener("click", () => {
    if (unsent && !asked) return ask(true);
    unsent = 0; // it was asked
    location.assign(go.to);
  });
  addEventListener("beforeunload", (event) => {
    if (unsent && document.getElementById("gone")?.hidden) event.preventDefault();
  });
  undo.addEventListener("click", () => tell("undo"));
  redo.addEventListener("click", () => tell("redo"));
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const typing = event.composedPath()[0].matches?.("input:not([type=range])");
    const key = event.key.toLowerCase();
    if (key === "s") event.preventDefault(), tell("save");
    else if (key === "z" && !typing) event.preventDefault(), tell(event.shiftKey ? "redo" : "undo");
    else if (key === "y" && !typing) event.preventDefault(), tell("redo");
  });

  /** Whether a copy is left with what was not handed back: asked at the button that leaves it. */
  function ask(on) {
    asked = on;
    const several = unsent === 1 ? "One difference is" : `${unsent} differences are`;
    words(guest.firstElementChild, on ? `${several} not handed back.` : about);
    words(go, go.to === "/copy" ? "Try on a copy" : on ? `Drop ${unsent === 1 ? "it" : "them"}` : "Follow");
    attr(go, "title", on ? "Drop what was not handed back, and follow" : null);
  }

  /** The page's places are all there; one page's are in sight. */
  function turn(id) {
    const root = document.documentElement;
    if (root.dataset.page === id) return;
    root.dataset.page = id;
    const sliders = document.querySelector(`.board.${id} [tabindex="-1"]`);
    if (sliders) document.querySelector(".skip").href = `#${sliders.id}`;
    document.dispatchEvent(new CustomEvent("pageshown"));
  }

  function download(content, type, file) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([content], {type}));
    link.download = file;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  }

  function night(on) {
    document.documentElement.dataset.theme = on ? "night" : "day";
    menu.querySelector("[data-what=night]").textContent = on ? "Day" : "Night";
    try { localStorage.setItem("hobbyclosure.theme", on ? "night" : "day"); } catch { /* private window */ }
  }
  night(document.documentElement.dataset.theme === "night");

  /** The sheet is being made, or here it is. */
  function print(sheet) {
    busy = sheet.busy;
    words(saved, busy || state);
    if (!sheet.data || sheet.n === printed) return;
    printed = sheet.n;
    const bytes = Uint8Array.from(atob(sheet.data), (c) => c.charCodeAt(0));
    download(bytes, "application/pdf", sheet.file);
  }

  return {
    update(data) {
      if (data.sheet) print(data.sheet);
      if (!data.pages) return;
      largest = data.largest;
      if (!nav.childElementCount) {
        nav.innerHTML = data.pages.map(({id, name: label}) => `<button type="button" data-page="${id}">${esc(label)}</button>`).join("");
      }
      for (const {id, on} of data.pages) {
        attr(nav.querySelector(`[data-page=${id}]`), "aria-current", on ? "page" : null);
        if (on) turn(id);
      }
      words(name.firstElementChild, data.name);
      state = data.saved;
      words(saved, busy || state);
      const [following, copying] = [data.following !== undefined, data.copying !== undefined];
      bar.classList.toggle("followed", following);
      document.documentElement.toggleAttribute("data-guest", following || copying);
      attr(guest, "hidden", following || copying ? null : "");
      attr(hand, "hidden", copying ? null : "");
      about = data.following ?? data.copying ?? "";
      go.to = copying ? "/" : "/copy";
      const same = unsent === (data.unsent ?? 0);
      document.documentElement.dataset.unsent = unsent = data.unsent ?? 0;
      ask(asked && same && unsent > 0);
      const few = following ? ["night"] : copying ? ["copy", "sheet", "steps", "bench", "map", "night"] : Object.keys(items);
      words(menu.querySelector(".print"), `On paper: design ${data.print}`);
      attr(menu.querySelector(".print"), "hidden", few.includes("sheet") ? null : "");
      for (const entry of menu.querySelectorAll("button")) {
        const what = entry.dataset.what;
        entry.hidden = !few.includes(what) || (what === "share" && !data.share) || (what === "handed" && !data.handed);
      }
      if (data.copy && data.copy.n !== copied) {
        copied = data.copy.n;
        download(data.copy.text, "application/toml", data.copy.file);
      }
      for (const button of bar.querySelectorAll("[data-unit]")) {
        attr(button, "aria-pressed", button.dataset.unit === data.system);
      }
      for (const [button, word, what] of [[undo, "Undo", data.undo], [redo, "Redo", data.redo]]) {
        if (!button.firstElementChild) button.innerHTML = `${word}<span></span>`;
        words(button.firstElementChild, what ? ` ${what.length > 18 ? `${what.slice(0, 17)}…` : what}` : "");
        attr(button, "aria-label", what ? `${word} ${what}` : word);
        attr(button, "title", what ? `${word} ${what}` : `Nothing to ${word.toLowerCase()}`);
        button.disabled = !what;
      }
    },
  };
}
