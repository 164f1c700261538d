// What a script adds; nothing here is needed. Focus on errors, one press is one press, the screen stays awake at the bench.
(() => {
  "use strict";
  const focus = document.querySelector("[data-focus]");
  if (focus) focus.focus();

  // a second press within 400 ms, or while the first is on its way, does nothing
  let last = -1e9;
  document.addEventListener("submit", (e) => {
    const now = e.timeStamp;
    if (now - last < 400) { e.preventDefault(); return; }
    last = now;
  }, true);

  // keys: never in a field, never with a modifier, off where the cook switched them off
  const go = { n: "/", m: "/meal", s: "/salt", b: "/book", d: "/drawer" };
  document.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey || localStorage.getItem("ingle.keys") === "off") return;
    const t = e.target;
    if (t.closest("input,select,textarea,[contenteditable]")) return;
    if (go[e.key]) { e.preventDefault(); location.href = go[e.key]; }
    if (e.key === "/") { const f = document.querySelector("#find"); if (f) { e.preventDefault(); f.focus(); } }
    if (e.key === "u") { const u = document.querySelector("[data-undo]"); if (u) { e.preventDefault(); u.focus(); } }
  });

  // what belongs to a field opens once something stands in it
  document.querySelectorAll("details[data-opens]").forEach((d) => {
    const f = document.getElementById(d.dataset.opens);
    if (f) f.addEventListener("input", () => { if (f.value.trim()) d.open = true; });
  });

  // the screen stays awake where the browser allows it (https, or this machine itself)
  const bench = document.querySelector("[data-awake]");
  if (bench) {
    const say = document.querySelector("[data-awake-say]");
    const hold = () => {
      if (!("wakeLock" in navigator)) { if (say) say.textContent = "This browser lets the screen sleep: set it longer in the phone."; return; }
      navigator.wakeLock.request("screen").then(() => { if (say) say.textContent = "The screen stays awake here."; },
        () => { if (say) say.textContent = "The screen may sleep: the phone saves power."; });
    };
    hold();
    document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") hold(); });
  }
})();
