// The part of a question as a drawing whose places can be touched; what is drawn and said comes from
// castlab/teach/bench/touch.py. A place is a button: mouse, finger, Tab and Enter all choose it.

const SVG = "http://www.w3.org/2000/svg";

function drawn(name, attributes) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}

function render({model, el}) {
  const frame = document.createElement("div"), svg = drawn("svg", {"aria-hidden": "true"});
  frame.setAttribute("role", "group");
  frame.style.cssText = "position:relative; display:inline-block; max-width:100%";
  frame.append(svg);
  el.append(frame);
  let buttons = [];

  const choose = key => {
    if (!model.get("asking")) return;
    model.set("chosen", key);
    model.save_changes();
  };
  const nearest = (x, y) => model.get("drawing").places.reduce((best, place) => {
    const away = Math.hypot(place.x - x, place.y - y);
    return away < best.away ? {away, key: place.key} : best;
  }, {away: Infinity, key: ""}).key;

  function draw() {
    const {wide, tall, bodies, places, names, title} = model.get("drawing");
    frame.setAttribute("aria-label", title);
    svg.setAttribute("viewBox", `0 0 ${wide} ${tall}`);
    svg.style.cssText = `display:block; width:${wide}px; max-width:100%; height:auto; `
      + `cursor:${places.length ? "pointer" : "default"}`;
    svg.replaceChildren(drawn("rect", {width: wide, height: tall, fill: "#e8dcc0"}));
    for (const each of bodies)
      svg.append(drawn("polygon", {points: each.points.map(point => point.join(",")).join(" "), fill: each.fill,
        stroke: "#222", "stroke-width": 1}));
    for (const {x, y, name} of names) {
      const words = drawn("text", {x, y: y + 4, "text-anchor": "middle", "font-size": 13, stroke: "#fff",
        "stroke-width": 3, "paint-order": "stroke"});
      words.textContent = name;
      svg.append(words);
    }
    for (const button of buttons) button.remove();
    buttons = places.map(place => {
      const button = document.createElement("button");
      button.type = "button";
      button.dataset.key = place.key;
      button.textContent = place.name;
      button.setAttribute("aria-label", place.words);
      if (!place.first) button.tabIndex = -1;
      button.addEventListener("click", () => choose(place.key));
      button.style.cssText = `position:absolute; left:${100 * place.x / wide}%; top:${100 * place.y / tall}%; `
        + "transform:translate(-50%,-50%); font:13px sans-serif; padding:1px 7px; border-radius:11px; "
        + "border:2px solid #222; cursor:pointer; white-space:nowrap";
      return button;
    });
    frame.append(...buttons);
    mark();
  }

  function mark() {
    for (const button of buttons) {
      const chosen = button.dataset.key === model.get("chosen");
      button.setAttribute("aria-pressed", String(chosen));
      button.style.background = chosen ? "#0b3c6f" : "#fff";
      button.style.color = chosen ? "#fff" : "#000";
      button.disabled = !model.get("asking");
    }
  }

  svg.addEventListener("click", event => {
    const box = svg.getBoundingClientRect(), scale = model.get("drawing").wide / box.width;
    choose(nearest((event.clientX - box.left) * scale, (event.clientY - box.top) * scale));
  });
  model.on("change:drawing", draw);
  model.on("change:chosen change:asking", mark);
  draw();
}

export default {render};
