// Keys without a round trip; the button says what it will store; wiping the glass shuts touch for ten seconds.
(() => {
  "use strict";
  const form = document.getElementById("pad");
  if (!form) return;
  const figure = form.elements.figure, record = document.getElementById("record"), beside = document.getElementById("beside");
  const unit = form.dataset.unit;
  let first = beside.innerHTML;
  document.addEventListener("ingle:next", () => { first = ""; });  // the next piece, without a network: what is expected of it is not known here
  // the same weight where the house writes it in another unit: 0.90 kg is read as 900 g
  const read = (v) => unit === "kg" && v < 1 ? ` (${Math.round(v * 1000)}\u00a0g)` : unit === "g" && v >= 1000 ? ` (${(v / 1000).toFixed(2)}\u00a0kg)` : unit === "lb" && v < 1 ? ` (${(v * 16).toFixed(1)}\u00a0oz)` : "";
  const show = () => {
    const v = parseFloat(figure.value.replace(",", ".")), low = parseFloat(form.dataset.low), high = parseFloat(form.dataset.high);
    record.textContent = v > 0 ? `Record ${figure.value.replace(",", ".")}\u00a0${unit}${read(v)}` : "Record the weight";
    if (!(v > 0) || !(low < high)) { beside.innerHTML = first; return; }
    const inside = v >= low && v <= high, mark = document.querySelector(`[data-mark="${inside ? "within" : "near"}"]`);
    beside.textContent = "";
    if (mark) beside.append(mark.content.cloneNode(true));
    const words = document.createElement("span");
    words.textContent = inside ? ` expected ${low.toPrecision(3)} to ${high.toPrecision(3)}\u00a0${unit}` : ` outside ${low.toPrecision(3)} to ${high.toPrecision(3)}\u00a0${unit}: weigh again, or record it as it is`;
    beside.append(words);
  };
  let last = -1e9, which = "";
  form.querySelectorAll(".key").forEach((key) => key.addEventListener("click", (e) => {
    e.preventDefault();
    if (key.value === which && e.timeStamp - last < 60) return;  // a drop's double touch
    last = e.timeStamp;
    which = key.value;
    const now = figure.value, k = key.value;
    if (k === "back") figure.value = now.slice(0, -1);
    else if (k === ".") { if (!now.includes(".") && now.length < 8) figure.value = (now || "0") + "."; }
    else if (now.length < 8) figure.value = now === "0" ? k : now + k;
    show();
  }));
  figure.addEventListener("input", show);
  show();
  const wipe = document.querySelector("[data-wipe]");
  if (wipe) {
    wipe.hidden = false;
    wipe.addEventListener("click", () => {
      const words = wipe.textContent;
      let left = 10;
      form.inert = true;
      document.body.classList.add("wiping");
      wipe.textContent = `Wipe: ${left}`;
      const tick = setInterval(() => {
        left -= 1;
        wipe.textContent = `Wipe: ${left}`;
        if (left <= 0) { clearInterval(tick); form.inert = false; document.body.classList.remove("wiping"); wipe.textContent = words; }
      }, 1000);
    });
  }
})();
