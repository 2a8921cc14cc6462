// What the scripts of the lab's widgets share: nodes, words, tables, and keys that stay with them.

function make(tag, className, parent, text = "") {
  const node = document.createElement(tag);
  if (className) node.className = className;
  node.textContent = text;
  if (parent) parent.append(node);
  return node;
}

// Only what has changed is touched: a page laid out anew costs more than the picture, and a reader would read it again.
function say(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

function fillTable(table, caption, rows) {
  const shape = rows.map((row) => row.length).join();
  if (table.dataset.shape !== shape) {
    table.replaceChildren();
    table.dataset.shape = shape;
    if (!rows.length) return;
    make("caption", "", table);
    const parts = [make("thead", "", table), make("tbody", "", table)];
    rows.forEach((row, n) => {
      const line = make("tr", "", parts[n ? 1 : 0]);
      row.forEach((_, i) => {
        const cell = make(n && i ? "td" : "th", "", line);
        if (!n) cell.scope = "col";
        else if (!i) cell.scope = "row";
      });
    });
  }
  if (!rows.length) return;
  say(table.caption, caption);
  rows.forEach((row, n) => row.forEach((text, i) => say(table.rows[n].cells[i], text)));
}

// Arrow keys, Enter and letters belong to the control that has the focus; JupyterLab would move through the page or cut
// cells with them. Many of its shortcuts ask for the focused node itself, so the mark has to stand there.
function ownKeys(root) {
  root.addEventListener("focusin", ({ target }) => target.setAttribute("data-lm-suppress-shortcuts", "true"));
}
