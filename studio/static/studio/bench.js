// What is still missing falls as the net weight is typed. Without script the first figure stays.
(() => {
  const still = document.querySelector("[data-still]");
  const net = document.querySelector("input[name=net_g]");
  if (!still || !net) return;
  const number = still.querySelector("[data-number]");
  const missing = Number(still.dataset.missing);
  const first = number.textContent;
  net.addEventListener("input", () => {
    const text = net.value.replace(/[\s\u2009\u202f\u00a0]/g, "").replace(",", ".");
    const typed = /^\d+(\.\d+)?$/.test(text) ? Number(text) : NaN;
    if (Number.isNaN(typed)) { number.textContent = first; return; }
    const left = Math.round((missing - typed) * 10) / 10;
    number.textContent = (left < 0 ? "\u2212" : "") + String(Math.abs(left));
  });
})();
