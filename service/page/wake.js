/** Keeping the screen on at the bench, where the browser allows it: hands there are wet or full. @module */

/** @type {WakeLockSentinel | null} */
let lock = null;
let wanted = false;

async function hold() {
  if (!wanted || document.visibilityState !== "visible") return;
  try {
    lock = await navigator.wakeLock.request("screen");
  } catch {
    // A low battery or an older browser: the screen sleeps as it always did.
    lock = null;
  }
}

/** @param {boolean} on */
export function keepAwake(on) {
  wanted = on;
  if (!("wakeLock" in navigator)) return;
  if (on) hold();
  else {
    lock?.release();
    lock = null;
  }
}

// A browser lets go whenever the page is hidden.
document.addEventListener("visibilitychange", hold);
