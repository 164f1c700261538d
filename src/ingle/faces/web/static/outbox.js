// The outbox: what is recorded is kept on this phone first, then sent; it leaves the phone when the server has said it is in the book.
// Every entry carries the identity its form was made with, so that sent twice it is written once. Without scripts the forms post as ever.
(() => {
  "use strict";
  const KEY = "ingle.out.", WAIT = 8000, WAIT_PICTURE = 60000, AGAIN = 5000;
  const TAKES = /^\/(step|book\/[^/]+\/(weigh|read|dose))$/;
  let store;
  try { store = window.localStorage; store.setItem("ingle.try", "1"); store.removeItem("ingle.try"); } catch { return; }  // nowhere to keep: the forms post as ever

  const uuid = () => {  // crypto.randomUUID needs https; a phone in the kitchen has none
    const b = crypto.getRandomValues(new Uint8Array(16));
    b[6] = (b[6] & 15) | 64; b[8] = (b[8] & 63) | 128;
    const h = [...b].map((x) => x.toString(16).padStart(2, "0")).join("");
    return `${h.slice(0, 8)}-${h.slice(8, 12)}-${h.slice(12, 16)}-${h.slice(16, 20)}-${h.slice(20)}`;
  };
  const entries = () => Object.keys(store).filter((k) => k.startsWith(KEY)).map((k) => { try { return JSON.parse(store.getItem(k)); } catch { return null; } })
    .filter(Boolean).sort((a, b) => a.n - b.n);
  const demo = !!document.querySelector("aside.demo");  // what was recorded in one book is never sent to the other
  const put = (e) => store.setItem(KEY + e.uid, JSON.stringify(e));
  const pictures = window.ingleKept;
  const drop = (e) => { store.removeItem(KEY + e.uid); if (e.pictures) pictures.drop(e.uid); };

  // -- the line that says where things are
  const bar = document.createElement("div");
  bar.className = "outbox"; bar.hidden = true; bar.setAttribute("role", "status");
  document.querySelector("main").after(bar);
  const clock = () => new Date().toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const line = (text) => { const p = document.createElement("p"); p.textContent = text; return p; };
  let said = "", trouble = "", last = "", signed = true;
  const tell = (sent = 0) => {
    const left = entries(), waits = left.filter((e) => !e.refused), refused = left.filter((e) => e.refused);
    if (sent && !waits.length) said = `In the book, ${clock()}${sent > 1 ? `: ${sent} of them` : ""}`;
    if (waits.length) said = "";
    bar.textContent = "";
    if (waits.length) bar.append(line(`Kept on this phone, ${waits.length} waiting: ${waits.map((e) => e.what).slice(-3).join("; ")}`));
    if (waits.length && !signed) {
      const p = line("You are signed out. "), a = document.createElement("a");
      a.href = `/sign-in?to=${encodeURIComponent(location.pathname + location.search)}`; a.textContent = "Sign in, and it is sent.";
      p.append(a); bar.append(p);
    }
    for (const e of refused) {
      const p = line(`Not in the book: ${e.what}. ${e.refused} `), b = document.createElement("button");
      b.type = "button"; b.className = "btn small"; b.textContent = "Put away";
      b.addEventListener("click", () => { drop(e); tell(); });
      p.append(b); bar.append(p);
    }
    if (waits.length && last) bar.append(line(last));
    if (trouble) bar.append(line(trouble));
    if (said && !waits.length) bar.append(line(said));
    bar.hidden = !bar.childNodes.length;
    bar.dataset.waiting = waits.length;
  };

  // -- sending one: "in" | "waits" | the answer that refuses it
  const send = async (e, files = null) => {
    const stop = new AbortController(), late = setTimeout(() => stop.abort(), e.pictures ? WAIT_PICTURE : WAIT);
    try {
      const body = await content(e, files);
      if (!body) return { state: "refused", why: "Its picture is no longer on this phone: the browser took it away. Take it again." };
      const got = await fetch(e.path, { method: "POST", body, headers: { accept: "text/html" }, signal: stop.signal });
      const text = await got.text();
      const where = new URL(got.url);
      signed = got.status !== 401 && where.pathname !== "/sign-in";
      if (!signed) return { state: "waits" };
      if (got.ok) return { state: "in", to: where.pathname + where.search };
      const renewed = got.status === 403 && await renew(e);
      if (renewed === "another book") return { state: "refused", why: "This browser is in another book now. Nothing was stored; load the page anew." };
      if (renewed) return { state: "renewed" };
      if (got.status >= 500 || got.status === 429 || got.status === 403) return { state: "waits" };
      const page = new DOMParser().parseFromString(text, "text/html"), first = page.querySelector(".summary li, .summary .act, .ask .act, .alert .act");
      return { state: "refused", why: first ? first.textContent.trim() : `The answer was ${got.status}.` };
    } catch { return { state: "waits" }; } finally { clearTimeout(late); }
  };
  const content = async (e, given) => {  // fields alone, or with the pictures that lie beside them
    const fields = [...e.fields, ["sent_at", new Date().toISOString()]];  // by the clock it was pressed by: a wrong one does no harm
    if (!e.pictures) return new URLSearchParams(fields);
    const files = given || await pictures.get(e.uid), body = new FormData();
    if (!files) return null;
    for (const [k, v] of fields) body.append(k, v);
    for (const [k, f] of files) body.append(k, f, f.name);
    return body;
  };
  const renew = async (e) => {  // signed in anew: the form's old token fits no more
    if (e.renewed) return false;
    try {
      const page = new DOMParser().parseFromString(await (await fetch("/drawer")).text(), "text/html"), token = page.querySelector("input[name=csrf]");
      if (!token) return false;
      if (!!page.querySelector("aside.demo") !== e.demo) return "another book";
      e.fields = e.fields.map(([k, v]) => [k, k === "csrf" ? token.value : v]); e.renewed = true; put(e);
      return true;
    } catch { return false; }
  };

  let busy = false;
  const flush = async () => {
    if (busy || !entries().some((e) => !e.refused && e.demo === demo)) return tell();
    busy = true;
    const work = async () => {
      let sent = 0, to = "";
      for (const e of entries()) {
        if (e.refused || e.demo !== demo) continue;
        let told = await send(e);
        if (told.state === "renewed") told = await send(e);
        if (told.state === "in") { drop(e); sent += 1; to = told.to; }
        else if (told.state === "refused") { e.refused = told.why; put(e); }
        else break;  // in their order: what waits holds the rest
      }
      tell(sent);
      if (to && document.querySelector("button[data-kept]")) location.href = to;  // what stands on this page is done: on to the next
    };
    try { await (navigator.locks ? navigator.locks.request("ingle.outbox", work) : work()); } finally { busy = false; }
  };

  // -- a form is sent: kept first
  document.addEventListener("submit", async (event) => {
    const form = event.target, by = event.submitter;
    if (event.defaultPrevented || form.method !== "post" || !TAKES.test(new URL(form.action).pathname) || !form.elements.uid || (by && by.name === "key")) return;
    const files = [...form.querySelectorAll("input[type=file]")].flatMap((i) => [...i.files].map((f) => [i.name, f, +i.dataset.most || Infinity]));
    const fields = [...new FormData(form)].filter(([, v]) => typeof v === "string");
    if (by && by.name) fields.push([by.name, by.value]);
    fields.push(["kept_at", new Date().toISOString()]);
    const entry = { uid: form.elements.uid.value, n: Date.now(), path: new URL(form.action).pathname, fields, demo, what: what(form, by), refused: "" };
    trouble = "";
    if (files.length) {
      event.preventDefault();
      if (!await keepPictures(form, entry, files)) return;
    } else {
      try { put(entry); } catch { return; }  // full: it posts as ever
      event.preventDefault();
    }
    if (entries().some((e) => e.uid !== entry.uid && !e.refused && e.demo === demo)) { tell(); await flush(); if (store.getItem(KEY + entry.uid) === null) { location.href = form.id === "pad" ? location.href : `/book`; } else kept(form); return; }
    let told = await send(entry);
    if (told.state === "renewed") told = await send(entry);
    if (told.state === "in") { drop(entry); location.href = told.to; return; }
    if (told.state === "refused") { drop(entry); resend(form, by); return; }  // the page itself says what is wrong, nothing retyped
    kept(form);
  });
  // the picture first, then its entry: an entry whose picture is not on the disk is never there
  let keeping = false;
  const keepPictures = async (form, entry, files) => {
    if (keeping) return false;  // a second press while the first is being kept
    keeping = true;
    const large = files.find(([, f, most]) => f.size > most), bytes = files.reduce((n, [, f]) => n + f.size, 0);
    entry.pictures = files.length;
    entry.what += ` with ${files.length === 1 ? "a picture" : `${files.length} pictures`} (${pictures.shown(bytes)})`;
    try {
      if (large) throw new Error(`${large[1].name} has ${pictures.shown(large[1].size)}; ${pictures.shown(large[2])} is the most. Take it smaller.`);
      await pictures.put(entry.uid, files);
      put(entry);
      return true;
    } catch (why) {
      pictures.drop(entry.uid);
      const told = large ? { state: "waits" } : await send(entry, files);  // nowhere to keep it: sent from here, or left as it stands
      if (told.state === "in") { location.href = told.to; return false; }
      if (told.state === "refused") { resend(form, null); return false; }
      const reason = large || /wait on this phone/.test(why.message) ? why.message : "This browser keeps no picture here, and there is no network.";
      trouble = `Not kept, not sent. ${reason} All that was typed still stands in the form.`;
      tell();
      return false;
    } finally { keeping = false; }
  };
  const resend = (form, by) => {  // as it was sent, with the button that was pressed
    if (by && by.name) { const held = document.createElement("input"); held.type = "hidden"; held.name = by.name; held.value = by.value; form.append(held); }
    form.submit();
  };
  const what = (form, by) => {
    const f = form.elements;
    if (form.id === "pad") return `${(document.querySelector(".verb") || form).textContent.replace(/^Weigh |\.$/g, "")} ${f.figure.value}\u00a0${form.dataset.unit || ""}`;
    if (f.verb) return `${by && by.value === "began" ? "begun" : "done"}: ${f.verb.value}`;
    const told = [...form.querySelectorAll("input:not([type=hidden]),textarea")].filter((x) => x.value && x.type !== "file").map((x) => `${x.name.replace("_", " ")} ${x.value}`);
    return told.slice(0, 3).join(", ") || "an entry";
  };
  const kept = (form) => {
    const all = document.querySelectorAll("template[data-piece]");
    last = form.id === "pad" && all.length > 1 && all[all.length - 1].dataset.piece === form.elements.piece.value ? `That was the last of ${all.length} pieces.` : "";
    tell();
    form.elements.uid.value = uuid();
    if (form.elements.step) {  // one press is enough, and it shows
      form.querySelectorAll("button").forEach((b, i) => { b.disabled = true; b.dataset.kept = ""; if (!i) b.textContent = "Kept here"; });
      return;
    }
    if (form.id !== "pad") { form.querySelectorAll("input:not([type=hidden]):not([type=radio]):not([type=checkbox]),textarea").forEach((x) => { x.value = ""; }); return; }
    const pieces = [...document.querySelectorAll("template[data-piece]")], at = pieces.findIndex((p) => p.dataset.piece === form.elements.piece.value), next = pieces[at + 1];
    if (next) {
      form.elements.piece.value = next.dataset.piece;
      document.querySelector(".verb").textContent = `Weigh ${next.content.textContent}.`;
      form.querySelector("label[for=figure]").textContent = `${next.content.textContent}, ${form.dataset.unit}`;
      const place = document.querySelector("[data-place]");
      if (place) place.textContent = at + 2;
      form.dataset.low = form.dataset.high = "";
      document.dispatchEvent(new Event("ingle:next"));
    }
    form.elements.figure.value = "";
    form.elements.figure.dispatchEvent(new Event("input", { bubbles: true }));
  };

  tell(); flush();
  pictures.sweep(() => entries().map((e) => e.uid));
  setInterval(flush, AGAIN);
  addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") flush(); });
})();
