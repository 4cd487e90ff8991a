// Small pictures of the last photo of each part, fetched with the pack so that years can be compared aloft.

import { el } from "./dom.js";
import { get, put } from "./db.js";

const MOST = 600; // a few hundred small pictures are some megabytes

export async function fetchThumbs(pack, token) {
  const wanted = Object.values(pack.parts).flatMap((part) => (part.photos || []).slice(0, 1));
  for (const id of wanted.slice(0, MOST)) {
    if (await get("thumbs", id)) continue;
    const answer = await fetch(`/api/v1/photos/${id}/thumb`, { headers: { Authorization: `Bearer ${token}` }, credentials: "omit", redirect: "error" });
    const type = answer.headers.get("content-type") || "";
    if (answer.status === 429 || answer.status === 503) return;
    if (answer.ok && type.startsWith("image/")) await put("thumbs", { id, mime: type, buffer: await answer.arrayBuffer() });
  }
}

// The last picture of a part, once it has been read from this phone; nothing where there is none.
export function lastPhoto(pack, part) {
  const figure = el("figure", { class: "last-photo", hidden: true });
  const [id] = pack.parts[part].photos || [];
  if (id) {
    get("thumbs", id).then((kept) => {
      if (!kept) return;
      const source = URL.createObjectURL(new Blob([kept.buffer], { type: kept.mime }));
      const picture = el("img", { src: source, alt: `Last photo of ${pack.parts[part].tag}` });
      picture.addEventListener("load", () => URL.revokeObjectURL(source));
      figure.append(picture, el("figcaption", { class: "quiet" }, "Last photo: take the new one from the same place"));
      figure.hidden = false;
    });
  }
  return figure;
}
