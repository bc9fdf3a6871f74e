// The review page: choosing, deciding, listening. The page itself comes from the server; after each decision it is taken anew.

import { fresh, send, tell, watch } from "./common.js";
import { askFinding, askReason, askTeach } from "./dialogs.js";
import { marked, selected } from "./words.js";

const main = () => document.getElementById("main");
const all = (selector) => [...main().querySelectorAll(selector)];
const cards = () => all(".card").filter((c) => !c.hidden);
const chosen = () => main().querySelector(".card.chosen");
const keyOf = (card) => card && (card.dataset.id ?? (card.dataset.loose ? `line ${card.dataset.loose}` : `decision ${card.dataset.stale}`));
const content = (card) => JSON.parse(card.dataset.content);
const soundOf = (line) => document.getElementById(`line-${line}`)?.closest(".source").querySelector("audio");

// ---- choosing -------------------------------------------------------------------------------------------------------------

function light(ids, lines, on) {
  for (const mark of all("mark")) if (mark.dataset.findings.split(" ").some((id) => ids.includes(id))) mark.classList.toggle("lit", on);
  for (const line of lines) document.getElementById(`line-${line}`)?.classList.toggle("lit", on);
}

function unlight() {
  all(".lit").forEach((e) => e.classList.remove("lit"));
  const card = chosen();
  if (card) light([card.dataset.id], card.dataset.loose ? [card.dataset.loose] : [], true);
}

function choose(card, focus = true) {
  chosen()?.classList.remove("chosen");
  all(".pick[aria-current]").forEach((b) => b.removeAttribute("aria-current"));
  card?.classList.add("chosen");
  const pick = card?.querySelector(".pick");
  pick?.setAttribute("aria-current", "true");
  if (focus) { pick?.focus({ preventScroll: true }); card?.scrollIntoView({ block: "nearest" }); }
  unlight();
  const line = card?.dataset.lines?.split(" ")[0];
  const box = main().querySelector(".spoken");
  const at = line && document.getElementById(`line-${line}`);
  if (at && box.scrollHeight > box.clientHeight) box.scrollTop = at.offsetTop - box.offsetTop - box.clientHeight / 3;
  dress();
}

/** The bar shows what can be done now. */
function dress() {
  const card = chosen();
  const kind = !card ? "" : card.dataset.id ? "finding" : card.dataset.loose ? "loose" : "stale";
  const marked = all(".card.marked").length;
  for (const button of document.querySelectorAll("#bar [data-for]")) {
    const wants = button.dataset.for.split(" ");
    button.disabled = !(wants.includes("any") || wants.includes(kind)
      || (wants.includes("marked") && marked > 0 && kind === "finding")
      || (wants.includes("lines") && card?.dataset.lines && soundOf(card.dataset.lines.split(" ")[0])));
  }
  document.getElementById("chosen").textContent = card ? card.querySelector(".pick").textContent : "Nothing chosen: j and k go through the list";
}

function step(by) {
  const list = cards();
  const at = list.indexOf(chosen());
  const next = list[Math.min(Math.max(at + by, 0), list.length - 1)];
  if (next) choose(next);
}

// ---- what is shown --------------------------------------------------------------------------------------------------------

let shownPlace = null;
const marks = new Set();

/** Only the findings at a place of the drawing; null for all. */
function filter(place) {
  shownPlace = place;
  const group = place && main().querySelector(`[data-place="${CSS.escape(place)}"]`);
  const ids = group ? [...group.querySelectorAll("[data-finding]")].flatMap((e) => e.dataset.finding.split(" ")) : null;
  for (const card of all(".card[data-id]")) card.hidden = ids !== null && !ids.includes(card.dataset.id);
  for (const section of all(".group")) section.hidden = ![...section.querySelectorAll(".card")].some((c) => !c.hidden);
  for (const other of all("[data-place]")) other.setAttribute("aria-pressed", String(other === group));
  const notice = document.getElementById("filter");
  notice.hidden = !group;
  if (group) notice.querySelector("span").textContent = `Only what is at: ${group.dataset.name}`;
}

/** Takes the page as the server has it now and goes on where the reader was, or with what came next. */
async function renew(onward = false) {
  const key = keyOf(chosen());
  const index = cards().indexOf(chosen());
  const later = onward ? cards().slice(index + 1).map(keyOf) : [];
  const said = main().querySelector(".spoken");
  // whoever looks at the last words sees those that come next
  const scroll = said.scrollTop + said.clientHeight >= said.scrollHeight - 4 ? said.scrollHeight * 2 : said.scrollTop;
  const next = await fresh();
  // what plays goes on playing
  for (const sound of all("audio")) next.querySelector(`audio[src="${CSS.escape(sound.getAttribute("src"))}"]`)?.replaceWith(sound);
  const open = [...main().querySelectorAll("details")].map((d) => d.open);
  main().replaceWith(next);
  main().querySelectorAll("details").forEach((d, i) => { if (open[i] !== undefined) d.open = open[i]; });
  main().querySelector(".spoken").scrollTop = scroll;
  for (const id of marks) if (!document.getElementById(`finding-${id}`)) marks.delete(id);
  for (const card of all(".card")) card.classList.toggle("marked", marks.has(card.dataset.id));
  filter(shownPlace && main().querySelector(`[data-place="${CSS.escape(shownPlace)}"]`) ? shownPlace : null);
  const has = (key) => cards().find((c) => keyOf(c) === key);
  choose(later.map(has).find(Boolean) ?? has(key) ?? cards()[Math.min(index, cards().length - 1)] ?? null, document.activeElement === document.body);
}

// ---- deciding -------------------------------------------------------------------------------------------------------------

let busy = false;

/** Sends an edit with the revision this page has seen. Gives why nothing was saved, or null; an open dialog keeps what was typed. */
async function decide(edit, onward = false) {
  if (busy) return "The decision before is still being saved.";
  busy = true;
  try {
    const { address, revision, reading } = main().dataset;
    const { status, body } = await send(`${address}/decide`, { revision: Number(revision), reading, edit });
    if (status === 409) await renew();
    if (status !== 200) return [body.said, ...(body.changed ?? [])].join(" ");
    tell(`Saved: ${body.said}.`, [], body.teach ? { "Teach the lexicon this word": () => askTeach(body.teach, () => renew()) } : {});
    await renew(onward);
    return null;
  } finally {
    busy = false;
  }
}

async function simply(edit, onward = false) {
  const refused = await decide(edit, onward);
  if (refused) tell(refused);
}

/** Where the words of a new finding are: as marked with the mouse; else in the chosen line, of which a card without a part is all. */
function heard() {
  const marked = selected();
  if (marked) return { ...marked, isSettled: true };
  const card = chosen();
  return { line: Number(card?.dataset.lines?.split(" ")[0]) || null, isSettled: Boolean(card?.dataset.loose) };
}

const actions = {
  accept: (card) => simply({ do: "accept", id: card.dataset.id }, true),
  correct: (card) => askFinding("Correct", content(card), null, (change, reason) => decide({ do: "correct", id: card.dataset.id, change, reason })),
  drop: (card) => askReason("Drop this finding", "Why? It stays in the log with this reason.", "", (reason) => decide({ do: "drop", id: card.dataset.id, reason })),
  pass: (card) => simply(card.dataset.id ? { do: "pass", id: card.dataset.id }
    : card.dataset.loose ? { do: "pass_words", line: Number(card.dataset.loose) } : { do: "pass_decision", line: Number(card.dataset.stale) }, true),
  split: (card) => simply({ do: "split", id: card.dataset.id }),
  mark: (card) => {
    const on = card.classList.toggle("marked");
    if (on) marks.add(card.dataset.id); else marks.delete(card.dataset.id);
    tell(on ? "Marked. Choose the one to keep and press m." : "No longer marked.");
    dress();
  },
  merge: async (card) => {
    const ids = [card.dataset.id, ...[...marks].filter((id) => id !== card.dataset.id)];
    const refused = await decide({ do: "merge", ids });
    if (refused) return tell(refused);
    marks.clear();
    for (const other of all(".card.marked")) other.classList.remove("marked");
    dress();
  },
  note: (card) => askReason("Note for the shop", "An empty note takes it away.", content(card).note ?? "", (text) => decide({ do: "note", id: card.dataset.id, text })),
  add: () => {
    if (!main().querySelector("li[data-line]")) return tell("There are no words to add a finding from.");
    askFinding("Add a finding", null, heard(), (change) => decide({ do: "add", words: [marked()], change }));
  },
  play: (card) => {
    const playing = all("audio").find((a) => !a.paused);
    if (playing) return playing.pause();
    const line = card?.dataset.lines?.split(" ")[0];
    const time = line && document.querySelector(`#line-${line} [data-ms]`);
    if (time) play(time);
  },
  undo: () => simply({ do: "undo" }),
  redo: () => simply({ do: "redo" }),
  all: () => filter(null),
  help: () => document.getElementById("help").showModal(),
};

function act(name) {
  const card = chosen();
  const button = document.querySelector(`#bar [data-do="${name}"]`);
  if (button?.disabled) return;
  actions[name]?.(card);
}

/** Plays from the time on a button, in the recording of its dictation. */
function play(time) {
  const sound = time.closest(".source").querySelector("audio");
  all("audio").forEach((a) => a.pause());
  sound.currentTime = Number(time.dataset.ms) / 1000;
  sound.play().catch(() => tell("The recording can't be played here."));
}

// ---- hands ----------------------------------------------------------------------------------------------------------------

document.addEventListener("click", (event) => {
  const target = event.target;
  const doing = target.closest("[data-do]");
  if (doing) return act(doing.dataset.do);
  const time = target.closest("[data-ms]");
  if (time) return play(time);
  const place = target.closest("[data-place]");
  if (place && main().contains(place)) return filter(shownPlace === place.dataset.place ? null : place.dataset.place);
  const mark = target.closest("mark");
  if (mark && getSelection().isCollapsed) {
    const id = mark.dataset.findings.split(" ").find((id) => document.getElementById(`finding-${id}`));
    return id && choose(document.getElementById(`finding-${id}`));
  }
  const card = target.closest(".card");
  if (card && !target.closest("a")) choose(card);
});

document.addEventListener("pointerover", (event) => {
  const mark = event.target.closest?.("mark");
  const card = event.target.closest?.(".card");
  const spot = event.target.closest?.("[data-finding]");
  unlight();
  if (mark) {
    const ids = mark.dataset.findings.split(" ");
    light(ids, [], true);
    for (const id of ids) document.getElementById(`finding-${id}`)?.classList.add("lit");
  } else if (card) {
    light([card.dataset.id], card.dataset.loose ? [card.dataset.loose] : [], true);
  } else if (spot) {
    for (const id of spot.dataset.finding.split(" ")) document.getElementById(`finding-${id}`)?.classList.add("lit");
  }
});

const keys = {
  j: () => step(1), ArrowDown: () => step(1), k: () => step(-1), ArrowUp: () => step(-1),
  a: () => act("accept"), c: () => act("correct"), d: () => act("drop"), p: () => act("pass"), s: () => act("split"),
  x: () => act("mark"), m: () => act("merge"), n: () => act("note"), w: () => act("add"), " ": () => act("play"),
  u: () => act("undo"), r: () => act("redo"), "?": () => act("help"), Escape: () => filter(null),
};

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || document.querySelector("dialog[open]")) return;
  const at = event.target instanceof Element ? event.target : document.body;
  if (at.matches("input, textarea, select")) return;
  // these have keys of their own
  if (at.matches("audio, summary") && [" ", "Enter", "ArrowUp", "ArrowDown"].includes(event.key)) return;
  if (at.matches("[data-place]") && ["Enter", " "].includes(event.key)) {
    event.preventDefault();
    return filter(shownPlace === at.dataset.place ? null : at.dataset.place);
  }
  if (event.key === " " && at.matches("[data-ms]")) {
    event.preventDefault();
    return at.closest(".source").querySelector("audio").paused ? play(at) : act("play");
  }
  if (event.key === " " && at.matches("button:not(.pick), a")) return;
  const run = keys[event.key];
  if (run) { event.preventDefault(); run(); }
});

watch(`${main().dataset.address}/changes`, () => main().dataset.state, async () => {
  if (busy || document.querySelector("dialog[open]")) return;
  const before = main().dataset.revision;
  await renew();
  if (main().dataset.revision !== before) tell("The list was changed elsewhere; it is shown as it is now.");
});

const asked = location.hash.startsWith("#finding-") && document.getElementById(location.hash.slice(1));
choose(asked || cards()[0] || null, false);
