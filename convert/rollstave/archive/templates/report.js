"use strict";
// Sorting and searching; without it the page is a plain table.
document.documentElement.classList.add("scripted");
const body = document.querySelector("#tunes tbody");
const rows = [...body.rows];
const words = document.getElementById("words");
const status = document.getElementById("status");
const shown = document.getElementById("shown");
const texts = rows.map((row) => row.textContent.toLocaleLowerCase());
const order = new Intl.Collator(undefined, { numeric: true, sensitivity: "base" });

function value(row, column) {
  const cell = row.cells[column];
  return (cell.dataset.value ?? cell.textContent).trim();
}

function filter() {
  const wanted = words.value.toLocaleLowerCase().split(/\s+/).filter(Boolean);
  let count = 0;
  rows.forEach((row, n) => {
    const fits = (!status.value || row.dataset.status === status.value)
      && wanted.every((word) => texts[n].includes(word));
    row.hidden = !fits;
    if (fits) count += 1;
  });
  shown.textContent = `${count} of ${rows.length} shown`;
}

document.querySelectorAll("#tunes thead th").forEach((head, column) => {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = head.textContent;
  head.replaceChildren(button);
  button.addEventListener("click", () => {
    const down = head.getAttribute("aria-sort") === "ascending";
    document.querySelectorAll("#tunes thead th").forEach((h) => h.removeAttribute("aria-sort"));
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
    const sorted = rows.map((row) => [value(row, column), row]);
    // Rows that have nothing there come last either way.
    sorted.sort((a, b) => (a[0] === "") - (b[0] === "")
      || order.compare(a[0], b[0]) * (down ? -1 : 1));
    body.append(...sorted.map((pair) => pair[1]));
  });
});
words.addEventListener("input", filter);
status.addEventListener("change", filter);
filter();
