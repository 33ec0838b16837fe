// Small helps; every page works without them.
"use strict";

// A refused form: the list of what to put right is read first.
document.querySelector("[data-first]")?.focus();

// One press, one act. The form's key makes a second press harmless; this spares the doubt.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.getAttribute("method")?.toLowerCase() !== "post" || form.hasAttribute("hx-post")) return;
  if (form.hasAttribute("data-sent")) return event.preventDefault();
  form.setAttribute("data-sent", "");
  setTimeout(() => form.removeAttribute("data-sent"), 3000);
});
// Coming back with the browser's own button, the form may be sent again.
addEventListener("pageshow", () => {
  for (const form of document.forms) form.removeAttribute("data-sent");
});

// An answer that has run out is never left standing as if it still held.
function lookAtClock() {
  for (const answer of document.querySelectorAll("[data-until]")) {
    const past = Date.parse(answer.dataset.until) <= Date.now();
    answer.classList.toggle("over", past);
    answer.querySelector("[data-past]").hidden = !past;
    for (const holds of answer.querySelectorAll("[data-holds]")) holds.hidden = past;
  }
}
lookAtClock();
setInterval(lookAtClock, 20000);
document.addEventListener("visibilitychange", lookAtClock);
