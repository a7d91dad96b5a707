/* Clips: a chapter jumps to its place in the film above it, and a picture moves while it is pointed
   at. Without this script a chapter's link opens the film at its place, and pictures stay still. */
(() => {
  "use strict";

  const still = window.matchMedia("(prefers-reduced-motion: reduce)");

  const jump = link => {
    const film = link.closest("figure").querySelector("video");
    film.currentTime = Number(link.dataset.seconds);
    film.scrollIntoView({ block: "nearest" });
    film.play().catch(() => {}); // a browser may want a click on the film itself
    film.focus({ preventScroll: true });
  };

  document.addEventListener("click", event => {
    const link = event.target.closest("a.bb-seek");
    if (!link || event.button || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    jump(link);
  });

  /* The chapter that is being played. Events of a film do not bubble: they are caught on the way. */
  document.addEventListener("timeupdate", event => {
    const figure = event.target.closest(".bb-clip");
    if (!figure) return;
    const links = [...figure.querySelectorAll("a.bb-seek")];
    const begun = links.filter(link => Number(link.dataset.seconds) <= event.target.currentTime + 0.05);
    for (const link of links) {
      if (link === begun.at(-1)) link.setAttribute("aria-current", "true");
      else link.removeAttribute("aria-current");
    }
  }, true);

  /* Another page led to a chapter: the film waits at its place. */
  const waitAt = () => {
    const item = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    const link = item && item.matches(".bb-chapters li") && item.querySelector("a.bb-seek");
    if (!link) return;
    const figure = link.closest("figure");
    const film = figure.querySelector("video");
    film.preload = "auto";
    film.currentTime = Number(link.dataset.seconds);
    figure.scrollIntoView({ block: "start" });
  };
  window.addEventListener("hashchange", waitAt);
  // The browser goes to the chapter first, and would leave the film above it out of sight.
  if (document.readyState === "complete") waitAt();
  else window.addEventListener("load", () => setTimeout(waitAt));

  const move = card => {
    if (still.matches || card.querySelector("video")) return;
    const film = document.createElement("video");
    film.muted = film.loop = film.playsInline = true;
    film.tabIndex = -1;
    film.setAttribute("aria-hidden", "true");
    film.src = card.querySelector("[data-preview]").dataset.preview;
    card.append(film);
    film.play().catch(() => film.remove());
  };
  const rest = card => card.querySelector("video")?.remove();
  const card = event => {
    const found = event.target.closest?.("a.bb-still");
    return found && found.querySelector("[data-preview]") ? found : null;
  };
  for (const [begin, end] of [["pointerover", "pointerout"], ["focusin", "focusout"]]) {
    document.addEventListener(begin, event => {
      const found = card(event);
      if (found) move(found);
    });
    document.addEventListener(end, event => {
      const found = card(event);
      if (found && !found.contains(event.relatedTarget)) rest(found);
    });
  }
})();
