/* From what was entered to YAML, quoted wherever a program could read it as something else. */
"use strict";
((form) => {
  // Words that YAML 1.1 or 1.2 reads as yes, no or nothing.
  const WORDS = /^(?:y|yes|n|no|true|false|on|off|null)$/i;
  const PLAIN = /^\p{L}(?:[\p{L}\p{M}\p{N}_.,/()°%+ -]*[\p{L}\p{M}\p{N}_./()°%+-])?$/u;
  const BARE = {
    date: /^\d{4}-\d{2}-\d{2}$/,
    time: /^\d{1,2}:\d{2}$/,
    duration: /^(?:\d{1,3}h(?:\d{2})?|\d{1,4} min)$/,
    number: /^[1-9]\d{0,5}$/,
  };
  // What a record may not hold as it is: the reader refuses it, or takes it for a line end.
  const HIDDEN = /[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]/g;
  const NO_BLOCK = /[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]/;
  const LONE = /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;
  const LONG = 72; // characters; a longer note is easier to read below its name

  /** Write one text on one line. */
  function scalar(text, kind) {
    if (BARE[kind]?.test(text)) return text;
    if (PLAIN.test(text) && !WORDS.test(text)) return text;
    const escaped = (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, "0")}`;
    return JSON.stringify(text).replace(HIDDEN, escaped);
  }

  /** Write a text as lines below its name; null where that would change it. */
  function block(text, indent) {
    if (NO_BLOCK.test(text) || !/[^\s]/.test(text)) return null;
    const end = text.endsWith("\n\n") ? "+" : text.endsWith("\n") ? "" : "-";
    const lines = (end === "-" ? text : text.slice(0, -1)).split("\n");
    // Where the first line is empty or begins with a blank, YAML could not tell how far in it is.
    const far = /^\s/.test(text) ? "2" : "";
    return [`|${far}${end}`, ...lines.map((line) => (line ? " ".repeat(indent) + line : ""))];
  }

  /** Write `name: value` with what comes before it on its first line. */
  function named(before, name, field, value, column) {
    const key = `${before}${scalar(name)}:`;
    if (value === true) return [`${key} yes`];
    if (typeof value === "string") {
      const several = field.kind === "prose" && value.length > LONG;
      const below = several || value.includes("\n") ? block(value, column + 2) : null;
      if (below) return [`${key} ${below[0]}`, ...below.slice(1)];
      return [`${key} ${scalar(value, field.kind)}`];
    }
    if (!Array.isArray(value)) {
      const inner = field.kind === "pieces" ? byPart(value, column + 2) : record(field.record, value, column + 2);
      return [key, ...inner];
    }
    const texts = value.every((v) => typeof v === "string");
    const kind = field.numbered ? "number" : field.kind;
    if (texts && value.length === 1 && !/[,;&+\n]| and /.test(value[0])) {
      return [`${key} ${scalar(value[0], kind)}`];
    }
    if (texts && value.every((v) => /^[\w./ -]+$/.test(v)) && value.join(", ").length <= LONG) {
      return [`${key} [${value.map((v) => scalar(v, kind)).join(", ")}]`];
    }
    return [key, ...value.flatMap((v) => item(field, kind, v, column + 2))];
  }

  function item(field, kind, value, column) {
    const dash = " ".repeat(column) + "- ";
    if (typeof value === "string") return [dash + scalar(value, kind)];
    const lines = record(field.record, value, column + 2);
    return [dash + lines[0].slice(column + 2), ...lines.slice(1)];
  }

  function byPart(value, column) {
    const words = { kind: "text" };
    return Object.entries(value).flatMap(([part, of]) => named(" ".repeat(column), part, words, of, column));
  }

  /** Write the fields of a record as lines that begin at a column. */
  function record(name, value, column) {
    const fields = new Map(form.data.fields[name].map((field) => [field.name, field]));
    return Object.entries(value).flatMap(([key, said]) => named(" ".repeat(column), key, fields.get(key), said, column));
  }

  /** Write a session, tidied, as a file. Halves of letters, which no file can hold, become a sign. */
  form.yaml = (session) => {
    const whole = (_, v) => (typeof v === "string" ? v.replace(LONE, "\ufffd") : v);
    const said = JSON.parse(JSON.stringify(session), whole);
    const lines = record("Session", said, 0);
    const up = "../".repeat(form.folder(session).split("/").length + 1);
    return [`# yaml-language-server: $schema=${up}${form.data.schema}`, ...lines, ""].join("\n");
  };
})((globalThis.bbForm ??= {}));
