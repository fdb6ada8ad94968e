// The looks of these screens; as one rule, so that every browser takes it.
const [looks] = document.styleSheets;
looks.insertRule(`@media all{@STYLE@}`, looks.cssRules.length);
// What a home screen and a tab need of the page, which nobody looks at before.
$("head").insertAdjacentHTML("beforeend", `<link rel="manifest" href="/log/app.webmanifest"><link rel="icon" href="/static/icon.svg"><link rel="apple-touch-icon" href="/static/icon-192.png">`);
// All of the second script is there: draw again what was waiting for it.
if (state.late) whose().then(renew);
else if (state.begun) show();
findBegun();
countParcels().then(() => state.begun && sendParcels());
// Once: without encryption, or a certificate that is trusted, a browser keeps no page for when there is no signal.
const onlyWithSignal = (words) => recall("told").then((told) => {
  if (told) return;
  say(words);
  remember("told", 1);
});
if (!isSecureContext) onlyWithSignal("This address works only with signal. Ask your coach for the encrypted address.");
extra.unkept = ({ name }) => name === "SecurityError" &&
  onlyWithSignal("This works only with signal until this phone trusts the certificate. Ask your coach.");
