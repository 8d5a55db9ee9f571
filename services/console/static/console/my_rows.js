// The rows of a log: what stands in them, adding and taking away, and putting back what was kept.

const POUND_KG = 0.45359237; // exactly: international yard and pound agreement, 1959
const IN_WEIGHT = /-(load|assistance|heaviest)$/;
const HIDDEN = new Set(["csrfmiddlewaretoken"]);

export function entriesOf(form) {
  return [...new FormData(form)].filter(([name]) => !HIDDEN.has(name));
}

export function blocksOf(form) {
  return [...form.querySelectorAll(".block")];
}

export function rowsOf(block) {
  return [...block.querySelectorAll(".set")];
}

function inRow(row, short) {
  return row.querySelector(`[name="${row.dataset.row}-${short}"]`);
}

export function numberIn(text) {
  const value = Number.parseFloat(String(text).replace(",", "."));
  return Number.isFinite(value) ? value : null;
}

export function isDone(row) {
  return inRow(row, "done").checked;
}

export function setRest(row, seconds) {
  inRow(row, "rest").value = String(Math.round(seconds));
}

export function setInterval_(row, interval) {
  const field = inRow(row, "interval");
  if (field && !field.value) field.value = String(interval + 1);
}

export function plannedRest(row) {
  return row ? numberIn(row.dataset.rest) : null;
}

// The ticked sets as my_rules.js reads them.
export function setsOf(block) {
  return rowsOf(block).filter(isDone).map((row) => ({
    work: inRow(row, "what").value.split(" ")[0],
    amount: numberIn(inRow(row, "amount").value) ?? 0,
    rest: numberIn(inRow(row, "rest").value),
    ended: inRow(row, "ended").value,
    interval: numberIn(inRow(row, "interval")?.value ?? ""),
  }));
}

// A row from the block's template, under the given number; like: a row whose values it takes over.
export function addRow(block, number, like = null) {
  const place = block.dataset.block;
  const row = block.querySelector("template").content.firstElementChild.cloneNode(true);
  for (const one of [row, ...row.querySelectorAll("*")]) {
    for (const { name, value } of [...one.attributes]) {
      if (value.includes(`${place}-new`)) one.setAttribute(name, value.replaceAll(`${place}-new`, `${place}-${number}`));
    }
  }
  block.querySelector(".sets").append(row);
  if (like) takeOver(row, like);
  row.querySelector(".remove").hidden = false;
  return row;
}

function takeOver(row, like) {
  for (const short of ["what", "amount", "load", "assistance", "height", "rest", "load_kg", "assistance_kg"]) {
    inRow(row, short).value = inRow(like, short).value;
  }
}

export function nextNumber(block) {
  const taken = rowsOf(block).map((row) => Number(row.dataset.row.split("-")[1]));
  return Math.max(-1, ...taken) + 1;
}

export function snapshot(form) {
  const rows = {};
  for (const block of blocksOf(form)) {
    rows[block.dataset.block] = rowsOf(block).map((row) => row.dataset.row.split("-")[1]);
  }
  return { rows, fields: entriesOf(form) };
}

export function restore(form, kept) {
  const unit = form.elements.weights.value;
  for (const block of blocksOf(form)) restoreRows(block, kept.rows[block.dataset.block] ?? []);
  for (const box of form.querySelectorAll("input[type=checkbox]")) box.checked = false;
  const was = new Map(kept.fields);
  for (const [name, value] of kept.fields) {
    const field = form.elements.namedItem(name);
    if (!field || name === "weights") continue;
    if (field.type === "checkbox") field.checked = true;
    else field.value = value;
  }
  if (was.get("weights") !== unit) convert(form, was, unit);
}

function restoreRows(block, numbers) {
  for (const row of rowsOf(block)) {
    if (!numbers.includes(row.dataset.row.split("-")[1])) row.remove();
  }
  const list = block.querySelector(".sets");
  for (const number of numbers) {
    const row = list.querySelector(`[data-row="${block.dataset.block}-${number}"]`) ?? addRow(block, number);
    list.append(row); // in the order in which they were kept
  }
}

// What was typed in one unit, in the other; what was left as planned is exactly as planned.
function convert(form, was, unit) {
  for (const [name, text] of was) {
    const value = numberIn(text);
    const field = form.elements.namedItem(name);
    if (!IN_WEIGHT.test(name) || value === null || !field) continue;
    const meant = numberIn(was.get(`${name}_kg`) ?? "");
    if (unit === "lb") field.value = String(Math.round((value / POUND_KG) * 10) / 10);
    else if (meant !== null && Math.round((meant / POUND_KG) * 10) / 10 === value) field.value = String(meant);
    else field.value = String(Math.round(value * POUND_KG * 100) / 100);
  }
}

// Complaints beside their fields; the first of them, or null.
export function showErrors(form, errors) {
  form.querySelectorAll(".error").forEach((one) => one.remove());
  form.querySelectorAll("[aria-invalid]").forEach((one) => {
    one.removeAttribute("aria-invalid");
    one.removeAttribute("aria-describedby");
    one.closest(".wrong")?.classList.remove("wrong");
  });
  const fields = Object.entries(errors).map(([name, text]) => showError(form, name, text)).filter(Boolean);
  fields.sort((one, other) => (one.compareDocumentPosition(other) & Node.DOCUMENT_POSITION_FOLLOWING ? -1 : 1));
  return fields[0] ?? null;
}

function showError(form, name, text) {
  const found = name ? form.elements.namedItem(name) : null;
  if (!found) return null;
  const field = found instanceof RadioNodeList ? found[0] : found;
  const box = field.closest(".ask, .ways");
  const error = document.createElement("p");
  error.className = "error";
  error.id = `f-${name}-error`;
  error.textContent = text;
  box.classList.add("wrong");
  box.append(error);
  field.setAttribute("aria-invalid", "true");
  field.setAttribute("aria-describedby", error.id);
  field.closest("details")?.setAttribute("open", "");
  return field;
}
