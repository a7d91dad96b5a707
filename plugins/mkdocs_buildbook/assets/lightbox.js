// A photo opened over its page: the large picture, its markers, and all that is said of it.
// Without this script each photo is a plain link to its large picture, and stays one where the
// browser has no <dialog>. Nothing is fetched but the picture itself, so it works from a disk too.
"use strict";
(() => {
  if (!window.HTMLDialogElement) return;

  const PHOTO = "a.bb-photo";
  const SWIPE = 50; // pixels a finger moves at least
  const KEYS = {
    ArrowLeft: at => at - 1,
    ArrowRight: at => at + 1,
    Home: () => 0,
    End: () => -1,
  };
  let dialog, frame, words, place;
  const spoken = JSON.parse(document.querySelector("meta[name=bb-words]")?.content ?? "{}");
  const said = words => spoken[words] ?? words; // the book's language, where it is not English
  let photos = [];
  let shown = 0;

  function element(name, attributes, ...inside) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  }

  function button(text, act) {
    const made = element("button", { type: "button", class: "md-button" }, text);
    made.addEventListener("click", act);
    return made;
  }

  function build() {
    place = element("p", { class: "bb-place" });
    frame = element("div", { class: "bb-frame" });
    words = element("div", { class: "bb-words" });
    const steps = element("span", { class: "bb-turn" },
      button(said("Previous"), () => show(shown - 1)), button(said("Next"), () => show(shown + 1)));
    const close = button(said("Close"), () => dialog.close());
    close.autofocus = true;
    dialog = element("dialog", { class: "bb-lightbox md-typeset", "aria-label": said("Photo") },
      element("div", { class: "bb-bar" }, place, steps, close),
      element("div", { class: "bb-room" }, frame),
      // What is new is read out when one goes on to the next photo.
      element("div", { class: "bb-said", role: "group", "aria-label": said("Caption"), tabindex: "0",
        "aria-live": "polite" }, words));
    dialog.addEventListener("keydown", key);
    dialog.addEventListener("click", event => {
      if (event.target.matches(".bb-room")) dialog.close(); // beside the picture
    });
    let from = null;
    frame.addEventListener("touchstart", event => {
      from = event.touches.length === 1 ? event.touches[0].clientX : null;
    }, { passive: true });
    frame.addEventListener("touchend", event => {
      const moved = from === null ? 0 : event.changedTouches[0].clientX - from;
      if (Math.abs(moved) > SWIPE) show(shown - Math.sign(moved));
    });
    document.body.append(dialog);
  }

  function key(event) {
    event.stopPropagation(); // the theme has letters of its own for searching and turning pages
    if (event.key === "Tab") return keepFocus(event);
    if (!(event.key in KEYS) || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    show(KEYS[event.key](shown));
  }

  // A modal dialog keeps the page behind it out of reach; this keeps the window's own bars out too.
  function keepFocus(event) {
    const stops = [...dialog.querySelectorAll("button, a[href], [tabindex='0']")]
      .filter(stop => stop.checkVisibility());
    const [first, last] = [stops[0], stops[stops.length - 1]];
    const [edge, other] = event.shiftKey ? [first, last] : [last, first];
    if (document.activeElement !== edge && dialog.contains(document.activeElement)) return;
    event.preventDefault();
    other.focus();
  }

  function show(number) {
    shown = (number + photos.length) % photos.length;
    const link = photos[shown];
    const image = link.querySelector("img").cloneNode();
    image.loading = "eager";
    image.sizes = "100vw";
    frame.style.setProperty("--width", image.getAttribute("width"));
    frame.style.setProperty("--height", image.getAttribute("height"));
    frame.replaceChildren(image, ...[...link.querySelectorAll("svg")].map(s => s.cloneNode(true)));
    const caption = link.closest("figure").querySelector("figcaption").cloneNode(true);
    caption.querySelectorAll("[hidden]").forEach(told => { told.hidden = false; });
    words.replaceChildren(...caption.childNodes);
    words.parentElement.scrollTop = 0;
    place.textContent = photos.length > 1
      ? said("%(number)s of %(all)s").replace("%(number)s", shown + 1).replace("%(all)s", photos.length)
      : "";
    dialog.querySelector(".bb-turn").hidden = photos.length === 1;
  }

  document.addEventListener("click", event => {
    const link = event.target.closest?.(PHOTO);
    if (!link || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) {
      return;
    }
    event.preventDefault();
    if (!dialog?.isConnected) build();
    photos = [...document.querySelectorAll(PHOTO)].filter(photo => photo.checkVisibility());
    show(photos.indexOf(link));
    dialog.showModal();
    // The browser gives the focus back by itself only to what had it; a click does not always.
    dialog.addEventListener("close", () => link.focus({ preventScroll: true }), { once: true });
  });
})();
