// Records, takes notes and photos. Whatever is made is first kept in this browser, then sent, and forgotten here only once the server
// says that it is on its disk: a lost connection or a closed tab loses nothing but the last second of sound.

import { tell } from "./common.js";

const token = document.querySelector('meta[name="token"]').content;
const address = `/inspection/${document.getElementById("main").dataset.name}`;
const $ = (id) => document.getElementById(id);
/** Sound is taken up in pieces of this many milliseconds. */
const PIECE = 1000;
/** A server that does not answer is tried again after so many milliseconds. */
const AGAIN = 1500;

// ---- what waits to be sent ------------------------------------------------------------------------------------------------

const store = await new Promise((done, failed) => {
  const open = indexedDB.open("hoistnote-capture", 1);
  open.onupgradeneeded = () => open.result.createObjectStore("waiting", { autoIncrement: true });
  open.onsuccess = () => done(open.result);
  open.onerror = () => failed(open.error);
});

/** Runs one step on what waits; done once it is on this machine's disk. */
const step = (mode, work) => new Promise((done, failed) => {
  const change = store.transaction("waiting", mode, { durability: "strict" });
  const asked = work(change.objectStore("waiting"));
  change.oncomplete = () => done(asked.result);
  change.onerror = () => failed(change.error);
});

/** The first that waits, of any inspection: {key, value}. */
const first = () => new Promise((done, failed) => {
  const asked = store.transaction("waiting").objectStore("waiting").openCursor();
  asked.onsuccess = () => done(asked.result && { key: asked.result.key, value: asked.result.value });
  asked.onerror = () => failed(asked.error);
});

let sending = false;

/** Sends what waits, in its order, until nothing does. */
async function send() {
  if (sending) return;
  sending = true;
  for (let one = await first(); one; one = await first()) {
    const { to, body, label, ms } = one.value;
    let status = 0;
    let said = "";
    try {
      const answer = await fetch(to, { method: "POST", headers: { "x-hoistnote-token": token }, body });
      status = answer.status;
      said = await answer.text();
    } catch { /* no connection; it is tried again */ }
    if (status === 200) {
      if (ms) safeMs = Math.max(safeMs, ms);
      if (label) list(label);
      await step("readwrite", (s) => s.delete(one.key));
    } else if (status === 422) {
      tell(`Not kept: ${said.trim()}`);
      await step("readwrite", (s) => s.delete(one.key));
    } else {
      lost = status === 403 ? "the desk was opened anew; open its address again" : "no connection to the desk";
      await show();
      await new Promise((done) => setTimeout(done, AGAIN));
      continue;
    }
    lost = "";
    await show();
  }
  sending = false;
}

/** Keeps something here, and sees to it that it is sent. */
async function keep(path, body, label, ms) {
  await step("readwrite", (s) => s.add({ to: `${address}/${path}`, body, label, ms }));
  await show();
  send();
}

// ---- what is shown --------------------------------------------------------------------------------------------------------

let lost = "";
let safeMs = 0;
let madeMs = 0;
const time = (ms) => `${Math.floor(ms / 60000)}:${String(Math.floor(ms / 1000) % 60).padStart(2, "0")}`;

async function show() {
  const waiting = await step("readonly", (s) => s.count());
  const sound = madeMs ? `${time(safeMs)} of ${time(madeMs)} are safe on the desk's disk. ` : "";
  $("safe").textContent = waiting
    ? `${sound}${waiting} ${waiting === 1 ? "piece waits" : "pieces wait"} in this browser${lost ? `: ${lost}` : ""}. Nothing is lost if you close this page; open it again to send the rest.`
    : madeMs ? `${sound}${recorder?.state === "recording" ? "" : "All of it."}` : "Everything is safe on the desk's disk.";
  $("safe").dataset.waiting = waiting;
}

function list(label) {
  $("kept").append(Object.assign(document.createElement("li"), { textContent: label }));
}

// ---- recording ------------------------------------------------------------------------------------------------------------

let recorder = null;
let began = 0;
let stamp = "";
/** Pieces are kept one after the other. */
let line = Promise.resolve();

function now() {
  const d = new Date();
  const two = (n) => String(n).padStart(2, "0");
  return `${d.getFullYear()}${two(d.getMonth() + 1)}${two(d.getDate())}_${two(d.getHours())}${two(d.getMinutes())}${two(d.getSeconds())}`;
}

async function start() {
  if (!navigator.mediaDevices) return tell("This page may not use the microphone here: open the desk on this machine itself.");
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ audio: true });
  } catch (why) {
    return tell(`No microphone: ${why.message}. Allow it for this page, then try again.`);
  }
  const made = new MediaRecorder(stream, { mimeType: "audio/webm;codecs=opus", audioBitsPerSecond: 32000 });
  let at = 0;
  const name = now();
  made.addEventListener("dataavailable", (event) => {
    if (!event.data.size) return;
    const from = at;
    at += event.data.size;
    $("safe").dataset.bytes = at;
    madeMs = Math.round(performance.now() - began);
    const ms = madeMs;
    line = line.then(() => keep(`piece?recording=${name}&at=${from}`, event.data, "", ms));
  });
  made.addEventListener("stop", () => {
    stream.getTracks().forEach((t) => t.stop());
    $("record").textContent = "Record";
    $("record").setAttribute("aria-pressed", "false");
    line = line.then(() => list(`Recording ${name}, ${time(madeMs)}`)).then(() => keep(`end?recording=${name}`, "", "", 0));
  });
  began = performance.now();
  [safeMs, madeMs, stamp, recorder] = [0, 0, name, made];
  made.start(PIECE);
  $("record").textContent = "Stop";
  $("record").setAttribute("aria-pressed", "true");
}

$("record").addEventListener("click", () => { if (recorder?.state === "recording") recorder.stop(); else start(); });
setInterval(() => { if (recorder?.state === "recording") $("clock").textContent = time(performance.now() - began); }, 500);

// ---- notes and photos -----------------------------------------------------------------------------------------------------

$("note").addEventListener("submit", (event) => {
  event.preventDefault();
  const text = $("text").value.trim();
  if (!text) return;
  $("text").value = "";
  const runs = recorder?.state === "recording";
  const seconds = Math.floor((performance.now() - began) / 1000);
  keep(runs ? `note?stamp=${stamp}&seconds=${seconds}` : "note", text, `Note: ${text}`);
});

$("photo").addEventListener("change", async () => {
  for (const file of $("photo").files) await keep(`photo?stamp=${now()}`, file, `Photo ${file.name}`);
  $("photo").value = "";
});

await show();
send();
