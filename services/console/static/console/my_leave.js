// On every page: who signs out is told of a log that was not sent, and leaves nothing of their own behind.
// Whoever signs in after somebody whose time ran out throws away the pages that were kept for that one.
// The answer to the sign-out clears all that the site keeps (Clear-Site-Data); this is for browsers that do not.

const LOG = "dosewright-log:";
const PAGES = "dosewright-pages:";
const form = document.querySelector("form[data-leave]");

function logs() {
  return Object.keys(localStorage).filter((key) => key.startsWith(LOG));
}

function unsent() {
  return logs().filter((key) => {
    const text = localStorage.getItem(key) ?? "";
    return key.startsWith(`${LOG}${form.dataset.leave}:`) && !text.includes('"sent":');
  });
}

form?.addEventListener("submit", (event) => {
  const asked = "What you typed about a session is not sent yet, and is lost when you sign out. Sign out all the same?";
  if (unsent().length && !window.confirm(asked)) {
    event.preventDefault();
    return;
  }
  logs().forEach((key) => localStorage.removeItem(key));
});

if (form && "caches" in window) {
  const kept = (await caches.keys()).filter((name) => name.startsWith(PAGES));
  await Promise.all(kept.filter((name) => name !== PAGES + form.dataset.leave).map((name) => caches.delete(name)));
}
