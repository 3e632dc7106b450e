/* SPDX-License-Identifier: GPL-3.0-or-later
 * Lets the rows of a table be put into another order by its heads.  The page is complete without.
 * (No less-than and no ampersand in here: the page is well-formed XML too.) */
"use strict";
for (const table of document.querySelectorAll("table.sortable")) {
    const heads = table.querySelectorAll("th[data-c]");
    /* a number, else the words; what is not told comes last */
    const key = (row, c) => {
        const cell = row.cells[c];
        const text = cell.dataset.v ?? cell.textContent.trim();
        return text === "-" || text === "" ? null : isNaN(text) ? text : Number(text);
    };
    const order = (a, b, way) =>
        a === b ? 0 : a === null ? 1 : b === null ? -1 : a > b ? way : -way;
    table.classList.add("live");
    for (const head of heads) {
        const button = document.createElement("button");
        button.type = "button";
        button.dataset.h = head.dataset.h;
        button.append(...head.childNodes);
        head.append(button);
        button.addEventListener("click", () => {
            const way = head.getAttribute("aria-sort") === "ascending" ? -1 : 1;
            const c = Number(head.dataset.c);
            for (const other of heads) {
                other.removeAttribute("aria-sort");
            }
            head.setAttribute("aria-sort", way > 0 ? "ascending" : "descending");
            table.tBodies[0].append(...Array.from(table.tBodies[0].rows).sort(
                (a, b) => order(key(a, c), key(b, c), way)));
        });
    }
}
