// What is typed stays in this browser until it is sent: one entry a person and session, never shown to anybody else.
// The prescription is in the entry and not in its key, so that a change of it in the middle loses nothing.

const LOG = "dosewright-log:";

export function keyOf(person, session) {
  return `${LOG}${person}:${session}`;
}

export function read(key) {
  const text = localStorage.getItem(key);
  if (text === null) return null;
  try {
    return JSON.parse(text);
  } catch (error) {
    if (error instanceof SyntaxError) return null;
    throw error;
  }
}

// Whether it could be kept: a browser may have no room, or keep nothing.
export function write(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
    return true;
  } catch (error) {
    if (error instanceof DOMException) return false;
    throw error;
  }
}

export function forget(key) {
  localStorage.removeItem(key);
}

// A key for sending once. crypto.randomUUID is missing where the page did not come over HTTPS.
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (one) => one.toString(16).padStart(2, "0")).join("");
}
