/* A draft in the browser: what was typed outlives a closed page, where the browser lets it. */
"use strict";
((form) => {
  const key = (name) => `buildbook ${name}: ${form.data.book}`;

  function stored(act) {
    try {
      return act(globalThis.localStorage);
    } catch {
      return undefined; // blocked, full, or switched off
    }
  }

  /** Keep the draft; false where the browser keeps nothing. */
  form.keep = () =>
    stored((storage) => {
      storage.setItem(key("draft"), JSON.stringify(form.state));
      return true;
    }) ?? false;

  function read(name) {
    const text = stored((storage) => storage.getItem(key(name)));
    try {
      const found = JSON.parse(text ?? "null");
      return found && typeof found === "object" && !Array.isArray(found) ? found : null;
    } catch {
      return null;
    }
  }

  form.draft = () => read("draft");
  form.former = () => read("former");

  /** Put the draft aside: it can be had back until the next one is put aside. */
  form.putAside = () => {
    stored((storage) => {
      storage.setItem(key("former"), JSON.stringify(form.state));
      storage.removeItem(key("draft"));
    });
  };

  /** What was saved last, told once more when the page was loaded anew to show it. */
  form.remember = (words) => stored(() => globalThis.sessionStorage.setItem(key("saved"), words));
  form.remembered = () =>
    stored(() => {
      const words = globalThis.sessionStorage.getItem(key("saved"));
      globalThis.sessionStorage.removeItem(key("saved"));
      return words;
    }) ?? "";
})((globalThis.bbForm ??= {}));
