// The time of capture in a JPEG's EXIF (tag 0x9003), read before scaling and written back after; nothing else is kept.

const DATE_TIME_ORIGINAL = 0x9003;
const EXIF_POINTER = 0x8769;

export function readCaptureTime(buffer) {
  try {
    const view = new DataView(buffer);
    if (view.getUint16(0) !== 0xffd8) return "";
    for (let at = 2; at + 4 < view.byteLength && view.getUint8(at) === 0xff; at += 2 + view.getUint16(at + 2)) {
      if (view.getUint16(at) === 0xffe1 && view.getUint32(at + 4) === 0x45786966) return fromTiff(view, at + 10);
      if (view.getUint16(at) === 0xffda) break;
    }
  } catch {
    return ""; // a header cut short is no reason to lose the picture
  }
  return "";
}

function fromTiff(view, start) {
  const little = view.getUint16(start) === 0x4949;
  const exif = find(view, start, start + view.getUint32(start + 4, little), little, EXIF_POINTER);
  if (!exif) return "";
  const entry = find(view, start, start + view.getUint32(exif + 8, little), little, DATE_TIME_ORIGINAL);
  if (!entry) return "";
  const at = start + view.getUint32(entry + 8, little);
  let text = "";
  for (let i = 0; i < 19; i += 1) text += String.fromCharCode(view.getUint8(at + i));
  return /^\d{4}:\d\d:\d\d \d\d:\d\d:\d\d$/.test(text) ? text : "";
}

function find(view, start, directory, little, tag) {
  for (let n = view.getUint16(directory, little); n > 0; n -= 1) {
    const entry = directory + 2 + (n - 1) * 12;
    if (view.getUint16(entry, little) === tag) return entry;
  }
  return 0;
}

// A JPEG with a new EXIF block that holds the time of capture alone.
export function withCaptureTime(jpeg, text) {
  if (!text) return jpeg;
  const tiff = new DataView(new ArrayBuffer(64));
  tiff.setUint32(0, 0x4d4d002a);
  tiff.setUint32(4, 8);
  directory(tiff, 8, EXIF_POINTER, 4, 1, 26);
  directory(tiff, 26, DATE_TIME_ORIGINAL, 2, 20, 44);
  for (let i = 0; i < 19; i += 1) tiff.setUint8(44 + i, text.charCodeAt(i));
  const head = new DataView(new ArrayBuffer(12));
  head.setUint16(0, 0xffd8);
  head.setUint16(2, 0xffe1);
  head.setUint16(4, 2 + 6 + 64);
  head.setUint32(6, 0x45786966); // "Exif" and two zero bytes
  const out = new Uint8Array(12 + 64 + jpeg.byteLength - 2);
  out.set(new Uint8Array(head.buffer));
  out.set(new Uint8Array(tiff.buffer), 12);
  out.set(new Uint8Array(jpeg, 2), 76);
  return out.buffer;
}

function directory(view, at, tag, type, length, value) {
  view.setUint16(at, 1);
  view.setUint16(at + 2, tag);
  view.setUint16(at + 4, type);
  view.setUint32(at + 6, length);
  view.setUint32(at + 10, value);
  view.setUint32(at + 14, 0);
}
