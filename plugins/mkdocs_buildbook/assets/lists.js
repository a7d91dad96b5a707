// A field above a long list: of its rows those stay in which every word stands that one writes.
// Without this script the list is plain, and the field is not shown.
// The words stand in the address, as #words=deburr+rib, to be linked to.
"use strict";
(() => {
  const form = document.querySelector("form.bb-sift[hidden]");
  if (!form) return;
  const spoken = JSON.parse(document.querySelector("meta[name=bb-words]")?.content ?? "{}");
  const said = words => spoken[words] ?? words; // the book's language, where it is not English
  const shown = said("%(left)s of %(all)s shown");
  const groups = [...document.querySelectorAll("[data-group]")].map(group => ({
    group,
    rows: [...group.querySelectorAll(".bb-sessions > li, tbody > tr, .bb-lesson")],
  }));
  const all = groups.flatMap(({ rows }) => rows);
  const field = form.querySelector("input");
  const plain = text => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
  let texts; // read once, at the first word

  function sift() {
    const words = plain(field.value).split(/\s+/).filter(Boolean);
    texts ??= new Map(all.map(row => [row, plain(row.textContent)]));
    let left = 0;
    for (const { group, rows } of groups) {
      let shown = 0;
      for (const row of rows) {
        const text = texts.get(row);
        row.hidden = !words.every(word => text.includes(word));
        shown += !row.hidden;
      }
      group.hidden = words.length > 0 && !shown;
      left += shown;
    }
    form.querySelector("output").textContent = words.length
      ? shown.replace("%(left)s", left).replace("%(all)s", all.length) : "";
  }

  function read() {
    field.value = new URLSearchParams(location.hash.slice(1)).get("words") ?? "";
    if (field.value || texts) sift();
  }

  form.addEventListener("input", () => {
    const words = field.value.trim();
    history.replaceState(null, "", words ? `#${new URLSearchParams({ words })}` : "#");
    sift();
  });
  form.addEventListener("submit", event => event.preventDefault());
  window.addEventListener("hashchange", read);
  form.hidden = false;
  read();
})();
