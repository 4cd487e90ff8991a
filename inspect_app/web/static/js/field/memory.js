// What this browser remembers: its pairing with each house, its counter, entries that the office has not answered for.

const PREFIX = "inspect-log";

function read(key, fallback) {
  try {
    return JSON.parse(localStorage.getItem(`${PREFIX}/${key}`)) ?? fallback;
  } catch {
    return fallback;
  }
}

function write(key, value) {
  localStorage.setItem(`${PREFIX}/${key}`, JSON.stringify(value));
}

export const pairing = {
  get: (house) => read(`device/${house}`, null),
  set: (house, value) => write(`device/${house}`, value),
  forget: (house) => localStorage.removeItem(`${PREFIX}/device/${house}`),
};

export function nextSeq(device) {
  const seq = read(`seq/${device}`, 0) + 1;
  write(`seq/${device}`, seq);
  return seq;
}

export function raiseSeq(device, least) {
  if (read(`seq/${device}`, 0) < least) write(`seq/${device}`, least);
}

// The queue holds the exact text of each entry, so that sending again sends the same bytes.
export const queue = {
  all: (house) => read(`queue/${house}`, []),
  add(house, id, text) {
    write(`queue/${house}`, [...queue.all(house), { id, text }]);
  },
  drop(house, ids) {
    const gone = new Set(ids);
    write(`queue/${house}`, queue.all(house).filter((item) => !gone.has(item.id)));
  },
};

export const place = {
  get: (walk) => read(`place/${walk}`, {}),
  set: (walk, value) => write(`place/${walk}`, value),
};

export const looksOf = {
  get: (walk) => read(`looks/${walk}`, []),
  set: (walk, value) => write(`looks/${walk}`, value),
};

// Every entry this browser made in a walk, so that its closing can say what the office should have.
export const made = {
  get: (walk) => read(`made/${walk}`, []),
  add: (walk, id, seq) => write(`made/${walk}`, [...made.get(walk), { id, seq }]),
};
