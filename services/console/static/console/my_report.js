// The report of pain or of a warning sign: what to do stands on the page already; the report goes out when it can.

import { backoff, look, send } from "./my_send.js";
import { forget, newKey, read, write } from "./my_store.js";

export class ReportForm {
  constructor(form, page) {
    this.form = form;
    this.page = page;
    this.key = `dosewright-log:${page.person}:report:${page.session}`;
    this.place = form.querySelector("#report-state");
    this.tries = 0;
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      form.elements.key.value ||= newKey();
      const entries = [...new FormData(form)].filter(([name]) => name !== "csrfmiddlewaretoken");
      write(this.key, { entries });
      this.deliver();
    });
    window.addEventListener("online", () => this.deliver());
    this.deliver();
  }

  async deliver() {
    const kept = read(this.key);
    if (!kept || this.sending) return;
    this.sending = true;
    this.form.querySelector("button").disabled = true;
    try {
      await this.tell(kept.entries);
    } finally {
      this.sending = false;
    }
  }

  async tell(entries) {
    const seen = await look(this.page.state);
    if (seen.kind === "signed-out") return this.say(["Not sent: you are signed out.", "Sign in, and it goes out by itself. Stop all the same, and tell somebody."], this.page.signIn);
    if (seen.kind !== "here" || seen.person !== this.page.person) return this.later();
    const answer = await send(this.form.action, entries, seen.mark);
    if (answer.kind === "later" || answer.kind === "signed-out") return this.later();
    const told = answer.told.lines ?? [answer.told.title ?? "", answer.told.detail ?? ""];
    forget(this.key);
    this.form.elements.key.value = "";
    this.form.querySelector("button").disabled = false;
    this.say([answer.kind === "stored" ? "Reported. Stop now." : "Not stored.", ...told]);
  }

  later() {
    this.say(["Not sent yet: there is no connection. It goes out by itself. Stop all the same, and tell somebody."]);
    this.tries += 1;
    setTimeout(() => this.deliver(), backoff(this.tries));
  }

  say(lines, address = null) {
    this.place.replaceChildren(...lines.filter(Boolean).map((line) => {
      const told = document.createElement("p");
      told.textContent = line;
      return told;
    }));
    if (!address) return;
    const link = document.createElement("a");
    link.href = address;
    link.textContent = "Sign in";
    this.place.append(link);
  }
}
