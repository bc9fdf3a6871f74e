// What all pages share: asking the server, telling the reader, and taking over what changed.

const token = document.querySelector('meta[name="token"]').content;
const said = document.getElementById("said");

/** Tells in words what happened; `list` and `buttons` ({name: function}) are shown below. */
export function tell(text, list = [], buttons = {}) {
  said.replaceChildren(text);
  if (list.length) {
    const ul = document.createElement("ul");
    for (const item of list) ul.append(Object.assign(document.createElement("li"), { textContent: item }));
    said.append(ul);
  }
  for (const [name, run] of Object.entries(buttons)) {
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: name });
    button.addEventListener("click", () => { said.replaceChildren(); run(); });
    said.append(document.createElement("br"), button);
  }
  clearTimeout(tell.timer);
  if (!list.length && !Object.keys(buttons).length) tell.timer = setTimeout(() => said.replaceChildren(), 6000);
}

/** Sends a change. Gives {status, body}; a server that is gone gives status 0. */
export async function send(address, body) {
  try {
    const answer = await fetch(address, {
      method: "POST",
      headers: { "content-type": "application/json", "x-hoistnote-token": token },
      body: JSON.stringify(body),
    });
    const text = await answer.text();
    let parsed;
    try { parsed = JSON.parse(text); } catch { parsed = { said: text }; }
    return { status: answer.status, body: parsed };
  } catch {
    return { status: 0, body: { said: "Not saved: the desk does not answer. Is it still running?" } };
  }
}

/** The main part of this page as the server has it now. */
export async function fresh() {
  const answer = await fetch(location.pathname + location.search);
  if (!answer.ok) throw new Error(String(answer.status));
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  return document.importNode(page.getElementById("main"), true);
}

/** Calls `changed` when what stands at `address` is no longer what `known()` says. */
export function watch(address, known, changed) {
  const look = async () => {
    if (!document.hidden) {
      try {
        const answer = await fetch(address);
        if (answer.ok && (await answer.text()) !== known()) await changed();
      } catch { /* the desk may be closed; it is looked for again */ }
    }
    setTimeout(look, 2000);
  };
  setTimeout(look, 2000);
}
