// Offer the browser's own time zone where a new one is asked for, and the names of all.
"use strict";

const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
const names = document.getElementById("time-zones");
for (const name of Intl.supportedValuesOf ? Intl.supportedValuesOf("timeZone") : [here]) {
  names?.append(new Option("", name));
}
for (const field of document.querySelectorAll("[data-zone]")) {
  // `data-zone` is what stands there unasked.
  if (here && ["", "UTC", field.dataset.zone].includes(field.value)) field.value = here;
}
