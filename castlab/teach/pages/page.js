// Shows the state at which the sliders of a page stand: all were computed beforehand and stand in the page.

const page = JSON.parse(document.getElementById("states").textContent);
const place = name => document.getElementById(name);
const inputs = [...document.querySelectorAll(".sliders input")];
const canShowFilms = "DecompressionStream" in window && "OffscreenCanvas" in window;
let endFilm = null;

const bytesOf = text => Uint8Array.from(atob(text), letter => letter.charCodeAt(0));

function state() {
  const number = inputs.reduce((at, input, slider) =>
    at * page.sliders[slider].stops.length + Number(input.value), 0);
  return page.states[page.at[number]];
}

function closeFilm() {
  if (endFilm) endFilm();
  endFilm = null;
  place("film").replaceChildren();
}

async function openFilm() {
  const here = state();
  const told = new Blob([bytesOf(here.film.told)]).stream().pipeThrough(new DecompressionStream("deflate"));
  const film = {film: await new Response(told).json(), still: bytesOf(here.film.still),
    moments: bytesOf(here.film.moments), frame: 0};
  closeFilm();
  const end = await render({model: {get: name => film[name], set() {}, save_changes() {}}, el: place("film")});
  endFilm = end;
  if (here !== state()) closeFilm();  // a slider moved on meanwhile
  else place("film").querySelector("button").focus();
}

function show() {
  const here = state(), picture = place("picture");
  inputs.forEach((input, slider) => {
    const words = page.sliders[slider].stops[input.value];
    input.setAttribute("aria-valuetext", words);
    input.parentElement.querySelector("output").textContent = words;
  });
  place("said").textContent = here.said;
  if (here.png) picture.src = `data:image/png;base64,${here.png}`;
  picture.classList.toggle("greyed", !here.png);
  picture.alt = here.said;
  place("below").innerHTML = here.below;
  place("see").disabled = !here.film || !canShowFilms;
  closeFilm();
}

for (const input of inputs) input.addEventListener("input", show);
place("see").addEventListener("click", openFilm);
if (!canShowFilms) place("see").textContent = "This browser is too old for the film";
place("see").hidden = !page.states.some(each => each.film);
show();
