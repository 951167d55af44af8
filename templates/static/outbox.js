// The outbox: a line that was kept leaves the page only when the log says that it is
// saved. Until then it lies in the browser's own store, under an id made here, and is
// posted again and again; the id makes sure that it becomes one entry.
'use strict';
const outbox = (() => {
  const home = `tankside.out.${document.documentElement.dataset.incident}.`;
  const soon = 300; // ms after which a line that is not saved yet is shown
  const retry = 1000; // ms between two tries
  const posting = new Set();
  const refused = new Map(); // id → why it will never be taken as it is
  let unreachable = false;
  let last = 0; // when the last line was kept: no two have the same time, so their order is sure

  // A ULID: 48 bits of the clock and 80 of chance, in 26 letters and digits.
  function newID(now) {
    const letters = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
    let id = '';
    for (let t = now, i = 0; i < 10; i++, t = Math.floor(t / 32)) id = letters[t % 32] + id;
    for (const b of crypto.getRandomValues(new Uint8Array(16))) id += letters[b % 32];
    return id;
  }

  function waiting() {
    const items = [];
    for (let i = 0; i < localStorage.length; i++) {
      const key = localStorage.key(i);
      if (!key.startsWith(home)) continue;
      try {
        items.push(JSON.parse(localStorage.getItem(key)));
      } catch { /* another page is taking it away */ }
    }
    return items.filter(Boolean).sort((a, b) => a.at - b.at || (a.id < b.id ? -1 : 1));
  }

  // elsewhere counts the lines that wait in this browser for other incidents.
  function elsewhere() {
    const counts = {};
    for (const key of Object.keys(localStorage)) {
      const other = /^tankside\.out\.(.*)\.[0-9A-Z]{26}$/s.exec(key)?.[1];
      if (other !== undefined && !key.startsWith(home)) counts[other] = (counts[other] || 0) + 1;
    }
    return Object.entries(counts);
  }

  function drop(id) {
    localStorage.removeItem(home + id);
    refused.delete(id);
  }

  function show() {
    const list = document.getElementById('outbox');
    const now = Date.now();
    const items = waiting().filter((it) => refused.has(it.id) || now - it.at > soon);
    const rows = items.map((it) => {
      const li = document.createElement('li');
      const why = refused.get(it.id);
      li.append(Object.assign(document.createElement('b'), { textContent: why ? 'NOT TAKEN' : unreachable ? 'waiting for the server' : 'NOT SAVED yet' }), ' ', it.line, ' ');
      if (why) {
        const back = Object.assign(document.createElement('button'), { type: 'button', textContent: 'put back into the line' });
        back.addEventListener('click', () => { drop(it.id); show(); document.dispatchEvent(new CustomEvent('put-back', { detail: it.line })); });
        li.append(Object.assign(document.createElement('small'), { textContent: why }), ' ', back);
      }
      return li;
    });
    rows.push(...elsewhere().map(([name, n]) => Object.assign(document.createElement('li'),
      { textContent: `${n} ${n === 1 ? 'line waits' : 'lines wait'} here for ${name}, until that incident is open at this address again.` })));
    if (list.childElementCount || rows.length) list.replaceChildren(...rows);
  }

  async function post(item) {
    posting.add(item.id);
    try {
      const res = await fetch('/say', {
        method: 'POST',
        headers: { 'Content-Type': 'application/json', 'Tankside-Token': document.querySelector('meta[name=tankside-token]').content },
        body: JSON.stringify({ id: item.id, line: item.line, key: item.key, ago: Math.max(0, Date.now() - item.at) }),
        signal: AbortSignal.timeout(12000),
      });
      unreachable = false;
      if (res.ok) {
        const a = await res.json();
        drop(item.id); // it comes back over the feed
        document.dispatchEvent(new CustomEvent('saved', { detail: { ...a, line: item.line } }));
      } else if (res.status === 400 || res.status === 409 || res.status === 413 || res.status === 422) {
        refused.set(item.id, (await res.json().catch(() => ({}))).why || 'the server does not take it');
      } else if (res.status === 403) {
        await renew(); // the server was begun again since this page was loaded
      }
    } catch {
      unreachable = true; // tried again
    } finally {
      posting.delete(item.id);
    }
  }

  // renew takes the token of the running server. Where that serves another incident now,
  // the page makes way for it: no line may go into the log of another.
  async function renew() {
    const page = new DOMParser().parseFromString(await (await fetch(location.pathname)).text(), 'text/html');
    const served = page.documentElement.dataset.served;
    if (served !== undefined && served !== document.documentElement.dataset.served) {
      location.reload();
      return;
    }
    const fresh = page.querySelector('meta[name=tankside-token]');
    if (fresh) document.querySelector('meta[name=tankside-token]').content = fresh.content;
  }

  // Lines go one after another, in the order in which they were typed: each is read
  // against what the ones before it have taught.
  let turn = Promise.resolve();
  function flush() {
    turn = turn.then(async () => {
      for (const item of waiting()) {
        if (refused.has(item.id) || posting.has(item.id)) continue;
        await post(item);
        if (localStorage.getItem(home + item.id) && !refused.has(item.id)) break; // it must go before the rest
      }
      show();
    });
    return turn;
  }
  show(); // what waited when the page was left
  setInterval(() => { if (waiting().length) flush(); show(); }, retry);

  return {
    // send keeps a line and posts it; key answers the question that was asked.
    send(line, key) {
      const at = last = Math.max(Date.now(), last + 1);
      const item = { id: newID(at), line, key, at };
      localStorage.setItem(home + item.id, JSON.stringify(item));
      setTimeout(show, soon + 50);
      flush();
    },
    flush,
    renew,
    waiting,
  };
})();
