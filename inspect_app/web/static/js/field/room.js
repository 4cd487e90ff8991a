// Room on this phone: asked to be kept, how much is used and left, and a warning while there is still time to act.

// Fifty photos are more than most walks take. A share of the whole would warn a large phone that has gigabytes left, and
// leave a small one in silence. A picture is about 0.5 MB when scaled, but the camera's 3 to 8 MB must fit first.
const PHOTOS = 50;
const SCALED_MB = 1;
const ORIGINAL_MB = 8;

// Asked, never waited for: some browsers leave the question open until somebody answers it.
export function askToKeep() {
  navigator.storage?.persist?.().catch(() => {});
}

// {usedMb, leftMb, photos: for how many there is room, low}, or null where the browser does not tell.
export async function roomHere(keepOriginals) {
  const { usage, quota } = (await navigator.storage?.estimate?.()) ?? {};
  if (usage === undefined || !quota) return null;
  const leftMb = Math.max(0, quota - usage) / 1e6;
  const each = SCALED_MB + (keepOriginals ? ORIGINAL_MB : 0);
  const photos = Math.max(0, Math.floor((leftMb - ORIGINAL_MB) / each));
  return { usedMb: usage / 1e6, leftMb, photos, low: photos < PHOTOS };
}

export function roomWords(room) {
  if (!room) return "This browser does not tell how much room is left. Look at the phone's own settings.";
  const left = `Used by this page: ${amount(room.usedMb)}. Left: about ${amount(room.leftMb)}, room for ${room.photos > 999 ? "more than a thousand" : room.photos} photos`;
  return `${left}; the browser's estimate, no promise.`;
}

const amount = (mb) => (mb < 950 ? `${Math.round(mb)} MB` : `${(mb / 1000).toFixed(1)} GB`);

// For the bar, and behind roomWords on a page, which has said the number.
export const lowInShort = (room) => `Little room on this phone: about ${room.photos} more photos. Tap to put this away.`;
export const LOW_WORDS = "That is little: send what is here, or free some space, before you climb. Entries without a photo are kept longer.";
