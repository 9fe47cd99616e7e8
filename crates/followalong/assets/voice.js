// Sound: spoken words where the phone has a voice in the page's language, and short tones.

const sound = { on: true, voice: null, context: null };

/** A voice in the page's language; a voice of another language would misread the words. */
function findVoice() {
  const voices = window.speechSynthesis ? speechSynthesis.getVoices() : [];
  const base = session.lang.toLowerCase().split('-')[0];
  const sameLanguage = voices.filter((v) => v.lang.toLowerCase().replace('_', '-').split('-')[0] === base);
  sound.voice = sameLanguage.find((v) => v.lang.toLowerCase() === session.lang.toLowerCase())
    || sameLanguage.find((v) => v.localService) || sameLanguage[0] || null;
  const note = document.getElementById('no-voice');
  if (note) note.hidden = Boolean(sound.voice);
  const hint = document.getElementById('sound-hint');
  if (hint) hint.hidden = !sound.voice; // "this page speaks" would not be true
}

function setUpVoice() {
  findVoice();
  if (window.speechSynthesis && speechSynthesis.addEventListener) {
    speechSynthesis.addEventListener('voiceschanged', findVoice); // the list often comes late
  }
}

/** Speaks now. A newer sentence replaces an older one, so speech never falls behind the session clock. */
function speak(text) {
  if (!sound.on || !sound.voice) return;
  if (speechSynthesis.speaking || speechSynthesis.pending) speechSynthesis.cancel();
  const utterance = new SpeechSynthesisUtterance(text);
  utterance.lang = session.lang;
  utterance.voice = sound.voice;
  utterance.rate = 0.95;
  speechSynthesis.speak(utterance);
}

function hush() {
  if (window.speechSynthesis) speechSynthesis.cancel();
}

/** Must be called from a tap: phones open the audio device only then. */
function openAudio() {
  const Context = window.AudioContext || window.webkitAudioContext;
  if (!Context) return;
  try {
    sound.context = sound.context || new Context();
    if (sound.context.state === 'suspended') sound.context.resume().catch(() => {});
  } catch { sound.context = null; }
}

const TONES = { // hertz, seconds
  move: [[440, 0.07]], hold: [[330, 0.16]], tick: [[660, 0.08]], rest: [[392, 0.12], [262, 0.2]],
  count: [[660, 0.07], [880, 0.12]], end: [[523, 0.12], [659, 0.12], [784, 0.25]],
};

function beep(name) {
  record('beep', name);
  const context = sound.context;
  if (!sound.on || !context || context.state !== 'running') return;
  let at = context.currentTime;
  for (const [hertz, seconds] of TONES[name]) {
    const tone = context.createOscillator();
    const gain = context.createGain();
    tone.frequency.value = hertz;
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(0.16, at + 0.01);
    gain.gain.linearRampToValueAtTime(0, at + seconds);
    tone.connect(gain).connect(context.destination);
    tone.start(at);
    tone.stop(at + seconds + 0.02);
    at += seconds;
  }
}
