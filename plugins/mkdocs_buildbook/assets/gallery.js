// Filters of the gallery: of its photos those stay that show the section, step, part, operation,
// person and year one asks for. Without this script the gallery is the plain list, and the form is not shown.
// What is chosen stands in the address, as #operation=deburr&year=2025, to be linked to.
"use strict";
(() => {
  const form = document.querySelector("form.bb-filters[hidden]");
  if (!form) return;
  const spoken = JSON.parse(document.querySelector("meta[name=bb-words]")?.content ?? "{}");
  const said = words => spoken[words] ?? words; // the book's language, where it is not English
  const shown = said("%(left)s of %(all)s shown");
  const groups = [...document.querySelectorAll("[data-group]")];
  const photos = groups.flatMap(group => [...group.querySelectorAll("[data-year]")]);
  const choices = [...form.querySelectorAll("select")];

  function filter() {
    const asked = choices.filter(choice => choice.value);
    for (const photo of photos) {
      photo.hidden = !asked.every(
        choice => photo.dataset[choice.name].split(" ").includes(choice.value));
    }
    for (const group of groups) {
      group.hidden = !group.querySelector("[data-year]:not([hidden])");
    }
    const left = photos.filter(photo => !photo.hidden).length;
    form.querySelector("output").textContent = asked.length
      ? shown.replace("%(left)s", left).replace("%(all)s", photos.length) : "";
    form.querySelector("[type=reset]").hidden = !asked.length;
  }

  function read() {
    const asked = new URLSearchParams(location.hash.slice(1));
    for (const choice of choices) {
      choice.value = asked.get(choice.name) ?? "";
      if (choice.selectedIndex < 0) choice.value = ""; // no such choice
    }
    filter();
  }

  form.addEventListener("change", () => {
    const asked = choices.filter(choice => choice.value).map(c => [c.name, c.value]);
    history.replaceState(null, "", `#${new URLSearchParams(asked)}`);
    filter();
  });
  form.addEventListener("reset", () => {
    history.replaceState(null, "", "#");
    setTimeout(filter); // after the browser has set the choices back
  });
  form.addEventListener("submit", event => event.preventDefault());
  window.addEventListener("hashchange", read);
  form.hidden = false;
  read();
})();
