// Pictures that wait on this phone: too large for the outbox's own place, they lie in IndexedDB under the identity of their entry.
(() => {
  "use strict";
  const NAME = "ingle.pictures", MOST = 60e6, YOUNG = 600000;  // bytes in all; ms before a picture without an entry is taken away
  const opened = () => new Promise((yes, no) => {
    const ask = window.indexedDB.open(NAME, 1);  // throws or fails where the browser keeps nothing
    ask.onupgradeneeded = () => ask.result.createObjectStore("waiting", { keyPath: "uid" });
    ask.onsuccess = () => yes(ask.result);
    ask.onerror = ask.onblocked = () => no(ask.error || new Error("blocked"));
  });
  const within = async (mode, work) => {  // answered when the transaction is on the disk, not before
    const db = await opened();
    try {
      return await new Promise((yes, no) => {
        const tx = db.transaction("waiting", mode, { durability: "strict" }), got = work(tx.objectStore("waiting"));
        tx.oncomplete = () => yes(got.result);
        tx.onerror = tx.onabort = () => no(tx.error || new Error("not kept"));
      });
    } finally { db.close(); }
  };
  const all = () => within("readonly", (s) => s.getAll());
  const shown = (bytes) => bytes >= 1e6 ? `${(bytes / 1e6).toFixed(1)} MB` : `${Math.max(1, Math.round(bytes / 1e3))} kB`;
  window.ingleKept = {
    shown,
    // the files of a form under its identity: their bytes, since a file that is moved or taken away can be read no more
    put: async (uid, files) => {
      const held = (await all()).filter((e) => e.uid !== uid).reduce((n, e) => n + e.bytes, 0), bytes = files.reduce((n, [, f]) => n + f.size, 0);
      if (held + bytes > MOST) throw new Error(`${shown(held)} of pictures wait on this phone already; ${shown(MOST)} is the most.`);
      const parts = [];
      for (const [field, file] of files) parts.push({ field, name: file.name, type: file.type, content: await file.arrayBuffer() });
      await within("readwrite", (s) => s.put({ uid, at: Date.now(), bytes, parts }));
    },
    get: async (uid) => { const e = await within("readonly", (s) => s.get(uid)); return e ? e.parts.map((p) => [p.field, new File([p.content], p.name, { type: p.type })]) : null; },
    drop: async (uid) => { try { await within("readwrite", (s) => s.delete(uid)); } catch { /* nothing is kept here */ } },
    sweep: async (known) => { try { for (const e of await all()) if (!known().includes(e.uid) && Date.now() - e.at > YOUNG) await within("readwrite", (s) => s.delete(e.uid)); } catch { /* nothing is kept here */ } },
  };
})();
