// The scan line on a page: control characters that a hand scanner types as keys, which a browser would drop or take
// for a shortcut. Without script the line still works for everything that has none.
"use strict";
(() => {
  const keys = { "]": "\u001d", "6": "\u001e", "^": "\u001e", "d": "\u0004", "D": "\u0004" };
  const spelled = { "\u001d": "{GS}", "\u001e": "{RS}", "\u0004": "{EOT}" };
  const fields = document.querySelectorAll("#scan, input.scanned, textarea.lines, #label, #name");
  for (const field of fields) {
    field.addEventListener("keydown", (event) => {
      if (!event.ctrlKey || event.altKey || event.metaKey || !(event.key in keys)) return;
      event.preventDefault();
      const at = field.selectionStart ?? field.value.length;
      const written = spelled[keys[event.key]];
      field.value = field.value.slice(0, at) + written + field.value.slice(field.selectionEnd ?? at);
      field.setSelectionRange(at + written.length, at + written.length);
    });
  }
  // A scanner ends with Enter: go on to the next empty scan field of the same form instead of sending half a question.
  for (const field of document.querySelectorAll("form input.scanned")) {
    field.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || !field.value.trim()) return;
      const empty = [...field.form.querySelectorAll("input.scanned")].find((other) => !other.value.trim());
      if (empty) { event.preventDefault(); empty.focus(); }
    });
  }
})();
