// The line: always there, never refused. What is half typed lies in the browser's store
// at every key, so that a reload or a crash costs nothing.
'use strict';
(() => {
  const $ = (id) => document.getElementById(id);
  const line = $('line');
  const form = $('line-form');
  const box = $('preview');
  const draftKey = `tankside.draft.${document.documentElement.dataset.incident}`;
  const sentKey = `tankside.sent.${document.documentElement.dataset.incident}`;
  const most = 50; // lines that can be recalled
  const bytes = (s) => new TextEncoder().encode(s).length;
  const chars = (s, n) => new TextDecoder().decode(new TextEncoder().encode(s).slice(0, n)).length;
  let recalled = -1; // how far back in the sent lines
  let kept = ''; // what became of the last line
  let asked = ''; // the line whose question stands; Enter again keeps it

  // A draft carries the name of its line. Windows of one browser may hold the same line, as
  // a new one takes up the newest: what is typed or kept in one is so in all that hold it.
  // Another line stays as it is; each has a draft of its own, the newest under draftKey too.
  let typedAt = 0;
  let named = ''; // the line in this window, "" while it is empty
  function keepDraft() {
    typedAt = Date.now();
    const was = named;
    named = line.value && (named || crypto.randomUUID());
    const d = JSON.stringify({ line: line.value, from: line.selectionStart, to: line.selectionEnd, at: typedAt, named: named || was });
    // An empty line is kept as well: it says that what the server still has is older.
    localStorage.setItem(draftKey, d);
    if (named) localStorage.setItem(`${draftKey}.${named}`, d);
    else localStorage.removeItem(`${draftKey}.${was}`);
    sessionStorage.setItem(draftKey, named);
  }

  // drafts are all that are kept, the newest first.
  function drafts() {
    return Object.keys(localStorage).filter((k) => k === draftKey || (k.startsWith(`${draftKey}.`) && k.length === draftKey.length + 37))
      .map((k) => JSON.parse(localStorage.getItem(k))).filter(Boolean).sort((a, b) => b.at - a.at);
  }

  // A window takes up its own line; one that is new, the newest there is.
  function restoreDraft() {
    const all = drafts();
    const here = sessionStorage.getItem(draftKey);
    if (here === '' && all.length) return; // its line was empty, whatever others hold
    const own = all.find((it) => (here ? it.named === here : it.line));
    const theirs = served();
    const d = (here && own) || (theirs?.at > (all[0]?.at ?? 0) ? theirs : own);
    if (!d?.line || line.value) return;
    line.value = d.line;
    named = d.named || '';
    line.setSelectionRange(d.from, d.to);
    keepDraft();
    const t = new Date(d.at);
    box.textContent = `you were typing this at ${t.toTimeString().slice(0, 8)}`;
    look();
  }

  addEventListener('storage', (e) => {
    if (e.key !== draftKey) return;
    const d = JSON.parse(e.newValue || 'null');
    if (!d?.named || d.named !== named) return;
    line.value = d.line;
    named = d.line && d.named;
    sessionStorage.setItem(draftKey, named);
    asked = '';
    look();
  });

  // What the server kept counts where the browser lost what was later, as at a power cut;
  // both have their time from this page. A line that was sent is none.
  function served() {
    const text = line.dataset.draft;
    if (!text || outbox.waiting().some((it) => it.line === text)) return null;
    return { line: text, from: text.length, to: text.length, at: Number(line.dataset.at) };
  }

  // The preview: one question at a time, always about the newest text.
  async function ask(text, caret, typing) {
    const res = await fetch('/preview', {
      method: 'POST',
      headers: { 'Content-Type': 'application/x-www-form-urlencoded', 'Tankside-Token': document.querySelector('meta[name=tankside-token]').content },
      body: new URLSearchParams({ line: text, caret, typing }),
      signal: AbortSignal.timeout(4000),
    });
    if (res.status === 403) await outbox.renew();
    if (!res.ok) throw new Error(res.statusText);
    return res.text();
  }

  // Of what may come next Tab takes the first; the arrow down goes on to the next.
  let picked = 0;
  const ways = () => [...(previewed()?.querySelectorAll('.ways button') ?? [])];
  function pick(n) {
    const all = ways();
    if (recalled >= 0 || n < 0 || n >= all.length) return false;
    picked = n;
    const key = box.querySelector('.ways kbd');
    all[n].prepend(key, ' ');
    return true;
  }

  let looking = false;
  let stale = false;
  async function look() {
    if (looking) { stale = true; return; }
    looking = true;
    do {
      stale = false;
      const text = line.value;
      try {
        const html = await ask(text, bytes(text.slice(0, line.selectionStart)), typedAt);
        if (text === line.value) {
          box.innerHTML = html;
          picked = 0;
          showKept();
        }
      } catch {
        box.textContent = line.value ? 'no preview: the server does not answer. Enter keeps the line here until it does.' : '';
      }
    } while (stale);
    looking = false;
  }

  function set(text, caret = text.length) {
    line.value = text;
    line.setSelectionRange(caret, caret);
    changed();
  }

  function changed() {
    asked = '';
    keepDraft();
    look();
  }

  const sent = () => JSON.parse(localStorage.getItem(sentKey) || '[]');
  function remember(text) {
    const all = sent().filter((s) => s !== text);
    all.push(text);
    localStorage.setItem(sentKey, JSON.stringify(all.slice(-most)));
    recalled = -1;
  }

  // What is previewed belongs to the line only if it was made of the same text.
  const previewed = () => { const p = box.querySelector('.reading'); return p && p.dataset.line === line.value ? p : null; };
  const choices = () => [...(previewed()?.querySelectorAll('.ask button') ?? [])];

  function keep(key) {
    const text = line.value;
    if (!text.trim()) return;
    if (text.includes('\n')) return;
    remember(text);
    kept = '';
    outbox.send(text, key);
    set('');
  }

  form.addEventListener('submit', (e) => {
    e.preventDefault();
    if (choices().length && asked !== line.value) { // a question wants a second Enter
      asked = line.value;
      form.classList.add('asked');
      return;
    }
    form.classList.remove('asked');
    keep('');
  });

  line.addEventListener('input', () => { form.classList.remove('asked'); recalled = -1; changed(); });
  line.addEventListener('select', keepDraft);
  line.addEventListener('keyup', (e) => { if (e.key.startsWith('Arrow') || e.key === 'Home' || e.key === 'End') keepDraft(); });

  line.addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey) return;
    if (asked && asked === line.value && e.key.length === 1) { // one key answers the question
      const b = choices().find((c) => c.dataset.answer.toUpperCase() === e.key.toUpperCase());
      if (b) { e.preventDefault(); answer(b.dataset.answer); return; }
    }
    switch (e.key) {
      case 'Tab': {
        const way = !e.shiftKey && ways()[picked];
        if (way) { e.preventDefault(); take(way); }
        break;
      }
      case 'ArrowUp':
      case 'ArrowDown': {
        if (pick(picked + (e.key === 'ArrowUp' ? -1 : 1))) { e.preventDefault(); break; }
        const all = sent();
        const next = e.key === 'ArrowUp' ? recalled + 1 : recalled - 1;
        if (next < -1 || next >= all.length) break;
        e.preventDefault();
        const to = next;
        set(next < 0 ? '' : all[all.length - 1 - next]);
        recalled = to;
        break;
      }
      case 'Escape':
        e.preventDefault();
        if (line.value) { remember(line.value); set(''); }
        form.classList.remove('asked');
        break;
      default:
    }
  });

  function answer(key) {
    form.classList.remove('asked');
    keep(key === 'Enter' ? '' : key);
    line.focus();
  }

  function take(button) {
    const text = line.value;
    const from = chars(text, Number(button.dataset.from));
    const to = chars(text, Number(button.dataset.to));
    set(text.slice(0, from) + button.dataset.text + text.slice(to), from + button.dataset.text.length);
    line.focus();
  }

  document.addEventListener('click', (e) => {
    const b = e.target.closest('button');
    if (!b) return;
    if (b.dataset.text !== undefined) take(b);
    else if (b.dataset.answer !== undefined) answer(b.dataset.answer);
    else if (b.dataset.start !== undefined) { line.focus(); if (b.dataset.start) set(b.dataset.start); }
  });

  document.addEventListener('put-back', (e) => { line.focus(); set(e.detail); });

  // The last line's fate stands above what may come next, until the next is begun.
  document.addEventListener('saved', (e) => {
    kept = `saved as ${(e.detail.seqs || []).join(', ')}: ${e.detail.says || e.detail.line}`;
    showKept();
  });

  function showKept() {
    if (!kept || line.value) return;
    box.querySelector('.kept')?.remove();
    box.prepend(Object.assign(document.createElement('p'), { className: 'kept', textContent: kept }));
  }

  // A notebook page: every line of what is pasted goes its own way, previewed first.
  line.addEventListener('paste', (e) => {
    const rows = e.clipboardData.getData('text').split(/\r?\n/).map((s) => s.trim()).filter(Boolean);
    if (rows.length < 2) return;
    e.preventDefault();
    batch(rows);
  });

  function batch(rows) {
    const list = document.createElement('ol');
    list.append(...rows.map((r) => Object.assign(document.createElement('li'), { textContent: r })));
    const all = Object.assign(document.createElement('button'), { type: 'button', textContent: `Keep these ${rows.length} lines` });
    all.addEventListener('click', () => { rows.forEach((r) => outbox.send(r, '')); box.replaceChildren(); line.focus(); });
    box.replaceChildren(all, list);
    all.focus();
    readEach([...list.children]);
  }

  // readEach says below each line of a batch what it would become.
  async function readEach(items) {
    for (const li of items) {
      const said = new DOMParser().parseFromString(await ask(li.textContent, 0, '').catch(() => ''), 'text/html').querySelector('.says b');
      if (said) li.append(Object.assign(document.createElement('small'), { textContent: ` – ${said.textContent}` }));
    }
  }

  // The board can be read on without leaving the line.
  line.addEventListener('keydown', (e) => {
    if (e.key !== 'PageUp' && e.key !== 'PageDown') return;
    e.preventDefault();
    const board = $('board');
    board.scrollBy(0, (e.key === 'PageUp' ? -0.8 : 0.8) * board.clientHeight);
  });

  // Wherever the eye is, a key that writes goes into the line.
  document.addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey || e.key.length !== 1 || e.target.closest('input, textarea, select, button, summary, a')) return;
    line.focus();
  });

  restoreDraft();
  if (!matchMedia('(pointer: coarse)').matches) line.focus({ preventScroll: true });
  outbox.flush();
})();
