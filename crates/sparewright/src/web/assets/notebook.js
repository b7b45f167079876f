// What the page does beyond its forms: short keys, and lines that are filled in. Without this script every form still works.
"use strict";
(() => {
  const line = () => document.getElementById("line");

  /** Puts a line into the place readings are written in, for the feature it is of. */
  const fill = (text, at) => {
    const input = line();
    if (!input) return;
    if (at) {
      const choice = document.querySelector(`#entry input[name=at][value="${CSS.escape(at)}"]`);
      if (choice && choice.type === "radio") choice.checked = true;
    }
    input.value = text;
    input.focus();
    input.setSelectionRange(text.length, text.length);
    input.scrollIntoView({ block: "center" });
    input.dispatchEvent(new Event("echo"));
  };

  document.addEventListener("click", (event) => {
    const to = event.target.closest("[data-fill]");
    if (to && line()) {
      event.preventDefault();
      fill(to.dataset.fill, to.dataset.at);
    }
  });

  // A figure that is offered is put into the box it is offered for.
  document.addEventListener("click", (event) => {
    const put = event.target.closest("[data-put]");
    const box = put?.closest("form")?.querySelector("input[name=text]");
    if (!box) return;
    box.value = put.dataset.put;
    box.focus();
    box.dispatchEvent(new Event("input", { bubbles: true }));
  });

  document.addEventListener("change", (event) => {
    if (event.target.matches("#entry input[name=at]")) line()?.dispatchEvent(new Event("echo"));
  });

  // Down from the line goes to the ways it may go on, left and right between them, up or Escape back.
  document.addEventListener("keydown", (event) => {
    const ways = [...document.querySelectorAll(".ways .way")];
    const here = ways.indexOf(document.activeElement);
    if (document.activeElement === line() && event.key === "ArrowDown" && ways.length) {
      event.preventDefault();
      ways[0].focus();
    } else if (here >= 0) {
      const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1 }[event.key];
      if (event.key === "Escape" || event.key === "ArrowUp") {
        event.preventDefault();
        line()?.focus();
      } else if (step) {
        event.preventDefault();
        ways[(here + step + ways.length) % ways.length].focus();
      }
    }
  });

  // Short keys: a letter, when nothing is being typed. They can be turned off on the page Keys.
  const off = () => localStorage.getItem("short-keys") === "off";
  const typing = (target) => target.closest("input:not([type=radio]):not([type=checkbox]), textarea, select, [contenteditable]");
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && typing(event.target)) event.target.blur();
    // what has the focus takes the space bar itself
    if (event.key === " " && event.target.closest("button, a, summary, label, input")) return;
    if (off() || event.ctrlKey || event.metaKey || event.altKey || event.isComposing || typing(event.target)) return;
    const to = document.querySelector(`[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
    if (!to) return;
    event.preventDefault();
    if (to.matches("input, textarea")) to.focus();
    else to.click();
  });

  // A reading written by the button: the next is typed in the same place.
  document.addEventListener("htmx:afterSettle", (event) => {
    if (event.detail.requestConfig?.elt?.id === "entry") line()?.focus({ preventScroll: true });
  });

  // At the machine the space bar always means the large button, whatever was tapped last.
  document.addEventListener("click", (event) => event.target.closest(".thumb button")?.blur());

  // On paper nothing can be opened.
  window.addEventListener("beforeprint", () => {
    for (const one of document.querySelectorAll(".steps details, .scanned")) one.open = true;
  });

  const keys = document.getElementById("short-keys");
  if (keys) {
    keys.checked = !off();
    keys.addEventListener("change", () => localStorage.setItem("short-keys", keys.checked ? "on" : "off"));
  }
})();
