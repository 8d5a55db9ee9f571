// An athlete's own session on a phone: what is typed is kept in the browser, and sent once.

import { BlockClock } from "./my_clocks.js";
import { addRow, blocksOf, entriesOf, nextNumber, restore, rowsOf, showErrors, snapshot } from "./my_rows.js";
import { ReportForm } from "./my_report.js";
import { backoff, look, send } from "./my_send.js";
import { forget, keyOf, newKey, read, write } from "./my_store.js";

const page = document.querySelector(".mine").dataset;
const form = document.getElementById("log");
const key = keyOf(page.person, page.session);

class Log {
  constructor() {
    this.state = form.querySelector("#send-state");
    this.button = form.querySelector("#send");
    this.about = document.querySelector(".kept");
    this.tries = 0;
    this.kept = read(key);
    if (this.kept?.sent) return this.alreadySent();
    if (this.kept) this.putBack();
    this.rules = JSON.parse(form.dataset.rules);
    this.clocks = blocksOf(form).map((block, place) => new BlockClock(
      block, this.rules[place], this.kept?.clocks?.[place], (told) => this.clockChanged(told),
    ));
    this.listen();
    setInterval(() => this.clocks.forEach((one) => one.runs && one.tick()), 250);
    if (this.kept?.wanted) this.deliver();
  }

  alreadySent() {
    form.hidden = true;
    this.about.hidden = false;
    this.about.textContent = "Your result is sent and stored. Load the page again with a connection to see what came of it.";
  }

  putBack() {
    restore(form, this.kept);
    this.tell(this.about, ["What you typed before is here again; it is not sent yet."]);
    this.about.hidden = false;
    this.offerToDiscard();
  }

  offerToDiscard() {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain discard";
    button.textContent = "Throw it away and begin anew";
    button.addEventListener("click", () => {
      if (!window.confirm("Throw away what you typed about this session?")) return;
      forget(key);
      window.location.reload();
    });
    this.about.append(" ", button);
  }

  listen() {
    form.addEventListener("input", () => this.save());
    form.addEventListener("change", (event) => {
      const row = event.target.closest(".set");
      if (row && event.target.type === "checkbox") this.clockOf(row).ticked(row);
      this.clocks.forEach((one) => one.tick());
      this.save();
    });
    form.addEventListener("click", (event) => this.clicked(event.target));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.tries = 0;
      showErrors(form, {}); // what was marked before may have been put right
      this.save({ wanted: true });
      this.deliver();
    });
    form.querySelectorAll(".add, .remove").forEach((one) => { one.hidden = false; });
    window.addEventListener("online", () => this.kept?.wanted && this.deliver());
  }

  clockOf(row) {
    return this.clocks[Number(row.closest(".block").dataset.block)];
  }

  clicked(target) {
    const block = target.closest(".block");
    if (target.classList.contains("add")) {
      const row = addRow(block, nextNumber(block), rowsOf(block).at(-1));
      row.querySelector("input").focus();
      this.save();
    } else if (target.classList.contains("remove")) {
      target.closest(".set").remove();
      block.querySelector(".add").focus();
      this.clocks.forEach((one) => one.tick());
      this.save();
    }
  }

  clockChanged({ begun }) {
    if (begun) form.elements.begun.value = wallTime(begun, page.zone);
    this.save();
  }

  // The key is made when the log is begun, and stays with it; so does the prescription that was followed.
  save(more = {}) {
    if (!this.kept) form.elements.key.value = newKey();
    this.kept = {
      ...this.kept, ...snapshot(form), clocks: this.clocks.map((one) => one.state), person: page.person, ...more,
    };
    if (!write(key, this.kept)) this.tell(this.state, ["This browser keeps nothing: send before you close the page."]);
  }

  async deliver() {
    if (this.sending) return;
    this.sending = true;
    this.lock(true);
    this.tell(this.state, ["Sending …"]);
    try {
      await this.once();
    } finally {
      this.sending = false;
    }
  }

  async once() {
    const seen = await look(page.state);
    if (seen.kind === "offline") return this.later(0);
    if (seen.kind === "signed-out") return this.signIn();
    if (seen.kind === "gone") return this.refuse({ title: "This session is not yours any more", detail: "Ask your coach." });
    if (seen.person !== page.person) return this.refuse({ title: "Somebody else is signed in here", detail: "Sign out, and sign in as yourself; what you typed is kept." });
    const told = entriesOf(form).filter(([, value]) => value !== ""); // a form has at most 1000 fields
    const answer = await send(window.location.pathname, told, seen.mark);
    if (answer.kind === "later") return this.later(answer.after);
    if (answer.kind === "signed-out") return this.signIn();
    if (answer.kind === "refused") return this.refuse(answer.told, seen.stored);
    write(key, { sent: Date.now() });
    this.tell(this.state, ["Stored."]);
    window.location.replace(`${window.location.pathname}?${Date.now()}#stored`);
  }

  later(asked) {
    this.tries += 1;
    this.tell(this.state, ["Not sent yet: there is no connection, or the service is busy. It is kept here, and goes out by itself while this page is open."]);
    this.offer("Change something first", () => { this.save({ wanted: false }); this.lock(false); this.tell(this.state, []); });
    setTimeout(() => this.kept?.wanted && this.deliver(), Math.max(asked, backoff(this.tries)));
  }

  signIn() {
    this.tell(this.state, ["You are signed out. What you typed is kept; sign in, and it is sent."]);
    const link = document.createElement("a");
    link.href = page.signIn;
    link.textContent = "Sign in and send";
    this.state.append(link);
  }

  refuse(told, stored = false) {
    this.save({ wanted: false });
    this.lock(false);
    const errors = told.fields ?? {};
    const first = showErrors(form, errors);
    this.tell(this.state, [
      `Not stored. ${titleOf(told)}`, errors[""] ?? told.detail, told.remedy, "What you typed is kept.",
    ]);
    if (stored) this.offer("Show the result that is stored", () => window.location.replace(window.location.pathname));
    (first ?? this.button).focus();
  }

  offer(text, act) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "quiet";
    button.textContent = text;
    button.addEventListener("click", act);
    this.state.append(button);
  }

  // While it is on its way nothing changes, so that what is tried again is the same.
  lock(shut) {
    this.button.disabled = shut;
    form.querySelectorAll(".block, .whole").forEach((one) => { one.inert = shut; });
  }

  tell(place, lines) {
    place.replaceChildren(...lines.filter(Boolean).map((line) => {
      const told = document.createElement("p");
      told.textContent = line;
      return told;
    }));
  }
}

function titleOf(told) {
  if (told.remedy && !told.title) return "";
  return `${told.title ?? "The service did not take it"}.`;
}

// An instant by the clock of the place, as a field for date and time takes it.
function wallTime(moment, zone) {
  const parts = new Intl.DateTimeFormat("sv-SE", { timeZone: zone, dateStyle: "short", timeStyle: "short" });
  return parts.format(moment).replace(" ", "T");
}

// A result is stored: this log, or one from elsewhere, and then what was typed here is not dropped unasked.
function beside() {
  const kept = read(key);
  const own = kept?.fields?.some(([name, value]) => name === "key" && value === page.stored);
  if (!kept || kept.sent || own) return forget(key);
  const about = document.querySelector(".kept");
  const button = document.createElement("button");
  button.type = "button";
  button.className = "plain discard";
  button.textContent = "Throw it away";
  button.addEventListener("click", () => { forget(key); about.hidden = true; });
  about.textContent = "Another result was stored first; what you typed on this device was not sent, and counts for nothing. ";
  about.append(button);
  about.hidden = false;
}

if (page.stored) beside();
else if (form) new Log();
new ReportForm(document.getElementById("report"), page);
if ("serviceWorker" in navigator) navigator.serviceWorker.register(page.worker);
