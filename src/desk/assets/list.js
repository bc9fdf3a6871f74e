// The list of inspections follows its folder; the page for handing over takes one decision.

import { fresh, send, tell, watch } from "./common.js";

const main = () => document.getElementById("main");

if (main().dataset.version) {
  watch("/changes", () => main().dataset.version, async () => {
    const focused = document.activeElement?.getAttribute("href");
    main().replaceWith(await fresh());
    if (focused) main().querySelector(`a[href="${CSS.escape(focused)}"]`)?.focus();
  });
}

document.addEventListener("click", async (event) => {
  if (event.target.closest("[data-do]")?.dataset.do !== "hand-over") return;
  const { address, revision, reading } = main().dataset;
  const { status, body } = await send(`${address}/decide`, { revision: Number(revision), reading, edit: { do: "hand_over" } });
  if (status !== 200) tell(body.said, body.changed);
  main().replaceWith(await fresh());
});
