// The feed: what the log says comes over it and nothing else changes the board. This
// script keeps the clock, says when the feed is silent, and moves between pages by key.
'use strict';
(() => {
  const $ = (id) => document.getElementById(id);
  const root = document.documentElement;
  const silent = 7000; // ms without a pulse after which the board is not live; the pulse comes every 2 s
  const kept = Number(root.dataset.kept || 0); // when the browser kept this page, where the server was away as it was opened
  let heard = kept || Date.now(); // when the server was heard last, by this machine's clock
  let ahead = Number($('clock').dataset.now) - heard; // how far the incident's clock is ahead of this machine's, ms
  let live = false; // a pulse came since the page was loaded
  let begun = Date.now(); // when the feed was asked for last
  let line = null; // the connection
  let last = 0; // the newest entry that was heard of
  let broken = false; // since the last pulse
  let missed = ''; // what came while the page was cut off

  // The clocks of two machines need not agree: the page shows the incident's.
  const two = (n) => String(n).padStart(2, '0');
  const hms = (ms) => { const d = new Date(ms); return `${two(d.getUTCHours())}:${two(d.getUTCMinutes())}:${two(d.getUTCSeconds())}`; };
  let zone = Number($('clock').dataset.offset); // ms
  const mishap = Number($('clock').dataset.mishap);

  const put = (element, text) => { if (element && element.textContent !== text) element.textContent = text; };

  function tick() {
    const now = Date.now();
    again(now);
    put($('clock').querySelector('time'), hms(now + ahead + zone));
    if (mishap) {
      const min = Math.max(0, Math.floor((now + ahead - mishap) / 60000));
      put($('elapsed'), `elapsed ${Math.floor(min / 60)}:${two(min % 60)}`);
    }
    const age = now - heard;
    const stale = age > silent || (kept && !live);
    root.classList.toggle('stale', stale);
    const old = age < 120000 ? `${Math.round(age / 1000)} s` : `${Math.round(age / 60000)} min`;
    const from = live ? 'last heard' : kept ? 'as it was at' : 'loaded';
    put($('live'), stale ? `NOT LIVE: ${from} ${hms(heard + ahead + zone)}, ${old} ago` : root.classList.contains('back') ? 'LOOKING BACK' : !live ? 'not live yet' : missed || 'live');
  }

  // A feed that never began is begun again, sooner where the server was away to begin
  // with; one that broke mends itself.
  function again(now) {
    if (now - Math.max(heard, begun) < (kept && !live ? 2000 : silent)) return;
    begun = now;
    htmx.trigger($('feed'), 'again');
  }

  // A browser keeps six connections to one server: a page that is left gives its own up,
  // and so does one that nobody sees, which the library sees to.
  document.addEventListener('htmx:sse:after:connection', (e) => { line = e.detail.connection; });
  document.addEventListener('htmx:sse:error', () => { broken = true; });
  addEventListener('pagehide', () => line?.abortController.abort());
  addEventListener('pageshow', (e) => { if (e.persisted) location.reload(); });

  function cannotSave(why) {
    const box = $('cannot');
    box.hidden = !why;
    put(box, why ? `CANNOT SAVE  ${why}  Write it on paper; the lines stay here and are tried again.` : '');
  }

  document.addEventListener('pulse', (e) => {
    const pulse = JSON.parse(e.detail.data);
    if (another(pulse)) { location.reload(); return; }
    heard = Date.now();
    live = true;
    keepPage(heard);
    ahead = pulse.now - heard;
    zone = pulse.offset;
    put($('clock').querySelector('small'), pulse.zone);
    if (broken) { // say what came while the page was cut off
      missed = pulse.last > last ? `live again; came meanwhile: ${last + 1 === pulse.last ? last + 1 : `${last + 1} to ${pulse.last}`}` : '';
      broken = false;
      setTimeout(() => { missed = ''; }, 60000);
    }
    last = pulse.last;
    put($('saved'), pulse.saved ? `saved\u00a0${pulse.saved} in\u00a02\u00a0places` : 'nothing logged yet');
    cannotSave(pulse.trouble);
    tick();
  });
  setInterval(tick, 1000);

  // Another incident may be served here than the page is of: nothing of the page may go
  // there. Another program has other scripts: they are taken when nothing is being typed.
  const another = (pulse) => pulse.name !== root.dataset.served ||
    (pulse.build !== root.dataset.build && !$('line')?.value && !$('outbox')?.childElementCount);

  // The worker keeps the page for the time when the server is away; the line comes first.
  // Where a browser has none, or takes none by this machine's certificate, a page cannot
  // be loaded while the server is away; one that is open goes on all the same.
  const everyPage = 20000; // ms between two times the page is kept
  let keptAt = Date.now();
  let worker = null;
  function keepPage(now) {
    const workers = navigator.serviceWorker;
    if (!workers) return;
    if (!worker) {
      worker = new Promise((begin) => { setTimeout(begin, 1500); })
        .then(() => workers.register('/worker.js', { updateViaCache: 'none' })).catch(() => {});
    }
    if (now - keptAt < everyPage || document.hidden || root.classList.contains('back')) return;
    keptAt = now;
    workers.controller?.postMessage(location.pathname);
  }

  // While somebody looks back the present may go on changing everything but the board.
  document.addEventListener('htmx:sse:before:message', (e) => {
    if (!root.classList.contains('back')) return;
    const m = e.detail.message;
    m.data = m.data.replace(/<hx-partial hx-target="#(board|clocks)"[\s\S]*?<\/hx-partial>/g, '');
  });
  document.addEventListener('input', (e) => {
    if (e.target.closest('#clocks')) root.classList.add('back');
  });

  // The token shows that a request comes from this page.
  document.addEventListener('htmx:config:request', (e) => {
    e.detail.ctx.request.headers['Tankside-Token'] = document.querySelector('meta[name=tankside-token]').content;
  });

  // Function keys lead from page to page; what is typed stays.
  document.addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey || e.shiftKey) return;
    const link = document.querySelector(`nav a[data-key="${e.key}"]`);
    const back = document.querySelector('#clocks details');
    if (link) {
      e.preventDefault();
      link.click();
    } else if (e.key === 'F10' && back) {
      e.preventDefault();
      back.open = !back.open;
      if (back.open) back.querySelector('input').focus();
    }
  });

  // The story stands at its newest end unless somebody reads further up.
  const board = $('board');
  if (root.dataset.page === 'story') {
    let atEnd = !location.hash;
    const end = () => { if (atEnd) board.scrollTop = board.scrollHeight; };
    end();
    board.addEventListener('scroll', () => { atEnd = board.scrollTop + board.clientHeight > board.scrollHeight - 40; });
    new MutationObserver(end).observe(board, { childList: true, subtree: true });
  }

  function night(on) {
    root.classList.toggle('night', on);
    $('night').setAttribute('aria-pressed', String(on));
  }
  night(localStorage.getItem('tankside.night') === 'yes');
  $('night').addEventListener('click', () => {
    night(!root.classList.contains('night'));
    localStorage.setItem('tankside.night', root.classList.contains('night') ? 'yes' : 'no');
  });
})();
