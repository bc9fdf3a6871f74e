// The estimate: what the customer says to a line is saved, and the page shows what is left.

import { fresh, send, tell, watch } from "./common.js";

const main = () => document.getElementById("main");
let busy = false;

/** Takes the page as the server has it now; what was being typed into a line that is still there stays, and so does the focus. */
async function renew() {
  const typed = [...main().querySelectorAll("[data-findings]")].map((l) => [l.dataset.findings, l.querySelector("input").value]);
  const at = document.activeElement?.closest("[data-findings]")?.dataset.findings;
  const answer = document.activeElement?.dataset.answer;
  main().replaceWith(await fresh());
  const line = (findings) => main().querySelector(`[data-findings="${CSS.escape(findings)}"]`);
  for (const [findings, value] of typed) if (value && line(findings)) line(findings).querySelector("input").value = value;
  if (at) line(at)?.querySelector(answer ? `[data-answer="${answer}"]` : "input").focus({ preventScroll: true });
}

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-answer]");
  if (!button || busy) return;
  busy = true;
  try {
    const line = button.closest("[data-findings]");
    const input = line.querySelector("input");
    const { answer } = button.dataset;
    const { address, revision, reading } = main().dataset;
    const { status, body } = await send(`${address}/answer`, {
      revision: Number(revision), reading, findings: line.dataset.findings.split(" "), answer,
      horizon: answer === "approve" ? "" : input.value,
    });
    if (status === 200) input.value = "";
    tell(status === 200 ? `Saved: ${body.said}.` : body.said, body.changed);
    if (status === 200 || status === 409) await renew();
  } finally {
    busy = false;
  }
});

watch(`${main().dataset.address}/changes`, () => main().dataset.state, async () => {
  if (busy) return;
  const before = main().dataset.revision;
  await renew();
  if (main().dataset.revision !== before) tell("Something was decided elsewhere; the estimate is shown as it is now.");
});
