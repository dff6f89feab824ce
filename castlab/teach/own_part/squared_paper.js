// An outline on squared paper: corners are dragged, moved by arrow keys, typed, put in and taken out. Lengths are
// those of castlab/teach/own_part/squared_paper.py, which also says what the axes are called and how fine it snaps.

const SVG = "http://www.w3.org/2000/svg", WIDE = 640, TALL = 420, EDGE = 34, REACH = 0.18, FINE = 9, LABELLED = 44;
const KEYS = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]};
const REST_MS = 250;  // so long after the last key Python is told

function made(parent, name, attributes, words = "") {
  const element = name in {svg: 1, path: 1, polygon: 1, circle: 1, text: 1}
    ? document.createElementNS(SVG, name) : document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.textContent = words;
  parent.append(element);
  return element;
}

function render({model, el}) {
  const frame = made(el, "div", {style: "max-width:100%"});
  const svg = made(frame, "svg", {viewBox: `0 0 ${WIDE} ${TALL}`, role: "group",
    style: `display:block; width:${WIDE}px; max-width:100%; background:#fff; border:1px solid #888; `
      + "touch-action:none; cursor:crosshair"});
  const row = made(frame, "div", {style: "display:flex; flex-wrap:wrap; gap:8px; align-items:center; padding:4px 0"});
  const said = made(frame, "div", {role: "status", "aria-live": "polite", style: "min-height:20px"});
  let corners = [], chosen = 0, view = null, dragged = false, resting = null, snap = 0;

  const number = value => String(Math.round(value * 1e4) / 1e4);
  const snapped = value => Math.round(Math.round(value / snap) * snap * 1e6) / 1e6;
  const paper = () => model.get("paper");

  function field(words) {
    const label = made(row, "label", {}, `${words} `);
    const input = made(label, "input", {type: "text", inputmode: "decimal", size: 7});
    input.addEventListener("change", () => {
      const typed = Number(input.value.replace(",", "."));
      if (Number.isFinite(typed) && input.value.trim()) corners[chosen][input === fields[0] ? 0 : 1] = typed;
      tell();
    });
    return input;
  }
  function button(words, action) {
    made(row, "button", {type: "button", class: "jupyter-button", style: "padding:2px 10px"}, words)
      .addEventListener("click", action);
  }
  const names = made(row, "b", {});
  const fields = [field(paper().across), field(paper().up)];
  button("Put a corner behind it", () => {
    const here = corners[chosen], next = corners[(chosen + 1) % corners.length];
    put(chosen + 1, here.map((value, axis) => snapped((value + next[axis]) / 2)));
  });
  button("Take it out", () => take(chosen));
  const steps = made(made(row, "label", {}, "snap to "), "select", {});
  steps.addEventListener("change", () => { snap = Number(steps.value); });

  function fit() {
    const most = axis => Math.max(...corners.map(each => each[axis]));
    const least = axis => Math.min(...corners.map(each => each[axis]));
    const left = paper().turned ? -most(0) : least(0);
    const size = Math.max(most(0) - left, most(1) - least(1), 10 * paper().steps[1]), room = REACH * size;
    const scale = Math.min((WIDE - 2 * EDGE) / (most(0) - left + 2 * room),
      (TALL - 2 * EDGE) / (most(1) - least(1) + 2 * room));
    view = {scale, u: (left + most(0)) / 2, v: (least(1) + most(1)) / 2};
  }
  const x = u => WIDE / 2 + view.scale * (u - view.u);
  const y = v => TALL / 2 - view.scale * (v - view.v);
  const place = event => {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return within([snapped(view.u + (point.x - WIDE / 2) / view.scale),
      snapped(view.v - (point.y - TALL / 2) / view.scale)]);
  };
  const within = ([u, v]) => [paper().turned ? Math.max(u, 0) : u, v];
  const out = each => x(each[0]) < 8 || x(each[0]) > WIDE - 8 || y(each[1]) < 8 || y(each[1]) > TALL - 8;

  const label = (left, low, value) =>
    made(svg, "text", {x: left, y: low, "font-size": 11, fill: "#333"}, number(value));

  function lines(step, colour, labels) {
    const [left, right] = [0, WIDE].map(at => view.u + (at - WIDE / 2) / view.scale);
    const [low, high] = [TALL, 0].map(at => view.v - (at - TALL / 2) / view.scale);
    let path = "";
    for (let u = Math.ceil(left / step); u * step <= right; u++) {
      path += `M${x(u * step)} 0V${TALL}`;
      if (labels) label(x(u * step) + 2, TALL - 4, paper().turned ? Math.abs(u * step) : u * step);
    }
    for (let v = Math.ceil(low / step); v * step <= high; v++) {
      path += `M0 ${y(v * step)}H${WIDE}`;
      if (labels && y(v * step) > 30) label(3, y(v * step) - 2, v * step);
    }
    svg.prepend(made(svg, "path", {d: path, stroke: colour, "stroke-width": 1, fill: "none"}));
  }

  function draw() {
    const focused = svg.contains(document.activeElement);
    const {unit, across, up, turned, title} = paper(), pixels = step => step * view.scale;
    svg.replaceChildren();
    svg.setAttribute("aria-label", title);
    lines(paper().steps.find(step => pixels(step) >= LABELLED) ?? 500, "#8fa9c4", true);
    lines(paper().steps.find(step => pixels(step) >= FINE) ?? 100, "#dbe5ee", false);
    made(svg, "text", {x: WIDE - 6, y: TALL - 18, "font-size": 12, "text-anchor": "end"}, `${across} [${unit}]`);
    made(svg, "text", {x: 6, y: 14, "font-size": 12}, `${up} [${unit}]`);
    const points = way => corners.map(([u, v]) => `${x(way * u)},${y(v)}`).join(" ");
    if (turned) {
      made(svg, "polygon", {points: points(-1), fill: "#b9c4cf", "fill-opacity": 0.4, stroke: "none"});
      made(svg, "path", {d: `M${x(0)} 0V${TALL}`, stroke: "#444", "stroke-dasharray": "12 4 2 4", fill: "none"});
    }
    made(svg, "polygon", {points: points(1), fill: "#b9c4cf", "fill-opacity": 0.75, stroke: "#222", "stroke-width": 1.5});
    corners.forEach(([u, v], at) => {
      const mark = made(svg, "circle", {cx: x(u), cy: y(v), r: at === chosen ? 8 : 6, tabindex: 0, role: "button",
        "aria-label": words(at), "aria-pressed": String(at === chosen), "data-corner": at,
        fill: at === chosen ? "#0b3c6f" : "#fff", stroke: "#222", "stroke-width": 2, style: "cursor:move"});
      mark.addEventListener("keydown", event => key(event, at));
      mark.addEventListener("focus", () => { if (at !== chosen) choose(at); });
    });
    if (focused) mark(chosen)?.focus();
    names.textContent = `corner ${chosen + 1} of ${corners.length}`;
    fields.forEach((input, axis) => { input.value = number(corners[chosen][axis]); });
    said.textContent = words(chosen);
  }
  const mark = at => svg.querySelector(`[data-corner="${at}"]`);
  function words(at) {
    const {unit, across, up} = paper(), [u, v] = corners[at], next = corners[(at + 1) % corners.length];
    const side = number(Math.round(100 * Math.hypot(next[0] - u, next[1] - v)) / 100);
    return `Corner ${at + 1}: ${across} ${number(u)} ${unit}, ${up} ${number(v)} ${unit}; ${side} ${unit} to the next.`;
  }

  function choose(at) { chosen = at; draw(); mark(at)?.focus(); }
  function put(at, corner) {
    if (corners.length >= paper().most) return;
    corners.splice(at, 0, within(corner));
    chosen = at;
    tell();
  }
  function take(at) {
    if (corners.length <= 3) { said.textContent = "An outline has three corners or more."; return; }
    corners.splice(at, 1);
    chosen = at % corners.length;
    tell();
  }
  function tell(rest = 0) {
    corners[chosen] = within(corners[chosen]);
    if (!dragged && corners.some(out)) fit();
    draw();
    clearTimeout(resting);
    resting = setTimeout(() => {
      model.set("corners", corners.map(each => [...each]));
      model.save_changes();
    }, rest);
  }
  function key(event, at) {
    const step = KEYS[event.key];
    if (step) {
      const far = event.shiftKey ? 10 * snap : snap;
      corners[at] = corners[at].map((value, axis) => snapped(value + step[axis] * far));
      tell(REST_MS);
    } else if (event.key === "Delete" || event.key === "Backspace") take(at);
    else if (event.key === "Insert" || event.key === "Enter") row.querySelector("button").click();
    else return;
    event.preventDefault();
    event.stopPropagation();
  }
  function nearest([u, v]) {
    const away = corners.map(([a, b], at) => {
      const [c, d] = corners[(at + 1) % corners.length], long = (c - a) ** 2 + (d - b) ** 2 || 1e-9;
      const share = Math.min(Math.max(((u - a) * (c - a) + (v - b) * (d - b)) / long, 0), 1);
      return Math.hypot(u - a - share * (c - a), v - b - share * (d - b));
    });
    return away.indexOf(Math.min(...away)) + 1;
  }

  svg.addEventListener("pointerdown", event => {
    const at = event.target.dataset?.corner;
    if (at === undefined) put(nearest(place(event)), place(event));
    else chosen = Number(at);
    dragged = true;
    svg.setPointerCapture(event.pointerId);
    event.preventDefault();
    choose(chosen);
  });
  svg.addEventListener("pointermove", event => {
    if (!dragged) return;
    corners[chosen] = place(event);
    draw();
  });
  for (const end of ["pointerup", "pointercancel"])
    svg.addEventListener(end, () => { if (dragged) { dragged = false; tell(); } });

  function begin() {
    corners = model.get("corners").map(each => [...each]);
    chosen = Math.min(chosen, corners.length - 1);
    if (!view || corners.some(out)) fit();
    draw();
  }
  function rule() {
    snap = paper().snap;
    steps.replaceChildren(...paper().steps.map(step => new Option(`${step} ${paper().unit}`, step, false, step === snap)));
    fields.forEach((input, axis) => { input.previousSibling.textContent = `${axis ? paper().up : paper().across} `; });
    view = null;
    begin();
  }
  model.on("change:paper", rule);
  model.on("change:corners", () => {
    if (!dragged && JSON.stringify(corners) !== JSON.stringify(model.get("corners"))) begin();
  });
  rule();
}

export default {render};
