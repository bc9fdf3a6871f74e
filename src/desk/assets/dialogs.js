// The dialogs: filled from a finding, read into the change that is asked for. A refusal is shown in the dialog, which stays open.

import { send, tell } from "./common.js";
import * as words from "./words.js";

const $ = (id) => document.getElementById(id);

/** Opens a dialog; `save` runs on its way out and gives a refusal or null. */
function open(dialog, save) {
  const form = dialog.querySelector("form");
  const problem = dialog.querySelector(".problem");
  problem.textContent = "";
  form.onsubmit = async (event) => {
    event.preventDefault();
    const value = event.submitter?.value ?? "save";
    if (value === "cancel") return dialog.close();
    const refused = await save(value);
    if (refused) problem.textContent = refused;
    else if (refused === null) dialog.close();
  };
  dialog.showModal();
}

export function askReason(title, hint, text, save) {
  const dialog = $("reason-form");
  $("reason-title").textContent = title;
  dialog.querySelector("label span").textContent = hint;
  const area = dialog.querySelector("textarea");
  area.value = text;
  area.onkeydown = (event) => {
    if (event.key === "Enter" && !event.shiftKey) { event.preventDefault(); dialog.querySelector("form").requestSubmit(); }
  };
  open(dialog, () => save(area.value));
  area.focus();
}

/** `data` is what a card holds, or null for a new finding, which rests on words of the dictation: `at` is where they are looked for. */
export function askFinding(title, data, at, save) {
  const dialog = $("finding-form");
  const form = dialog.querySelector("form");
  const c = data?.content ?? { part: { name: "" }, place: [], verdict: "defect", conditions: [], urgency: null, actions: [], measurements: [] };
  form.reset();
  $("finding-title").textContent = title;
  if (data) words.hide(); else words.offer(at.line, at.start, at.end);
  form.part.value = c.part.name;
  const check = (name, values) => form.querySelectorAll(`[name="${name}"]`).forEach((box) => { box.checked = values.includes(box.value); });
  check("place", c.place);
  check("verdict", [c.verdict]);
  check("urgency", [c.urgency ?? "none"]);
  check("action", c.actions);
  const rows = (selector, count, fill) => {
    const list = form.querySelectorAll(selector);
    for (let i = list.length; i < count; i++) list[0].parentElement.append(list[0].cloneNode(true));
    form.querySelectorAll(selector).forEach(fill);
  };
  rows("#conditions .row", c.conditions.length, (row, i) => {
    row.querySelector('[name="condition"]').value = c.conditions[i]?.id ?? "";
    row.querySelector('[name="degree"]').value = c.conditions[i]?.degree ?? "";
  });
  rows(".row:has([name=value])", c.measurements.length, (row, i) => {
    row.querySelector('[name="value"]').value = c.measurements[i]?.value ?? "";
    row.querySelector('[name="unit"]').value = c.measurements[i]?.unit ?? "mm";
  });
  form.wording.value = data?.wording ?? "";
  const lift = () => { $("lift").hidden = !(c.urgency === "stop" && form.urgency.value !== "stop"); };
  form.onchange = lift;
  lift();
  open(dialog, () => {
    const now = read(form);
    if (now === null) return "A figure is no number.";
    return save(data ? difference(now, c, data.wording ?? "") : now, form.reason.value);
  });
  if (data || at.isSettled) form.part.select(); else words.focus();
}

function read(form) {
  const checked = (name) => [...form.querySelectorAll(`[name="${name}"]:checked`)].map((box) => box.value);
  const pairs = (first, second) => [...form.querySelectorAll(`[name="${first}"]`)].map((e) => [e.value.trim(), e.parentElement.querySelector(`[name="${second}"]`).value]).filter(([v]) => v);
  const measurements = pairs("value", "unit").map(([value, unit]) => ({ value: Number(value.replace(",", ".")), unit }));
  if (measurements.some((m) => !Number.isFinite(m.value))) return null;
  const urgency = checked("urgency")[0] ?? "none";
  return {
    part: form.part.value, place: checked("place"), verdict: checked("verdict")[0] ?? "defect",
    conditions: pairs("condition", "degree").map(([id, degree]) => ({ id, degree: degree || null })),
    urgency: urgency === "none" ? null : urgency, actions: checked("action"), measurements, wording: form.wording.value,
  };
}

/** Only what was changed. Places and actions are sets. */
function difference(now, was, wording) {
  const before = { ...was, part: was.part.name, wording };
  const plain = (v, key) => JSON.stringify(["place", "actions"].includes(key) ? [...v].sort() : v);
  return Object.fromEntries(Object.entries(now).filter(([key, v]) => plain(v, key) !== plain(before[key], key)));
}

/** Shows what would be written to the shop's lexicon and what it would change; writes only when told to. */
export function askTeach(teach, after) {
  const dialog = $("teach-form");
  const form = dialog.querySelector("form");
  form.words.value = teach.words;
  dialog.querySelector("strong").textContent = teach.part.replaceAll("-", " ");
  const look = async (write) => {
    const { status, body } = await send("/teach", { words: form.words.value, part: teach.part, write });
    if (status !== 200) return body.said;
    $("teach-file").textContent = body.file;
    $("teach-text").textContent = body.text;
    $("teach-effect").replaceChildren(...body.effect.map((text) => Object.assign(document.createElement("li"), { textContent: text })));
    return undefined;
  };
  open(dialog, async (value) => {
    const refused = await look(value === "write");
    if (refused || value !== "write") return refused;
    tell("Written. The inspections are read with it from now on.");
    await after();
    return null;
  });
  look(false).then((refused) => { if (refused) dialog.querySelector(".problem").textContent = refused; });
}

// completions from the lexicon
const part = document.querySelector('#finding-form [name="part"]');
part.addEventListener("input", async () => {
  const typed = part.value;
  const names = await (await fetch(`/parts?q=${encodeURIComponent(typed)}`)).json();
  if (part.value === typed) $("parts").replaceChildren(...names.map((name) => Object.assign(document.createElement("option"), { value: name })));
});
