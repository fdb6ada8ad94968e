// Clean or not, one tap a ball, at a step of a ticked drill. What is counted is one field of
// the lesson note, which keeps it like the others, on this device first.
(() => {
  const form = document.getElementById("note");
  const MOST = 100;
  const FEW = 12; // Under so many balls only counts are said.

  // "drill=50:1101,70:10;…" as drill → effort → balls, and back.
  const read = (text) =>
    new Map(text.split(";").filter(Boolean).map((line) => {
      const [drill, steps] = line.split("=");
      return [drill, new Map(steps.split(",").map((step) => step.split(":")))];
    }));

  function written(counts) {
    const lines = [...counts].map(([drill, steps]) => [drill, [...steps].filter(([, balls]) => balls)]);
    return lines
      .filter(([, steps]) => steps.length)
      .map(([drill, steps]) => `${drill}=${steps.map((step) => step.join(":")).join(",")}`)
      .join(";");
  }

  function words(effort, balls) {
    const clean = balls.split("1").length - 1;
    const share = balls.length >= FEW ? `, ${Math.floor((100 * clean) / balls.length)} %` : "";
    return `At ${effort}: ${clean} of ${balls.length} clean${share}.`;
  }

  function panel(box) {
    const field = box.querySelector("input[hidden]");
    const [drill, efforts, said] = ["select", ".efforts", "[role=status]"].map((what) => box.querySelector(what));
    const place = box.dataset.position;
    const chosen = () => efforts.querySelector("input:checked")?.value;

    function drills() {
      const ticks = [...form.querySelectorAll(`[name="${place}.drills"]`)];
      const counted = read(field.value);
      const shown = ticks.filter((tick) => tick.checked || counted.has(tick.value));
      const before = drill.value;
      drill.replaceChildren(...shown.map((tick) => new Option(tick.parentElement.textContent.trim(), tick.value)));
      if (shown.some((tick) => tick.value === before)) drill.value = before;
      box.hidden = !shown.length;
      steps();
    }

    function steps() {
      const tick = form.querySelector(`[name="${place}.drills"][value="${drill.value}"]`);
      if (!tick) return;
      const before = chosen();
      const asked = tick.dataset.efforts.split(",");
      const all = [...new Set([...asked, ...(read(field.value).get(drill.value)?.keys() ?? [])])];
      all.sort((a, b) => a - b);
      efforts.replaceChildren(...all.map((effort) => {
        const label = document.createElement("label");
        const radio = document.createElement("input");
        Object.assign(radio, { type: "radio", name: `effort-${place}`, value: effort });
        radio.checked = effort === (all.includes(before) ? before : asked[0]);
        label.append(radio, effort);
        return label;
      }));
      say();
    }

    function say() {
      const counted = [...(read(field.value).get(drill.value) ?? [])].sort(([a], [b]) => a - b);
      said.textContent = counted.map(([effort, balls]) => words(effort, balls)).join(" ");
    }

    box.addEventListener("click", ({ target }) => {
      const ball = target.closest("[data-ball]")?.dataset.ball;
      if (!ball) return;
      const counts = read(field.value);
      const own = counts.get(drill.value) ?? new Map();
      const balls = own.get(chosen()) ?? "";
      own.set(chosen(), ball === "-" ? balls.slice(0, -1) : (balls + ball).slice(0, MOST));
      counts.set(drill.value, own);
      field.value = written(counts);
      field.dispatchEvent(new Event("input", { bubbles: true }));
      say();
    });
    drill.addEventListener("change", steps);
    form.addEventListener("change", ({ target }) => target.name === `${place}.drills` && drills());
    drills();
  }

  form.querySelectorAll(".balls").forEach(panel);
})();
