/* A follower's page: the notebook's own views, drawn from what the owner's page is told. They have
   nobody to tell, every control in them is disabled, and the line is only listened to. */

const NAMES = ["frame", "curves", "data"];
const AGAIN = 2000; // ms between tries to get the line back
const LIMITED = 60000; // after too many tries
const OWN = ".bar .go, .bar .name, .bar .menu button, .switch button"; // what works a follower's own window alone
const SHEET = `:host { position: relative; width: 100%; height: 100%; }
  .mount { width: 100%; height: 100%; } :disabled, [role=button] { cursor: default !important; text-decoration: none !important; } 
  select:disabled { opacity: 1; } .keep, .drop, .close, .shut, [data-do=close] { display: none !important; }`;
const mounted = new Map();
const gone = document.getElementById("gone");
let run = null;
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

/** Nothing that would change the design can be pressed, and a key does not stop at it. */
function still(root) {
  for (const node of root.querySelectorAll("button, input, select")) {
    if (!node.disabled && !node.matches(OWN)) node.disabled = true;
  }
  for (const node of root.querySelectorAll("[role=button][tabindex='0']")) node.setAttribute("tabindex", -1);
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
  new MutationObserver(() => still(root)).observe(root, {subtree: true, childList: true, attributes: true, attributeFilter: ["disabled", "tabindex"]});
  still(root);
  if (name === "BarView" || name === "SwitchView") return;
  for (const kind of ["pointerdown", "mousedown", "click", "dblclick", "keydown"]) {
    slot.addEventListener(kind, (event) => event.stopPropagation(), true);
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

function say(text) {
  gone.textContent = text;
  gone.hidden = !text;
}

function listen() {
  const line = new WebSocket(`ws://${location.host}/live`);
  line.addEventListener("open", () => say(""));
  line.addEventListener("message", ({data}) => {
    work = work.then(() => take(JSON.parse(data)));
  });
  line.addEventListener("close", ({code}) => {
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
