// The bench follows what is dragged: the slider writes its field, the answer alone is fetched. Without this the button does it.
(() => {
  "use strict";
  const form = document.getElementById("salt-form"), place = document.getElementById("salt-answer");
  if (!form || !place) return;
  let asked = 0, shown = 0, going = false, again = false;
  const fetchAnswer = async () => {
    if (going) { again = true; return; }
    going = true;
    const mine = ++asked, query = new URLSearchParams(new FormData(form)).toString();
    place.setAttribute("aria-busy", "true");
    try {
      const got = await fetch("/salt/answer?" + query, { headers: { accept: "text/html" } });
      const text = await got.text();
      if (mine > shown && (got.ok || got.status === 422)) {
        const open = [...place.querySelectorAll("details")].map((d) => d.open);
        place.innerHTML = text;  // our own server's partial, escaped there
        place.querySelectorAll("details").forEach((d, i) => { d.open = !!open[i]; });
        shown = mine;
        history.replaceState(null, "", "/salt?" + query);
      }
    } catch { /* the page keeps its last answer; the button still works */ }
    place.setAttribute("aria-busy", "false");
    going = false;
    if (again) { again = false; fetchAnswer(); }
  };
  form.addEventListener("input", (e) => {
    const of = e.target.dataset.for;
    if (of) document.getElementById(of).value = e.target.value;
    else { const bar = form.querySelector(`[data-for="${e.target.name}"]`); if (bar) bar.value = e.target.value.replace(",", "."); }
    if (of || e.target.tagName === "SELECT") fetchAnswer();
  });
  form.addEventListener("change", fetchAnswer);
})();
