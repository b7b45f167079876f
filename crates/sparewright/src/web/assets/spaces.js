// Indexing goes on when the network does not: every move is on the page, the place is kept on this device until the notebook
// has written it down.
"use strict";
(() => {
  const space = document.getElementById("space");
  if (!space) return;
  const moves = [...document.querySelectorAll("#moves li")];
  const rounds = [...document.querySelectorAll("#rounds li")];
  const [cut, steps] = [Number(space.dataset.cut), Number(space.dataset.steps)];
  const key = space.dataset.keyOf;
  const store = `place ${space.dataset.job} ${key}`;
  const say = (text, wrong) => {
    const kept = document.getElementById("kept");
    kept.textContent = text;
    kept.className = wrong ? "wrong" : "soft";
  };
  // "3 of 12 in round 2"
  const told = (count) => {
    const round = Math.ceil(count / cut) || 1;
    return `${count - (round - 1) * cut} of ${cut}${rounds.length > 1 ? ` in round ${round}` : ""}`;
  };

  // what the notebook has written down, and what stands here
  let written = Number(space.dataset.done);
  let here = written;
  const waiting = JSON.parse(localStorage.getItem(store) ?? "null");
  // a place kept here counts if the notebook stands where it was begun from, or has been told a part of the way since
  if (waiting && (waiting.seen === written || (written > waiting.seen && waiting.to > written))) here = waiting.to;

  const show = () => {
    const over = here >= steps;
    const round = Math.min(Math.floor(here / cut), rounds.length - 1);
    const at = over ? cut - 1 : here % cut;
    const line = over ? undefined : moves[at];
    document.getElementById("number").textContent = at + 1;
    document.getElementById("round").textContent = rounds[round].dataset.says;
    const first = at === 0 ? rounds[round].dataset.first : undefined;
    document.getElementById("move").textContent = line ? first ?? line.dataset.move : "All spaces are cut.";
    document.getElementById("pin").textContent = line ? line.dataset.pin : "";
    document.getElementById("after").textContent = line ? moves[at + 1]?.dataset.then ?? "" : "";
    document.getElementById("stop-here").textContent = (here > 0 && line?.dataset.check) || "";
    document.getElementById("over").hidden = !over;
    document.querySelector("[data-step=back] button").disabled = here === 0;
    document.querySelector("[data-step=on] button").disabled = over;
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
          say(`Another device has moved on: ${told(written)} are cut.`, true);
        } else say(`Written down: ${told(written)}.`);
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

  // One press is one step: what comes within half a second of the last step, or of the page itself, is a hand that shook.
  const PAUSE = 500;
  let ready = performance.now() + PAUSE;
  document.addEventListener("submit", (event) => {
    const step = event.target.dataset.step;
    if (!step) return;
    event.preventDefault();
    if (performance.now() < ready) {
      say("That press came too soon after the last and was not counted.");
      return;
    }
    const next = here + (step === "on" ? 1 : -1);
    if (next < 0 || next > steps) return;
    ready = performance.now() + PAUSE;
    here = next;
    keep();
    show();
    send();
  });
  // a screen that has slept may be behind
  document.addEventListener("visibilitychange", () => { if (!document.hidden && here === written) location.reload(); });
  show();
  send();
})();
