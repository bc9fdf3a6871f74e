// Names a new inspection by day and by what was typed, and goes to the page that records it.

document.getElementById("begin").addEventListener("submit", (event) => {
  event.preventDefault();
  const now = new Date();
  const two = (n) => String(n).padStart(2, "0");
  const day = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  const named = document.getElementById("name").value.replace(/[\p{Cc}/\\:*?"<>|]+/gu, " ").replace(/\s+/g, " ").trim().replace(/[. ]+$/, "");
  if (named) location.assign(`/inspection/${encodeURIComponent(`${day} ${named}`)}/capture`);
});
