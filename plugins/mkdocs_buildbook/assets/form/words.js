/* What the page says: English here, and in the book's language where the page brings that. */
"use strict";
((form) => {
  form.say = (words, values = {}) =>
    (form.data.words?.[words] ?? words).replace(/%\((\w+)\)s/g, (_, name) => values[name]);
})((globalThis.bbForm ??= {}));
