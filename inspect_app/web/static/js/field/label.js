// The text of a part's QR label, as domain/part_label.py makes it: {house, part}, or null for any other text.

const ID = "[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}";
const FORM = new RegExp(`^https?://[^/?#\\s@\\\\]+/houses/(${ID})/parts/(${ID})/?$`);

// The origin is not looked at and nothing is ever followed: the two ids are all that is taken.
export function readLabel(text) {
  const found = FORM.exec(text);
  return found ? { house: found[1], part: found[2] } : null;
}
