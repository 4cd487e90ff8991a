// Scales a photo off the main thread: long side 2048 px, upright, JPEG. Answers {id, buffer, width, height} or {id, error}.

const LONG_SIDE = 2048;
const QUALITY = 0.82;

self.onmessage = async ({ data: { id, buffer, mime } }) => {
  try {
    const bitmap = await createImageBitmap(new Blob([buffer], { type: mime })); // applies the orientation
    const scale = Math.min(1, LONG_SIDE / Math.max(bitmap.width, bitmap.height));
    const width = Math.round(bitmap.width * scale);
    const height = Math.round(bitmap.height * scale);
    const canvas = new OffscreenCanvas(width, height); // never larger than the output: phones limit canvases
    canvas.getContext("2d").drawImage(bitmap, 0, 0, width, height);
    bitmap.close();
    const blob = await canvas.convertToBlob({ type: "image/jpeg", quality: QUALITY });
    const out = await blob.arrayBuffer();
    self.postMessage({ id, buffer: out, width, height }, [out]);
  } catch (error) {
    self.postMessage({ id, error: String(error) });
  }
};
