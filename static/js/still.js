// A small picture of a film's beginning, drawn by its sender's browser: the server opens no film
// to draw one. A browser that cannot play it sends none. For the page of clips and the phone's.

const STILL_SIDE = 480;
const STILL_PATIENCE = 5000;

self.stillOf = async (file) => {
  if (!file.type.startsWith("video/")) return null;
  const film = document.createElement("video");
  film.muted = film.playsInline = true;
  film.preload = "auto";
  try {
    await new Promise((yes, no) => {
      film.onloadeddata = yes;
      film.onerror = no;
      setTimeout(no, STILL_PATIENCE);
      film.src = URL.createObjectURL(file);
    });
    const canvas = document.createElement("canvas");
    const scale = Math.min(1, STILL_SIDE / Math.max(film.videoWidth, film.videoHeight));
    canvas.width = film.videoWidth * scale;
    canvas.height = film.videoHeight * scale;
    canvas.getContext("2d").drawImage(film, 0, 0, canvas.width, canvas.height);
    return await new Promise((yes) => canvas.toBlob(yes, "image/jpeg", 0.85));
  } catch {
    return null;
  } finally {
    URL.revokeObjectURL(film.src);
  }
};
