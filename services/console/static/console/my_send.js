// Sending: the fields of a form to its own address, once for each key however often it is tried.

const BUSY = new Set([408, 425, 429, 500, 502, 503, 504]);
const PATIENCE_MS = 20000;

// {kind}: "here" with who is signed in and a fresh mark for forms, "signed-out", "offline", "gone".
export async function look(address) {
  const answer = await reach(address, { headers: { Accept: "application/json" } });
  if (answer === null) return { kind: "offline" };
  if (answer.type === "opaqueredirect") return { kind: "signed-out" };
  if (BUSY.has(answer.status)) return { kind: "offline" };
  if (!answer.ok) return { kind: "gone" };
  return { kind: "here", ...answer.told };
}

// {kind, told}: "stored", "refused" with the problem, "signed-out", or "later" where it is to be tried again.
export async function send(address, entries, mark) {
  const body = new URLSearchParams([...entries, ["csrfmiddlewaretoken", mark]]);
  const answer = await reach(address, { method: "POST", body, headers: { Accept: "application/json" } });
  if (answer === null || BUSY.has(answer.status)) return { kind: "later", after: waitOf(answer) };
  if (answer.type === "opaqueredirect") return { kind: "signed-out" };
  const { told } = answer;
  if (answer.ok) return { kind: "stored", told };
  if (told?.code === "request_in_progress") return { kind: "later", after: waitOf(answer) };
  return { kind: "refused", status: answer.status, told: told ?? {} };
}

// The whole answer, or null: without a connection, with one that breaks in the middle of it, and with one that hangs.
// What was sent may have arrived all the same; sent again under its key it does nothing twice.
async function reach(address, options) {
  const patience = new AbortController();
  const waits = setTimeout(() => patience.abort(), PATIENCE_MS);
  try {
    const answer = await fetch(address, {
      ...options, redirect: "manual", credentials: "same-origin", cache: "no-store", signal: patience.signal,
    });
    const { type, status, ok, headers } = answer;
    return { type, status, ok, headers, told: await jsonOf(answer) };
  } catch (error) {
    if (error instanceof TypeError || error.name === "AbortError") return null;
    throw error;
  } finally {
    clearTimeout(waits);
  }
}

async function jsonOf(answer) {
  const type = answer.headers.get("Content-Type") ?? "";
  return type.includes("json") ? answer.json() : null;
}

function waitOf(answer) {
  const asked = Number(answer?.headers.get("Retry-After"));
  return Number.isFinite(asked) ? asked * 1000 : 0;
}

// Waits of 2, 4, 8 … 60 s, each a little different, so that a gym that comes back does not send as one.
export function backoff(tries) {
  return Math.min(60000, 2000 * 2 ** Math.min(tries, 5)) * (0.75 + Math.random() / 2);
}
