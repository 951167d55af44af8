// The sound: off until somebody switches it on in this browser. What has newly come to be
// acted on now is one chirp of two tones, never two within a minute whatever comes, and
// always stands on the page as well. It is made here and needs no file.
'use strict';
(() => {
  const $ = (id) => document.getElementById(id);
  const root = document.documentElement;
  const button = $('sound');
  const rest = 60000; // ms between two chirps, over all windows of this browser
  const onKey = 'tankside.sound';
  const lastKey = 'tankside.chirped';
  const heardKey = `tankside.heard.${root.dataset.incident}`; // what stands and was heard, or came while it was off
  let audio = null;

  const on = () => localStorage.getItem(onKey) === 'yes';

  // A browser lets no page sound before somebody has pressed a key on it.
  function ready() {
    audio ??= new AudioContext();
    if (audio.state !== 'running') audio.resume();
    return audio.state === 'running';
  }

  function chirp() {
    for (const [hz, at] of [[784, 0], [1175, 0.18]]) {
      const tone = audio.createOscillator();
      const loud = audio.createGain();
      const from = audio.currentTime + at;
      tone.frequency.value = hz;
      loud.gain.setValueAtTime(0, from);
      loud.gain.linearRampToValueAtTime(0.5, from + 0.02);
      loud.gain.linearRampToValueAtTime(0, from + 0.17);
      tone.connect(loud).connect(audio.destination);
      tone.start(from);
      tone.stop(from + 0.18);
    }
    localStorage.setItem(lastKey, String(Date.now()));
    document.dispatchEvent(new CustomEvent('chirp'));
  }

  // standing is all that is to be acted on now: a person may be hurt, or the log is not kept.
  function standing() {
    const keys = [...document.querySelectorAll('#alarms [data-alarm]')].map((e) => e.dataset.alarm);
    if (!$('cannot').hidden) keys.push('cannot save');
    if (root.classList.contains('stale')) keys.push('not live');
    return keys;
  }

  function look() {
    const now = standing();
    const heard = JSON.parse(localStorage.getItem(heardKey) || '[]').filter((k) => now.includes(k));
    const rested = Date.now() - Number(localStorage.getItem(lastKey)) >= rest;
    let known = heard;
    if (!on()) known = now;
    else if (now.length > heard.length && rested && ready()) {
      chirp();
      known = now;
    }
    localStorage.setItem(heardKey, JSON.stringify(known));
    show();
  }

  function show() {
    const text = !on() ? 'Sound off' : audio?.state === 'running' ? 'Sound on' : 'Sound: press a key';
    if (button.firstChild.data !== text) button.firstChild.data = text;
    button.setAttribute('aria-pressed', String(on()));
  }

  // Switched on it is heard once, so that one knows it.
  async function turn() {
    localStorage.setItem(onKey, on() ? 'no' : 'yes');
    if (on()) {
      ready();
      await audio.resume();
      chirp();
    } else {
      await audio?.close();
      audio = null;
    }
    look();
  }

  button.addEventListener('click', turn);
  document.addEventListener('keydown', (e) => {
    if (e.key === 'F1' && !e.ctrlKey && !e.altKey && !e.metaKey && !e.shiftKey) {
      e.preventDefault();
      turn();
    } else if (on() && audio?.state !== 'running') ready();
  });
  setInterval(look, 1000);
  look();
})();
