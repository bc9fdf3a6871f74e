// WebVTT against webvtt-parser, the parser and validator that the editor of the standard keeps: the same cues with the same times and
// words, for made-up files that use all of the syntax, and for files with a fault in which the standard says what becomes of the cue.
//
//     node captions.mjs path/to/hoistnote path/to/webvtt-parser
import { spawnSync } from "node:child_process";
import { createRequire } from "node:module";
import { resolve } from "node:path";

const [program, folder] = process.argv.slice(2);
const { WebVTTParser } = createRequire(import.meta.url)(resolve(folder, "parser.js"));
const entities = createRequire(import.meta.url)(resolve(folder, "html-entities.json"));

let state = 14;
const below = (n) => {
  state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
  return Math.floor((state / 2 ** 32) * n);
};
const pick = (list) => list[below(list.length)];

const words = ["tire", "is", "bald", "left", "front", "größe", "½", "it's", "fine", "R&D", "12.4", "hose", "P0420", "so"];
const plain = () => Array.from({ length: 1 + below(6) }, () => pick(words)).join(" ").replace("&", "&amp;");
const marked = () => {
  switch (below(9)) {
    case 0: return `<b>${plain()}</b>`;
    case 1: return `<i.loud.clear>${plain()}</i>`;
    case 2: return `<c.yellow>${plain()}</c>`;
    case 3: return `<u>${plain()}</u> ${plain()}`;
    case 4: return `<lang en-GB>${plain()}</lang>`;
    case 5: return `${plain()} &lt;2 mm&gt; ${plain()}`;
    case 6: return `<b>${plain()} <i>${plain()}</i></b>`;
    case 7: return `${plain()}\n${plain()}`;
    default: return plain();
  }
};
const two = (n, width = 2) => String(n).padStart(width, "0");
const stamp = (ms) => {
  const [h, m, s] = [Math.floor(ms / 3600000), Math.floor(ms / 60000) % 60, Math.floor(ms / 1000) % 60];
  const short = h === 0 && below(2) ? "" : `${two(h)}:`;
  return `${short}${two(m)}:${two(s)}.${two(ms % 1000, 3)}`;
};
const settings = () => pick(["", "", " align:start", " position:10%,line-left size:35%", " line:0 vertical:rl"]);
const made = () => {
  let ms = below(5000);
  let cues = 0;
  const blocks = [];
  const end = pick(["\n", "\r\n", "\r"]);
  // as files have them: none, numbers, or names; a lone name among cues without any is kept as words, since it may be some
  const identifier = pick([() => "", (n) => `${n}\n`, (n) => `walk-${n}\n`]);
  for (let n = 1 + below(8); n > 0; n--) {
    if (below(6) === 0) blocks.push(pick(["NOTE nobody says this", "NOTE\nneither\nthis"]));
    const from = ms;
    ms += 300 + below(4_000_000);
    const arrow = pick([" --> ", "\t-->\t", "  -->  "]);
    cues += 1;
    blocks.push(`${identifier(cues)}${stamp(from)}${arrow}${stamp(ms - 100)}${settings()}\n${marked()}`);
  }
  const top = pick(["WEBVTT", "WEBVTT made up", "\ufeffWEBVTT", "WEBVTT\nKind: captions"]);
  const style = below(4) ? "" : "STYLE\n::cue { color: red }\n\n";
  return `${top}\n\n${style}${blocks.join("\n\n")}${pick(["", "\n", "\n\n\n"])}`.replaceAll("\n", end);
};

// the text of a cue: what is left when tags are taken away
const spoken = (nodes) => nodes.map((n) => (n.type === "text" ? n.value : spoken(n.children ?? []))).join("");
const tidy = (text) => text.replaceAll(/\s+/g, " ").trim();

const files = Array.from({ length: 400 }, made);
const records = files.map((text, id) => JSON.stringify({ id, text })).join("\n");
const done = spawnSync(program, ["find", "--records"], { input: records, encoding: "utf-8", maxBuffer: 1 << 28 });
if (done.status !== 0) throw new Error(done.stderr);
let cues = 0;
done.stdout.trim().split("\n").forEach((line, n) => {
  const ours = JSON.parse(line).utterances.map((u) => [u.start_ms, u.end_ms, tidy(u.text)]);
  const parsed = new WebVTTParser(entities).parse(files[n].replace(/^\ufeff/, ""));
  const theirs = parsed.cues.map((c) => [Math.round(c.startTime * 1000), Math.round(c.endTime * 1000), tidy(spoken(c.tree.children))]);
  if (JSON.stringify(ours) !== JSON.stringify(theirs)) {
    throw new Error(`read otherwise:\n${files[n]}\nours   ${JSON.stringify(ours)}\ntheirs ${JSON.stringify(theirs)}`);
  }
  cues += ours.length;
});
console.log(`webvtt-parser: ${cues} cues of ${files.length} files read alike`);
