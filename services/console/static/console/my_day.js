// What is typed on a page of one's own day stays in this browser until it is stored, a form for itself.

import { forget, keyOf, newKey, read, write } from "./my_store.js";

const page = document.querySelector(".mine").dataset;
const UNKEPT = new Set(["csrfmiddlewaretoken"]);
const UNKEPT_HERE = "This browser keeps nothing: send before you close the page.";
const OFFLINE = "There is no connection. What you typed is kept here; send it when there is one.";

function fieldsOf(form) {
  return [...new FormData(form)].filter(([name]) => !UNKEPT.has(name));
}

function putBack(form, fields) {
  for (const [name, value] of fields) {
    const field = form.elements[name];
    if (field) field.value = value;
  }
}

function keep(form) {
  const key = keyOf(page.person, form.dataset.keep);
  const about = form.parentElement.querySelector(".kept");
  const name = form.dataset.keep.split(" ")[0];
  if (page.stored === name) forget(key);
  const kept = read(key);
  if (kept && !form.dataset.typed) {
    putBack(form, kept.fields);
    tell(about, "What you typed before is here again; it is not sent yet. ");
    about.append(discard(key));
  }
  form.addEventListener("input", () => {
    // A page that was kept may have the key of what was sent from it.
    if (!read(key)) form.elements.key.value = newKey();
    if (!write(key, { fields: fieldsOf(form), person: page.person })) tell(about, UNKEPT_HERE);
  });
  form.addEventListener("submit", (event) => {
    if (navigator.onLine) return;
    event.preventDefault(); // the browser would put its own page in place of this one
    tell(about, OFFLINE);
    about.scrollIntoView({ block: "center" });
  });
}

function tell(about, text) {
  about.textContent = text;
  about.hidden = false;
}

function discard(key) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "plain discard";
  button.textContent = "Throw it away and begin anew";
  button.addEventListener("click", () => {
    forget(key);
    window.location.reload();
  });
  return button;
}

document.querySelectorAll("form[data-keep]").forEach(keep);
// A reload of the page must not throw away what is typed next.
if (page.stored) window.history.replaceState(null, "", window.location.pathname + window.location.search.replace(/&stored=[^&]*/, ""));
if ("serviceWorker" in navigator) navigator.serviceWorker.register(page.worker);
