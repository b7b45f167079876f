// Indexing goes on when the network does not: every move is on the page, the place is kept on this device until the notebook
// has written it down.
"use strict";
(() => {
  const space = document.getElementById("space");
  if (!space) return;
  const moves = [...document.querySelectorAll("#moves li")];
  const cut = Number(space.dataset.cut);
  const key = space.dataset.keyOf;
  const store = `place ${space.dataset.job} ${key}`;
  const piece = new URLSearchParams(location.search).get("piece");
  const say = (text, wrong) => {
    const kept = document.getElementById("kept");
    kept.textContent = text;
    kept.className = wrong ? "wrong" : "soft";
  };

  // what the notebook has written down, and what stands here
  let written = Number(space.dataset.done);
  let here = written;
  const waiting = JSON.parse(localStorage.getItem(store) ?? "null");
  // a place kept here counts if the notebook stands where it was begun from, or has been told a part of the way since
  if (waiting && (waiting.seen === written || (written > waiting.seen && waiting.to > written))) here = waiting.to;

  const show = () => {
    const line = moves[here];
    document.getElementById("number").textContent = Math.min(here + 1, cut);
    document.getElementById("move").textContent = line ? line.dataset.move : "All spaces are cut.";
    document.getElementById("pin").textContent = line ? line.dataset.pin : "";
    document.getElementById("after").textContent = moves[here + 1]?.dataset.then ?? "";
    document.getElementById("stop-here").textContent = line?.dataset.check ?? "";
    document.querySelector("[data-step=back] button").disabled = here === 0;
    document.querySelector("[data-step=on] button").disabled = here >= cut;
  };

  let sending = false;
  const text = (count) => (count === 0 ? "" : String(count));
  const send = async () => {
    if (sending || here === written) return;
    sending = true;
    const wanted = here;
    try {
      const answer = await fetch(`/api/jobs/${space.dataset.job}/marks`, {
        method: "PUT",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ key, seen: text(written), value: text(wanted) }),
        signal: AbortSignal.timeout(8000),
      });
      if (answer.ok || answer.status === 409) {
        written = Number((await answer.json()).value || 0);
        if (answer.status === 409) {
          here = written;
          say(`Another device has moved this piece to space ${written + 1}.`, true);
        } else say(`Written down: ${written} of ${cut}.`);
      } else if (answer.status === 401) say("This device is not paired any more. Pair it again; the place is kept here.", true);
      else say("The notebook could not write this down. The place is kept here and tried again.", true);
    } catch {
      say("The notebook is not reached. Go on; the place is kept on this device and written down when it is.", true);
    }
    sending = false;
    keep();
    show();
    if (here !== written) setTimeout(send, 1500);
  };
  const keep = () => {
    if (here === written) localStorage.removeItem(store);
    else localStorage.setItem(store, JSON.stringify({ seen: written, to: here }));
  };

  document.addEventListener("submit", (event) => {
    const step = event.target.dataset.step;
    if (!step) return;
    event.preventDefault();
    const next = here + (step === "on" ? 1 : -1);
    if (next < 0 || next > cut) return;
    here = next;
    keep();
    show();
    send();
    if (here === cut && !piece) say("All spaces are cut.");
  });
  // a screen that has slept may be behind
  document.addEventListener("visibilitychange", () => { if (!document.hidden && here === written) location.reload(); });
  show();
  send();
})();
