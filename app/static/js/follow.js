/* A follower's page: the notebook's own views, drawn from what the owner's page is told. They have
   nobody to tell, every control in them is disabled, and the line is only listened to. */

const NAMES = ["frame", "curves", "data"];
const AGAIN = 2000; // ms between tries to get the line back
const LIMITED = 60000; // after too many tries
const OWN = ".bar .go, .bar .name, .bar .menu button, .switch button, .fold"; // what works a follower's own window alone
const SHEET = `:host { position: relative; width: 100%; height: 100%; }
  .mount { width: 100%; height: 100%; } :disabled, [role=button] { cursor: default !important; text-decoration: none !important; } 
  select:disabled { opacity: 1; } .keep, .drop, .close, .shut, [data-do=close] { display: none !important; }
  .fold { display: none; position: absolute; top: 1px; right: 0; height: 50px; padding: 0 var(--pad) 0 14px; background: var(--leaf); font: inherit; font-weight: 650; color: var(--ink); border: 0; pointer-events: auto; z-index: 2; }
  @media (max-width: 759px) { :host(.open) .fold { display: block; } }
  :host(.folded) aside { overflow: hidden !important; }`;
const mounted = new Map();
const gone = document.getElementById("gone");
const ENDED = Number(gone.dataset.ended); // the code of a line that ends because sharing was stopped
let run = null;
let broken = false;
let work = Promise.resolve(); // one message after another

/** What a view is driven by, as in the owner's page, but with nobody at the other end. */
function model() {
  const heard = {};
  return {
    frame: "{}", curves: "{}", data: "{}", value: 0, slid: "",
    on(name, take) { heard[name] = take; },
    send_msg() {},
    set(changed) {
      const names = NAMES.filter((name) => name in changed);
      for (const name of names) this[name] = changed[name];
      for (const name of names) heard[name]?.();
    },
  };
}

/** Where the owner's panels cover all, a follower may fold them to their heads; they stay so. */
const panels = new Map();
let folded = false;
function fold(on) {
  folded = on;
  for (const [slot, button] of panels) {
    slot.classList.toggle("folded", on);
    button.textContent = on ? "Show" : "Fold";
    button.setAttribute("aria-expanded", !on);
  }
}
function foldable(slot, root) {
  const button = document.createElement("button");
  button.className = "fold";
  button.addEventListener("click", () => fold(!folded));
  root.append(button);
  panels.set(slot, button);
  fold(folded);
}

/** Nothing that would change the design can be pressed, and a key does not stop at it. */
function still(root) {
  for (const node of root.querySelectorAll("button, input, select")) {
    if (!node.disabled && !node.matches(OWN)) node.disabled = true;
  }
  for (const node of root.querySelectorAll("[role=button][tabindex='0']")) node.setAttribute("tabindex", -1);
  root.host.classList.toggle("open", Boolean(root.querySelector("aside:not([hidden])")));
}

async function mount(place, name, first) {
  const {render, styles} = await import(`./view/${name}.js`);
  const slot = document.querySelector(`[data-place="${place}"]`);
  const root = slot.attachShadow({mode: "open"});
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(styles + SHEET);
  root.adoptedStyleSheets = [sheet];
  const box = document.createElement("div");
  box.className = "mount";
  root.append(box);
  const own = model();
  own.set(first);
  mounted.set(place, own);
  box.append(render({model: own}));
  if (slot.closest(".leaf")) foldable(slot, root);
  new MutationObserver(() => still(root)).observe(root, {subtree: true, childList: true, attributes: true, attributeFilter: ["disabled", "tabindex", "hidden"]});
  still(root);
  if (name === "BarView" || name === "SwitchView") return;
  for (const kind of ["pointerdown", "mousedown", "click", "dblclick", "keydown"]) {
    slot.addEventListener(kind, (event) => {
      if (!event.composedPath()[0].matches?.(".fold")) event.stopPropagation();
    }, true);
  }
}

/** Mark what the owner's hand was on last; a plot comes into sight where only one is. */
function look({place, field}) {
  const board = document.querySelector(`.board.${document.documentElement.dataset.page ?? "hold"}`);
  const cell = place
    ? document.querySelector(`[data-place="${place}"]`)?.parentElement
    : [...board.querySelectorAll(".plot")].find((plot) => plot.dataset.field === field);
  if (!cell?.closest(".board")) return;
  for (const old of document.querySelectorAll(".looked")) if (old !== cell) old.classList.remove("looked");
  cell.classList.add("looked");
  if (cell.dataset.field) document.dispatchEvent(new CustomEvent("lookedat", {detail: cell.dataset.field}));
}

let looked = "";
async function take(message) {
  if (run && run !== message.run) return location.reload(); // another program: its page may differ
  run = message.run;
  await Promise.all(Object.entries(message.views).map(([place, {view, ...changed}]) => {
    if (mounted.has(place)) return mounted.get(place).set(changed);
    return view && mount(place, view, changed);
  }));
  const now = JSON.stringify(message.looked);
  if (now !== looked) look(message.looked);
  looked = now;
}

/** A page that could not be drawn would stand still for ever: it says so and is loaded again, the
    second time within two minutes only after one. */
function afresh(error) {
  if (broken) return;
  broken = true;
  console.error(error);
  let soon = true;
  try {
    soon = Date.now() - Number(sessionStorage.getItem("afresh") ?? 0) > 2 * LIMITED;
    sessionStorage.setItem("afresh", Date.now());
  } catch { soon = false } // private window: it cannot be known whether this is the first time
  say(`Something could not be drawn. ${soon ? "Loading the page again." : "Loading the page again in a minute."}`);
  setTimeout(() => location.reload(), soon ? 2 * AGAIN : LIMITED);
}

function say(text) {
  gone.textContent = text;
  gone.hidden = !text;
}

function listen() {
  const line = new WebSocket(`ws://${location.host}/live`);
  line.addEventListener("open", () => broken || say(""));
  line.addEventListener("message", ({data}) => {
    if (!broken) work = work.then(() => take(JSON.parse(data))).catch(afresh);
  });
  line.addEventListener("close", ({code}) => {
    if (code === ENDED) return say("Your partner has stopped sharing. To go on, ask for a new link.");
    if (code === 1013) say("As many follow already as there is room for. Trying again.");
    setTimeout(again, code === 1013 ? LIMITED / 6 : AGAIN / 2);
  });
}

/** Whether the program is there again; a link that was stopped is not tried any more. */
async function again() {
  let status = 0;
  try {
    status = (await fetch("/here", {cache: "no-store"})).status;
  } catch { /* out of reach */ }
  if (status === 204) return listen();
  if (status === 403) return say("This link opens nothing any more. Ask your partner for a new one.");
  say("Out of reach. Trying again.");
  setTimeout(again, status === 429 ? LIMITED : AGAIN);
}

listen();
