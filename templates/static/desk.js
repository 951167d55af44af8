// The desk: what is typed is kept with every key, in this browser and by the server, and
// goes into the log when it is saved. Saved is said only when the log says so. The page
// is made anew when the log has gone on; what is being typed stays, with its caret.
'use strict';
(() => {
  const $ = (id) => document.getElementById(id);
  const root = document.documentElement;
  const board = $('board');
  const home = `tankside.desk.${root.dataset.served}.`;
  const quiet = 1500; // ms after the last key before the page is made anew
  const told = new Map(); // by form: what became of it last
  const sent = new Map(); // by form: what was sent last and under which id
  let typed = 0; // when the last key was typed
  let newest = 0; // entry that was heard of
  let soon = null; // the page is made anew

  const token = () => document.querySelector('meta[name=tankside-token]').content;
  const data = () => $('deskdata').dataset;
  const forms = () => [...board.querySelectorAll('form.deskform')];
  const fields = (form) => [...form.elements].filter((e) => e.name);
  const initial = (e) => e.tagName === 'SELECT' ? ([...e.options].find((o) => o.defaultSelected) ?? e.options[0]).value : e.defaultValue;

  // A ULID, so that what is sent twice is one entry.
  function newID() {
    const letters = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
    let id = '';
    for (let t = Date.now(), i = 0; i < 10; i++, t = Math.floor(t / 32)) id = letters[t % 32] + id;
    for (const b of crypto.getRandomValues(new Uint8Array(16))) id += letters[b % 32];
    return id;
  }

  const read = (text) => { try { return JSON.parse(text); } catch { return null; } };
  const keptHere = (id) => read(localStorage.getItem(home + id));
  const keptThere = (id) => read((read(data().kept) || {})[id] ?? null);
  // Whichever was typed last: this browser's store may not have reached its disk.
  function kept(id) {
    const a = keptHere(id);
    const b = dropped.has(id) ? null : keptThere(id);
    return !a || (b && b.at > a.at) ? b : a;
  }
  const dropped = new Set();

  const post = (path, type, body) => fetch(path, {
    method: 'POST', headers: { 'Content-Type': type, 'Tankside-Token': token() }, body, signal: AbortSignal.timeout(12000),
  });

  const due = new Map(); // by field: what the server has still to be told
  let telling = null;
  function tellServer() {
    telling = null;
    for (const [field, text] of due) {
      due.delete(field);
      post('/desk/draft', 'application/x-www-form-urlencoded', new URLSearchParams({ field, text })).catch(() => {
        if (!due.has(field)) due.set(field, text); // this browser has it; the server is told when it is back
        telling ??= setTimeout(tellServer, 3000);
      });
    }
  }
  function tell(field, text) {
    due.set(field, text);
    telling ??= setTimeout(tellServer, 300);
  }

  function keep(e) {
    const form = e.closest('form.deskform');
    if (!form || !e.id) return;
    if (e.value === initial(e)) { drop(e); mark(form); return; }
    const before = kept(e.id);
    const draft = JSON.stringify({ v: e.value, seen: before ? before.seen : Number(form.dataset.seen), at: Date.now() });
    dropped.delete(e.id);
    localStorage.setItem(home + e.id, draft);
    tell(e.id, draft);
    told.delete(form.id);
    mark(form);
  }

  function drop(e) {
    if (!kept(e.id)) return;
    localStorage.removeItem(home + e.id);
    dropped.add(e.id);
    tell(e.id, '');
  }

  // seen is the entry that stood there when the words of a form were begun.
  function seen(form) {
    const begun = fields(form).map((e) => kept(e.id)?.seen).filter((s) => s !== undefined);
    return begun.length ? Math.min(...begun) : Number(form.dataset.seen);
  }

  // mark says of a form what became of it, or that its words are kept and not saved.
  function mark(form) {
    const out = form.querySelector('output');
    const t = told.get(form.id);
    const some = fields(form).some((e) => e.value !== initial(e));
    out.className = t && !t.ok ? 'bad' : '';
    out.textContent = t ? t.text : some ? 'kept as you type, not saved' : '';
    form.querySelector('.begun')?.remove();
    const now = Number(form.dataset.seen);
    if (!form.id.startsWith('sign') && some && seen(form) !== now) form.append(begun(form, now));
  }

  // begun stands where somebody else wrote while this was being written.
  function begun(form, now) {
    const box = Object.assign(document.createElement('div'), { className: 'begun' });
    const theirs = fields(form).filter((e) => e.value !== initial(e)).map((e) => initial(e)).filter(Boolean).join(' / ');
    box.append(`Entry ${now} was written here while you wrote. It says: “${theirs || 'the same'}”. Yours is in the fields. `);
    const over = Object.assign(document.createElement('button'), { type: 'button', textContent: 'Put mine over it, when I save' });
    over.addEventListener('click', () => {
      for (const e of fields(form)) {
        const k = kept(e.id);
        if (k) { const d = JSON.stringify({ ...k, seen: now, at: Date.now() }); localStorage.setItem(home + e.id, d); tell(e.id, d); }
      }
      told.delete(form.id);
      mark(form);
    });
    const back = Object.assign(document.createElement('button'), { type: 'button', textContent: 'Drop mine' });
    back.addEventListener('click', () => { clear(form); told.delete(form.id); mark(form); });
    box.append(over, ' ', back);
    return box;
  }

  function clear(form) {
    for (const e of fields(form)) { drop(e); e.value = initial(e); }
  }

  // show puts what was kept back into the fields of the page.
  function show() {
    for (const form of forms()) {
      for (const e of fields(form)) {
        const k = e.id && kept(e.id);
        if (k && k.v !== initial(e)) {
          if (k.at !== keptThere(e.id)?.at) tell(e.id, JSON.stringify(k)); // the server was away when it was typed
          e.value = k.v;
          for (let d = e.closest('details'); d; d = d.parentElement.closest('details')) d.open = true;
        }
      }
      mark(form);
    }
  }

  function say(text, ok) {
    $('deskstatus').className = ok ? 'good' : '';
    $('deskstatus').textContent = text;
  }

  // sameAs finds on the page made anew what had the focus before: by its own name, by its
  // place in its form, or as the head of what can be opened.
  function sameAs(at, place) {
    if (!at || at === board) return null;
    if (at.id) return $(at.id);
    if (at.form?.id) return $(at.form.id)?.elements[place];
    return at.tagName === 'SUMMARY' && at.parentElement.id ? $(at.parentElement.id)?.querySelector('summary') : null;
  }

  // remake makes the page anew as the log has it now.
  async function remake() {
    const res = await fetch(location.href, { headers: { 'Cache-Control': 'no-store' } });
    if (!res.ok) throw new Error(res.statusText);
    const page = new DOMParser().parseFromString(await res.text(), 'text/html');
    const fresh = page.getElementById('board');
    if (!page.getElementById('deskdata') || page.documentElement.dataset.served !== root.dataset.served) { location.reload(); return; }
    document.querySelector('meta[name=tankside-token]').content = page.querySelector('meta[name=tankside-token]').content;
    const at = document.activeElement;
    const place = at?.form ? [...at.form.elements].indexOf(at) : 0;
    const caret = at && 'selectionStart' in at ? [at.selectionStart, at.selectionEnd] : null;
    const scroll = board.scrollTop;
    const status = [$('deskstatus').textContent, $('deskstatus').className === 'good'];
    const open = new Map([...board.querySelectorAll('details[id]')].map((d) => [d.id, d.open]));
    board.replaceChildren(...fresh.childNodes);
    for (const [id, was] of open) if ($(id) && was) $(id).open = true;
    show();
    say(...status);
    board.scrollTop = scroll;
    const back = sameAs(at, place);
    if (back && back !== document.activeElement) {
      back.focus({ preventScroll: true });
      if (caret && caret[0] !== null && back.setSelectionRange) back.setSelectionRange(...caret);
    }
  }

  function later() {
    soon ??= setTimeout(async () => {
      soon = null;
      if (newest <= Number(data().last)) return;
      if (Date.now() - typed < quiet) { later(); return; }
      if ($('sign-now')) { // what was shown must not change under the hand that confirms
        say(`Entry ${newest} came in since this was shown. Look at it: nothing is signed as it stands here.`, false);
        return;
      }
      await remake().catch(() => {});
    }, 400);
  }

  // ask is what a form asks for; asIs takes the words as they are saved.
  function ask(form, button) {
    const a = { do: button.value || form.dataset.do, of: form.dataset.of || '', name: form.dataset.name || '', seen: button.dataset.asis ? Number(form.dataset.seen) : seen(form) };
    for (const e of fields(form)) a[e.name] = button.dataset.asis ? initial(e) : e.value;
    if (a.do === 'state') {
      a.of = button.dataset.state || a.of;
      a.to = a.of === 'out' ? a.to.split(',').map((t) => t.trim()).filter(Boolean) : [];
    }
    return a;
  }

  async function answer(res) {
    return res.json().catch(() => ({ why: `The server answers ${res.status}; nothing is saved.` }));
  }

  async function renew() {
    const page = new DOMParser().parseFromString(await (await fetch('/desk')).text(), 'text/html');
    const fresh = page.querySelector('meta[name=tankside-token]');
    if (fresh && page.documentElement.dataset.served === root.dataset.served) document.querySelector('meta[name=tankside-token]').content = fresh.content;
  }

  async function send(path, body) {
    let res = await post(path, 'application/json', body);
    if (res.status === 403 && !(res.headers.get('Content-Type') || '').includes('json')) { // the server was begun again
      await renew();
      res = await post(path, 'application/json', body);
    }
    return res;
  }

  async function save(form, button) {
    const a = ask(form, button);
    const what = JSON.stringify(a);
    const last = sent.get(form.id);
    const id = last?.what === what ? last.id : newID();
    sent.set(form.id, { what, id });
    told.set(form.id, { text: 'saving …', ok: true });
    mark(form);
    let res;
    try {
      res = await send('/desk/write', JSON.stringify({ ...a, id }));
    } catch {
      told.set(form.id, { text: 'NOT SAVED: the server does not answer. Your words are kept here; save again.', ok: false });
      mark(form);
      return;
    }
    const got = await answer(res);
    if (!res.ok) {
      told.set(form.id, { text: got.why, ok: false });
      say(got.why, false);
      mark(form);
      if (res.status === 409) await remake().catch(() => {});
      return;
    }
    sent.delete(form.id);
    clear(form);
    told.set(form.id, { text: `saved as entry ${got.seq}`, ok: true });
    say(`Saved as entry ${got.seq}.`, true);
    const next = form.closest('section')?.querySelector('#g-serious, #g-other') && form.closest('article')?.nextElementSibling?.querySelector('summary')?.parentElement.id;
    await remake().catch(() => {});
    if (next) $(next)?.querySelector('summary').focus();
  }

  async function sign(form) {
    const { name, role, after, head } = form.dataset;
    const out = form.querySelector('output');
    form.querySelector('button').disabled = true;
    out.textContent = 'signing …';
    let got = {};
    let ok = false;
    try {
      const res = await send('/desk/sign', JSON.stringify({ name, role, after: Number(after), head }));
      ok = res.ok;
      got = await answer(res);
    } catch {
      got.why = 'The server does not answer. Load this page again to see whether it was signed.';
    }
    if (ok) history.replaceState(null, '', '/desk?at=sign');
    await remake().catch(() => {});
    say(ok ? `Signed: code ${got.code}, entry ${got.seq}.` : got.why, ok);
  }

  board.addEventListener('input', (e) => { typed = Date.now(); keep(e.target); });
  board.addEventListener('submit', (e) => {
    if (!e.target.matches('form.deskform')) return;
    e.preventDefault();
    if (e.target.id === 'sign-now') sign(e.target);
    else save(e.target, e.submitter ?? e.target.querySelector('button[type=submit]'));
  });
  document.addEventListener('pulse', (e) => {
    newest = JSON.parse(e.detail.data).last;
    if (newest > Number(data().last)) later();
  });
  addEventListener('pagehide', tellServer);
  show();
})();
