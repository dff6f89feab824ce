// Moves through a film in the browser: compares the moments of each pixel with the one that is to be seen.
// All words, numbers and colours come with the film (castlab/teach/bench/film.py); nothing is asked of a kernel.

const PER_SECOND = 30, CHART = {wide: 672, tall: 150, top: 40, foot: 22};
const SVG = "http://www.w3.org/2000/svg";

async function pixelsOf(bytes) {
  const blob = new Blob([bytes], {type: "image/png"});
  const image = await createImageBitmap(blob, {colorSpaceConversion: "none", premultiplyAlpha: "none"});
  const canvas = new OffscreenCanvas(image.width, image.height), pen = canvas.getContext("2d");
  pen.drawImage(image, 0, 0);
  return pen.getImageData(0, 0, image.width, image.height);
}

const packed = ([red, green, blue]) => (255 << 24 | blue << 16 | green << 8 | red) >>> 0;

function painter(canvas, still, moments, colours) {
  const {width, height} = still, seen = new ImageData(width, height), to = new Uint32Array(seen.data.buffer);
  const from = new Uint32Array(still.data.buffer), moment = moments.data, pen = canvas.getContext("2d");
  const colour = Object.fromEntries(Object.entries(colours).map(([name, bytes]) => [name, packed(bytes)]));
  const metal = [];
  for (let at = 0; at < width * height; at++) if (moment[4 * at + 1] < 255) metal.push(at);
  const isHole = (at, frame) => at >= 0 && moment[4 * at + 2] <= frame;
  canvas.width = width;
  canvas.height = height;
  to.set(from);
  return frame => {
    for (const at of metal) {
      const column = at % width, row = (at - column) / width;
      if (isHole(at, frame)) {
        const inner = isHole(at - 1, frame) && isHole(at + 1, frame) && isHole(at - width, frame)
          && isHole(at + width, frame);
        to[at] = inner ? colour.hole : colour.edge;
      } else if (frame < moment[4 * at]) to[at] = colour.liquid;
      else if (frame < moment[4 * at + 1]) to[at] = (column + row) % 7 < 2 ? colour.strokes : colour.mush;
      else to[at] = colour.solid;
    }
    pen.putImageData(seen, 0, 0);
  };
}

function drawn(name, attributes, words) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (words) element.textContent = words;
  return element;
}

// Who has supplied how much until each moment, one above the other; returns what moves the line of the moment.
function chart(svg, film) {
  const {wide, tall, top, foot} = CHART, last = film.times.length - 1;
  const sums = film.times.map((_, frame) => film.suppliers.reduce((sum, each) => sum + each.volumes[frame], 0));
  const most = Math.max(...sums, 1e-12);
  const x = frame => (wide - 2) * frame / last + 1;
  const y = volume => tall - foot - (tall - top - foot) * volume / most;
  let below = film.times.map(() => 0);
  for (const each of film.suppliers) {
    const above = below.map((volume, frame) => volume + each.volumes[frame]);
    const points = [...above.map((volume, frame) => [x(frame), y(volume)]),
      ...below.map((volume, frame) => [x(frame), y(volume)]).reverse()];
    const fill = `rgb(${each.colour})`;
    svg.append(drawn("polygon", {points: points.map(point => point.join()).join(" "), fill, stroke: "#000"}));
    below = above;
  }
  svg.append(drawn("line", {x1: 0, x2: wide, y1: tall - foot, y2: tall - foot, stroke: "#000"}));
  for (const tick of film.ticks) {
    const anchor = tick.share < 0.02 ? "start" : tick.share > 0.97 ? "end" : "middle";
    svg.append(drawn("text", {x: x(tick.share * last), y: tall - 5, "text-anchor": anchor}, tick.words));
  }
  film.marks.forEach((mark, number) => {
    const at = x(mark.share * last), anchor = mark.share > 0.8 ? "end" : "start", row = 12 + 15 * (number % 2);
    svg.append(drawn("line", {x1: at, x2: at, y1: row + 3, y2: tall - foot, stroke: "#000", "stroke-dasharray": "4 3"}));
    svg.append(drawn("text", {x: at, y: row, "text-anchor": anchor}, mark.words));
  });
  const now = drawn("line", {y1: 4, y2: tall - foot, stroke: "#000", "stroke-width": 3});
  svg.append(now);
  return frame => {
    now.setAttribute("x1", x(frame));
    now.setAttribute("x2", x(frame));
  };
}

function legend(place, entries) {
  for (const {words, colour, strokes} of entries) {
    const entry = place.appendChild(document.createElement("span"));
    const patch = entry.appendChild(document.createElement("span"));
    const plain = `rgb(${colour})`;
    patch.style.background = strokes
      ? `repeating-linear-gradient(135deg, rgb(${strokes}) 0 2px, ${plain} 2px 6px)` : plain;
    entry.append(words);
  }
}

function build(el, film) {
  el.innerHTML = `<style>
    .castlab-film { max-width: 672px; font-size: 15px; line-height: 1.45; }
    .castlab-film canvas, .castlab-film svg { width: 100%; height: auto; display: block; }
    .castlab-film svg text { font-size: 13px; fill: #000; }
    .castlab-film .legend > span { margin-right: 16px; white-space: nowrap; }
    .castlab-film .legend > span > span { display: inline-block; width: 16px; height: 12px; margin-right: 6px;
      border: 1px solid #000; }
    .castlab-film .time { display: flex; gap: 10px; align-items: center; }
    .castlab-film input { flex: 1; }
    .castlab-film button { font-size: 15px; min-width: 72px; }
    .castlab-film .words { min-height: 66px; }
    </style><div class="castlab-film"><canvas role="img"></canvas><div class="legend states"></div>
    <div class="time"><button type="button"></button><input type="range" min="0" step="1"></div>
    <div class="words" role="status"></div>
    <svg role="img" viewBox="0 0 ${CHART.wide} ${CHART.tall}"></svg><div class="legend suppliers"></div></div>`;
  const find = selector => el.querySelector(selector);
  find("canvas").setAttribute("aria-label", film.title);
  find("svg").setAttribute("aria-label", film.chart_title);
  legend(find(".states"), film.states);
  legend(find(".suppliers"), film.suppliers);
  return {canvas: find("canvas"), svg: find("svg"), button: find("button"), time: find("input"), words: find(".words")};
}

async function render({model, el}) {
  const film = model.get("film"), parts = build(el, film), last = film.times.length - 1;
  const [still, moments] = await Promise.all([pixelsOf(model.get("still")), pixelsOf(model.get("moments"))]);
  const paint = painter(parts.canvas, still, moments, film.colours), point = chart(parts.svg, film);
  let running = null;
  for (const part of [parts.time, parts.button])  // keys move time, not the notebook's cells
    part.setAttribute("data-lm-suppress-shortcuts", "true");
  parts.time.max = last;
  parts.time.setAttribute("aria-label", "time");

  function show(frame) {
    parts.time.value = frame;
    parts.time.setAttribute("aria-valuetext", film.times[frame]);
    parts.words.textContent = film.words[frame];
    paint(frame);
    point(frame);
  }
  function stand() {
    cancelAnimationFrame(running);
    running = null;
    parts.button.textContent = "Play";
    parts.words.setAttribute("aria-live", "polite");
    model.set("frame", Number(parts.time.value));
    model.save_changes();
  }
  function play() {
    const first = Number(parts.time.value) % last;
    let start = null;
    parts.button.textContent = "Stop";
    parts.words.setAttribute("aria-live", "off");
    running = requestAnimationFrame(function next(now) {
      start ??= now;
      const frame = Math.min(first + Math.floor((now - start) * PER_SECOND / 1000), last);
      if (frame !== Number(parts.time.value)) show(frame);
      if (frame < last) running = requestAnimationFrame(next);
      else stand();
    });
  }
  parts.button.onclick = () => running ? stand() : play();
  parts.time.oninput = () => {
    const frame = Number(parts.time.value);
    if (running) stand();
    show(frame);
  };
  parts.time.onchange = stand;
  show(model.get("frame"));
  parts.button.textContent = "Play";
  parts.words.setAttribute("aria-live", "polite");
  return () => cancelAnimationFrame(running);
}

export default {render};
