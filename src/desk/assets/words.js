// The words that a new finding rests on: marked in the dictation with the mouse, or in the dialog by key or finger.

const field = document.getElementById("marked-words");
const said = (line) => document.querySelector(`#line-${line} .said`);
const lines = () => [...document.querySelectorAll("li[data-line]")].map((li) => Number(li.dataset.line));

/** What is marked in the dictation with the mouse, as {line, start, end} in letters of the line; null if nothing is. */
export function selected() {
  const selection = getSelection();
  if (!selection.rangeCount || selection.isCollapsed) return null;
  const range = selection.getRangeAt(0);
  const li = range.startContainer.parentElement?.closest("li[data-line]");
  const box = li?.querySelector(".said");
  if (!box?.contains(range.startContainer) || !box.contains(range.endContainer)) return null;
  const before = document.createRange();
  before.selectNodeContents(box);
  before.setEnd(range.startContainer, range.startOffset);
  const start = before.toString().length;
  const text = range.toString();
  return text.trim() ? { line: Number(li.dataset.line), start, end: start + text.length } : null;
}

let line = 0;
let words = [];
// first and last marked word; null for the whole line
let from = null;
let to = null;

/** Shows a line with what is marked of it. */
function show(at, start = null, end = null) {
  line = at;
  words = [...said(line).textContent.matchAll(/\S+/g)].map((m) => ({ text: m[0], start: m.index, end: m.index + m[0].length }));
  const inside = start === null ? [] : [...words.keys()].filter((i) => words[i].end > start && words[i].start < end);
  [from, to] = inside.length ? [inside[0], inside.at(-1)] : [null, null];
  const button = (word, i) => Object.assign(document.createElement("button"), { type: "button", textContent: word.text, tabIndex: i ? -1 : 0 });
  field.querySelector(".words").replaceChildren(...words.map(button));
  const time = document.querySelector(`#line-${line} .at`).textContent;
  field.querySelector("#marked-line").textContent = time === String(line) ? `line ${line}` : time;
  const all = lines();
  field.querySelector('[data-step="-1"]').disabled = line === all[0];
  field.querySelector('[data-step="1"]').disabled = line === all.at(-1);
  dress();
}

function dress() {
  const is = (i) => from !== null && i >= Math.min(from, to) && i <= Math.max(from, to);
  [...field.querySelectorAll(".words button")].forEach((b, i) => b.setAttribute("aria-pressed", String(is(i))));
  field.querySelector("q").textContent = marked().words || said(line).textContent;
}

/** What is marked, as the server takes it: words without the marks around them; none for the whole line. */
export function marked() {
  if (from === null) return { line, words: "" };
  const [first, last] = [words[Math.min(from, to)], words[Math.max(from, to)]];
  const text = said(line).textContent.slice(first.start, last.end);
  return { line, words: text.replace(/^[^\p{L}\p{N}]+(?=.)|(?<=.)[^\p{L}\p{N}%"]+$/gu, "") };
}

/** Opens the field on a line; `start` and `end` are what was marked with the mouse. */
export function offer(at, start, end) {
  field.hidden = false;
  show(at ?? lines()[0], start, end);
}

export function hide() { field.hidden = true; }

/** Puts the keyboard on the words. */
export function focus() { field.querySelector(".words button")?.focus(); }

function step(by) {
  const all = lines();
  const next = all[all.indexOf(line) + by];
  if (next) show(next);
}

field.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (button?.dataset.step) return step(Number(button.dataset.step));
  const i = [...field.querySelectorAll(".words button")].indexOf(button);
  if (i < 0) return;
  // the first press marks a word, the second all from there, the third begins anew
  if (from !== null && from === to && i !== from) to = i; else [from, to] = [i, i];
  dress();
});

field.addEventListener("keydown", (event) => {
  const all = [...field.querySelectorAll(".words button")];
  const i = all.indexOf(event.target);
  if (i < 0) return;
  const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  const up = { ArrowUp: -1, ArrowDown: 1 }[event.key];
  if (by === undefined && up === undefined) return;
  event.preventDefault();
  if (up !== undefined) { step(up); return focus(); }
  const next = Math.min(Math.max(i + by, 0), all.length - 1);
  if (event.shiftKey) {
    if (from === null) from = i;
    to = next;
    dress();
  }
  all.forEach((b, n) => { b.tabIndex = n === next ? 0 : -1; });
  all[next].focus();
});
