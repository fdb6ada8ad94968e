// Shows how far a file has come, until it is over. Without this there is a link to look again.
const place = document.getElementById("progress");
const MOST = 8000;
let wait = 1000;

async function look() {
  try {
    const answer = await fetch(place.dataset.from, { credentials: "same-origin" });
    if (answer.redirected || !answer.ok) throw new Error(String(answer.status));
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (page.querySelector("[data-over]")) {
      location.reload();
      return;
    }
    place.replaceChildren(...page.body.childNodes);
    wait = 1000;
  } catch {
    // The line is down or the place is busy: the file goes on without us.
    wait = Math.min(2 * wait, MOST);
  }
  setTimeout(look, wait);
}

if (place?.dataset.from) setTimeout(look, wait);
