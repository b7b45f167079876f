// A picture is sent; a scan is looked at near to; the points of its outline are dragged.
"use strict";
(() => {
  // Sending a picture, with how much of it has gone.
  const put = document.getElementById("put");
  if (put) {
    const bar = document.getElementById("sent");
    const says = document.getElementById("put-says");
    put.addEventListener("submit", (event) => event.preventDefault());
    put.addEventListener("change", (event) => {
      const file = event.target.files?.[0];
      if (!file) return;
      // a picture just taken is called "image.jpg" every time
      const stem = event.target.id === "camera" ? `taken-${new Date().toISOString().slice(0, 16).replace(/[:T]/g, "-")}.jpg` : file.name;
      const name = encodeURIComponent(stem);
      const request = new XMLHttpRequest();
      request.upload.addEventListener("progress", (sent) => {
        bar.hidden = false;
        if (sent.lengthComputable) bar.value = sent.loaded / sent.total;
        says.textContent = "Sending …";
      });
      request.addEventListener("load", () => {
        if (request.status === 200) location.assign(put.dataset.then + name);
        else {
          let why = "The picture was not taken in.";
          try { why = JSON.parse(request.responseText).why; } catch { /* no words came with it */ }
          says.textContent = why;
          bar.hidden = true;
        }
      });
      request.addEventListener("error", () => { says.textContent = "The notebook was not reached. Nothing was sent; try again."; bar.hidden = true; });
      request.open("PUT", put.dataset.to + name);
      request.setRequestHeader("Content-Type", "application/octet-stream");
      request.send(file);
    });
    document.addEventListener("dragover", (event) => event.preventDefault());
    document.addEventListener("drop", (event) => {
      event.preventDefault();
      const input = document.getElementById("picture");
      if (event.dataTransfer.files.length) {
        input.files = event.dataTransfer.files;
        input.dispatchEvent(new Event("change", { bubbles: true }));
      }
    });
  }

  // Looking near to: the sheet is moved and magnified inside its pane.
  const pane = document.getElementById("pane");
  if (!pane) return;
  const sheet = document.getElementById("sheet");
  const view = { x: 0, y: 0, scale: 1 };
  const show = () => {
    const least = 1;
    view.scale = Math.min(24, Math.max(least, view.scale));
    const limit = (at, size) => Math.min(0, Math.max(size * (1 - view.scale), at));
    view.x = limit(view.x, pane.clientWidth);
    view.y = limit(view.y, pane.clientHeight);
    sheet.style.transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale})`;
    // points and lines keep their size on the glass
    sheet.style.setProperty("--one", 1 / view.scale);
  };
  const zoom = (by, x, y) => {
    if (by === 0) Object.assign(view, { x: 0, y: 0, scale: 1 });
    else {
      const before = view.scale;
      view.scale = Math.min(24, Math.max(1, before * by));
      const grown = view.scale / before;
      view.x = x - (x - view.x) * grown;
      view.y = y - (y - view.y) * grown;
    }
    show();
  };
  const middle = () => [pane.clientWidth / 2, pane.clientHeight / 2];
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-zoom]");
    if (button) zoom(Number(button.dataset.zoom), ...middle());
  });
  pane.addEventListener("wheel", (event) => {
    // the page still scrolls by where nothing can be moved any more
    if (!event.ctrlKey && view.scale === 1 && event.deltaY > 0) return;
    event.preventDefault();
    const box = pane.getBoundingClientRect();
    zoom(Math.exp(-event.deltaY / 400), event.clientX - box.left, event.clientY - box.top);
  }, { passive: false });
  const fingers = new Map();
  pane.addEventListener("pointerdown", (event) => {
    if (event.target.closest(".point")) return;
    pane.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, event);
  });
  pane.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const others = [...fingers.values()].filter((finger) => finger.pointerId !== event.pointerId);
    if (others.length === 1) {
      const box = pane.getBoundingClientRect();
      const apart = (finger) => Math.hypot(finger.clientX - others[0].clientX, finger.clientY - others[0].clientY);
      zoom(apart(event) / Math.max(1, apart(before)), (event.clientX + others[0].clientX) / 2 - box.left, (event.clientY + others[0].clientY) / 2 - box.top);
    } else {
      view.x += event.clientX - before.clientX;
      view.y += event.clientY - before.clientY;
      show();
    }
    fingers.set(event.pointerId, event);
  });
  for (const end of ["pointerup", "pointercancel"]) pane.addEventListener(end, (event) => fingers.delete(event.pointerId));
  pane.addEventListener("keydown", (event) => {
    if (event.target !== pane) return;
    const step = { ArrowLeft: [40, 0], ArrowRight: [-40, 0], ArrowUp: [0, 40], ArrowDown: [0, -40] }[event.key];
    if (!step || view.scale === 1) return;
    event.preventDefault();
    view.x += step[0];
    view.y += step[1];
    show();
  });

  // Mending the outline: its steps in figures are what is kept; the points drawn are only a handle on them.
  const text = document.getElementById("path");
  const svg = document.getElementById("mend");
  if (!text || !svg) return;
  const [ox, oy, up, unit] = svg.dataset.frame.split(" ").map(Number);
  const [sin, cos] = [Math.sin(up - Math.PI / 2), Math.cos(up - Math.PI / 2)];
  const toSheet = ([x, y]) => { const [a, b] = [x * unit, y * unit]; return [ox + a * cos - b * sin, -(oy + a * sin + b * cos)]; };
  const toPart = ([x, y]) => { const [dx, dy] = [x - ox, -y - oy]; return [(dx * cos + dy * sin) / unit, (-dx * sin + dy * cos) / unit]; };
  const places = unit > 2 ? 4 : 3;
  const make = (name, attributes) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    return made;
  };
  // a step: where it ends and, for an arc, its bend: the height of the arc over half its chord, positive anticlockwise
  const read = () => {
    const steps = [];
    for (const line of text.value.split("\n")) {
      const words = line.trim().split(/[\s,]+/);
      const figures = words.map((word) => Number(word.replace("−", "-")));
      const from = steps.at(-1)?.to;
      if (words[0] === "start") steps.push({ to: [figures[1], figures[2]] });
      else if (words[0] === "line" && from) steps.push({ to: [figures[2], figures[3]] });
      else if (words[0] === "arc" && from) {
        const [to, centre] = [[figures[2], figures[3]], [figures[5], figures[6]]];
        const angle = (point) => Math.atan2(point[1] - centre[1], point[0] - centre[0]);
        let turn = (angle(to) - angle(from) + 4 * Math.PI) % (2 * Math.PI);
        if (words[7] === "clockwise") turn -= 2 * Math.PI;
        steps.push({ to, bend: Math.tan(turn / 4) });
      } else if (line.trim()) return null;
    }
    return steps.every((step) => step.to.every(Number.isFinite)) ? steps : null;
  };
  const figure = (value) => value.toFixed(places);
  const write = (steps) => {
    text.value = steps.map((step, index) => {
      const [x, y] = step.to.map(figure);
      if (index === 0) return `start ${x} ${y}`;
      if (step.bend === undefined) return `line to ${x} ${y}`;
      const [a, b] = [steps[index - 1].to, step.to];
      const half = [(b[0] - a[0]) / 2, (b[1] - a[1]) / 2];
      // the centre stands off the chord's middle by (1 − b²) / 2b of half the chord, to the left of the way
      const off = (1 - step.bend * step.bend) / (2 * step.bend);
      const centre = [a[0] + half[0] - off * half[1], a[1] + half[1] + off * half[0]];
      return `arc to ${x} ${y} about ${centre.map(figure).join(" ")}${step.bend < 0 ? " clockwise" : ""}`;
    }).join("\n");
  };
  const draw = () => {
    const steps = read();
    svg.replaceChildren();
    if (!steps) return;
    let way = "";
    steps.forEach((step, index) => {
      const [x, y] = toSheet(step.to);
      if (index === 0) way += `M${x} ${y}`;
      else if (step.bend === undefined) way += `L${x} ${y}`;
      else {
        const [a, b] = [toSheet(steps[index - 1].to), [x, y]];
        const chord = Math.hypot(b[0] - a[0], b[1] - a[1]);
        const radius = chord * (1 + step.bend * step.bend) / (4 * Math.abs(step.bend));
        way += `A${radius} ${radius} 0 ${Math.abs(step.bend) > 1 ? 1 : 0} ${step.bend > 0 ? 0 : 1} ${x} ${y}`;
      }
    });
    svg.append(make("path", { d: way, class: "way" }));
    steps.forEach((step, index) => {
      const [cx, cy] = toSheet(step.to);
      const point = make("circle", { cx, cy, class: "point", tabindex: 0, role: "button", "data-index": index, "aria-label": `Point ${index + 1} of ${steps.length}, at ${step.to.map(figure).join(" ")}` });
      svg.append(point);
    });
  };
  const move = (index, to) => {
    const steps = read();
    if (!steps) return;
    steps[index].to = to;
    write(steps);
    draw();
  };
  let held = null;
  svg.addEventListener("pointerdown", (event) => {
    const point = event.target.closest(".point");
    if (!point) return;
    event.preventDefault();
    held = Number(point.dataset.index);
    svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", (event) => {
    if (held === null) return;
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    move(held, toPart([at.x, at.y]));
  });
  for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => { held = null; });
  svg.addEventListener("keydown", (event) => {
    const point = event.target.closest(".point");
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!point || !way) return;
    event.preventDefault();
    event.stopPropagation();
    const index = Number(point.dataset.index);
    const step = (event.shiftKey ? 1 : 0.1) / unit;
    const from = read()[index].to;
    move(index, [from[0] + way[0] * step, from[1] + way[1] * step]);
    svg.querySelector(`[data-index="${index}"]`)?.focus();
  });
  text.addEventListener("input", draw);
  draw();
})();
