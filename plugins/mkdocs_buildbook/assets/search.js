/* The search index is loaded when search is opened, not with every page: it grows with the book.

   The theme asks for it as soon as a page is shown, from disk by a script element and from a
   server by a request. Both wait here until somebody turns to the search field. Without this
   script search works as the theme has it. */
(() => {
  "use strict";
  const isIndex = (address) => /\/search\/search_index\.js(on)?$/.test(String(address));
  let open;
  const opened = new Promise((resolve) => { open = resolve; });

  const append = HTMLHeadElement.prototype.appendChild;
  document.head.appendChild = function (node) {
    if (node instanceof HTMLScriptElement && isIndex(node.src)) {
      opened.then(() => append.call(this, node));
      return node;
    }
    return append.call(this, node);
  };

  const { open: prepare, send } = XMLHttpRequest.prototype;
  const waiting = new WeakSet();
  XMLHttpRequest.prototype.open = function (method, address, ...more) {
    if (isIndex(address)) waiting.add(this);
    return prepare.call(this, method, address, ...more);
  };
  XMLHttpRequest.prototype.send = function (body) {
    if (waiting.has(this)) opened.then(() => send.call(this, body));
    else send.call(this, body);
  };

  const ofSearch = (node) =>
    node instanceof Element && node.closest("[data-md-component=search], [for=__search], #__search");
  for (const event of ["focusin", "pointerdown", "pointerover", "change"]) {
    document.addEventListener(event, ({ target }) => ofSearch(target) && open(), { passive: true });
  }
  // A link may carry words to search for.
  if (new URLSearchParams(location.search).has("q")) open();
})();
