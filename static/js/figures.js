// Draws the figures of a page with Plotly, in the colours of the present theme: on a wide screen
// at once, on a phone only when asked, because Plotly is large. What was drawn on the server
// stays if anything is missing; the table below it says the same.
(() => {
  const source = document.currentScript.dataset.plotly;
  const wide = matchMedia("(min-width: 44rem)");
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const settings = { displayModeBar: false, responsive: true, doubleClick: false };

  // "--moss" is the token as it is at this place; "--moss 0.5" the same at half its strength.
  function colour(name, place) {
    const [token, strength] = name.split(" ");
    const value = getComputedStyle(place).getPropertyValue(token).trim();
    if (!strength) return value;
    const part = (from) => parseInt(value.slice(from, from + 2), 16);
    return `rgba(${part(1)}, ${part(3)}, ${part(5)}, ${strength})`;
  }

  function inColour(thing, place) {
    if (typeof thing === "string") return thing.startsWith("--") ? colour(thing, place) : thing;
    if (Array.isArray(thing)) return thing.map((each) => inColour(each, place));
    if (thing === null || typeof thing !== "object") return thing;
    const parts = Object.entries(thing).map(([key, each]) => [key, inColour(each, place)]);
    return Object.fromEntries(parts);
  }

  async function draw(place) {
    const { data, layout } = inColour(
      JSON.parse(document.getElementById(place.dataset.figure).textContent),
      place,
    );
    place.hidden = false;
    await window.Plotly.react(place, data, layout, settings);
    place.closest("figure").classList.add("is-drawn");
  }

  async function drawAll() {
    for (const place of document.querySelectorAll("[data-figure]")) {
      await draw(place).catch((error) => {
        place.hidden = true;
        console.error(error);
      });
    }
  }

  function load() {
    const script = document.createElement("script");
    script.src = source;
    script.addEventListener("load", () => {
      for (const button of document.querySelectorAll(".figure-ask")) button.remove();
      dark.addEventListener("change", drawAll);
      drawAll();
    });
    document.head.append(script);
  }

  function offer(place) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain figure-ask";
    button.textContent = "Show the large chart";
    button.addEventListener("click", load, { once: true });
    place.before(button);
  }

  if (wide.matches) load();
  else document.querySelectorAll("[data-figure]").forEach(offer);
})();
