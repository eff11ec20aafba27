// Sound and vibration for what lies on the tray or was scanned for a swap, besides the words and the sign, never
// instead of them. A whole pair sounds twice, rising, with one short shake; what must not be joined sounds low, three
// times, with three long shakes.
"use strict";
(() => {
  const band = document.getElementById("verdict");
  const tick = document.getElementById("sound");
  if (!band || !tick) return;
  const KEY = "pairbook-sound";
  const patterns = {
    whole: { wave: "sine", tones: [[660, 0, 0.12], [990, 0.14, 0.22]], shake: [60] },
    stops: { wave: "square", tones: [[196, 0, 0.24], [196, 0.34, 0.24], [147, 0.68, 0.4]], shake: [320, 120, 320, 120, 320] },
    read: { wave: "sine", tones: [[660, 0, 0.06]], shake: [25] },
  };
  // Somebody scanned, typed or sent a photo on a page of ours and was led here; a page loaded again stays silent.
  const came = performance.getEntriesByType("navigation")[0];
  const led = Boolean(came) && came.type === "navigate" && document.referrer.startsWith(`${location.origin}/`);
  let audio = null;

  function kept() {
    try { return localStorage.getItem(KEY) !== "off"; } catch { return true; }
  }

  function sound(pattern) {
    const Audio = window.AudioContext;
    if (!Audio) return;
    audio = audio || new Audio();
    if (audio.state !== "running") return;
    for (const [pitch, from, long] of pattern.tones) {
      const voice = audio.createOscillator(), loud = audio.createGain(), at = audio.currentTime + from;
      voice.type = pattern.wave;
      voice.frequency.value = pitch;
      loud.gain.setValueAtTime(0.0001, at);
      loud.gain.exponentialRampToValueAtTime(0.25, at + 0.015);
      loud.gain.exponentialRampToValueAtTime(0.0001, at + long);
      voice.connect(loud).connect(audio.destination);
      voice.start(at);
      voice.stop(at + long);
    }
  }

  // Browsers let a page sound after somebody touched it or the page before, and shake after it was touched itself.
  // Where they do not, the words and the sign say it alone.
  function say(tone) {
    const pattern = patterns[tone];
    if (!pattern) return;
    const touched = !navigator.userActivation || navigator.userActivation.hasBeenActive;
    if (touched && navigator.vibrate) navigator.vibrate(pattern.shake);
    if (tick.checked && (touched || led)) sound(pattern);
  }

  tick.checked = kept();
  tick.parentElement.hidden = false;
  tick.addEventListener("change", () => {
    try { localStorage.setItem(KEY, tick.checked ? "on" : "off"); } catch { /* not kept: the tick holds for this page */ }
  });
  document.addEventListener("tray", (event) => say(event.detail));
  if (led) say(band.dataset.tone);
})();
