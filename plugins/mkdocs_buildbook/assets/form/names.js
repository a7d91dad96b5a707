/* What the book has: names that may be cited, and names of what is written here. */
"use strict";
((form) => {
  // Letters that have no plain letter inside them, as `é` has `e`.
  const LETTERS = { ß: "ss", æ: "ae", Æ: "AE", œ: "oe", Œ: "OE", ø: "o", Ø: "O", ł: "l", Ł: "L", đ: "d", Đ: "D", ð: "d", Ð: "D", þ: "th", Þ: "TH" };

  /** Turn a title into lower-case words joined by hyphens, as the book does. */
  form.slug = (text) =>
    text
      .replace(/[ßæÆœŒøØłŁđĐðÐþÞ]/g, (c) => LETTERS[c])
      .normalize("NFKD")
      .replace(/[^\x00-\x7f]/g, "")
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, "-")
      .replace(/^-+|-+$/g, "");

  form.step = (name) => form.data.steps.find((step) => step.name === name);

  form.label = (number, at) => {
    const part = form.data.parts[number];
    return part.labels ? part.labels[at] : `${number}-${part.pieces[at]}`;
  };

  /** List the pieces of work that are written here: those listed, or the session itself. */
  form.works = () => (form.state.work?.length ? form.state.work : [form.state]);

  const steps = () => form.data.steps.map((s) => [s.name, s.title, s.state, s.section]);

  /** Parts and pieces of the chosen steps come first: those are meant most often. */
  function parts() {
    const here = form.works().flatMap((work) => form.step(work.step)?.parts ?? []);
    const all = new Set([...here, ...Object.keys(form.data.parts)]);
    return [...all].map((number) => [number, form.data.parts[number].name, ""]);
  }

  function pieces() {
    return parts().flatMap(([number]) =>
      form.data.parts[number].pieces.map((_, at) => [form.label(number, at), form.data.parts[number].name, ""]),
    );
  }

  /** Files are those named here: which others there are, the page does not know. */
  const files = (kind) => (form.state[kind] ?? []).filter((one) => one.file).map((one) => [one.file, one.caption ?? "", ""]);
  form.isFile = (kind) => kind === "photos" || kind === "clips";

  /** Lessons and squawks written here may be cited here too. */
  function written(kind) {
    const field = form.data.fields.Session.find((f) => f.name === kind && f.numbered);
    if (!field) return [];
    const number = form.data.fields[field.record][0].name;
    return (form.state[kind] ?? [])
      .filter((entry) => typeof entry === "object" && entry[number])
      .map((entry) => [String(Number(entry[number])), entry.title ?? "", "new"]);
  }

  /** List what of a kind may be cited: identity, title, state and, of steps, the section. */
  form.known = (kind) => {
    if (kind === "steps") return steps();
    if (kind === "parts") return parts();
    if (kind === "pieces") return pieces();
    if (form.isFile(kind)) return files(kind);
    return [...written(kind), ...(form.data.names[kind] ?? [])];
  };

  /** Give the next number that no lesson or squawk bears, in the book or here. */
  form.free = (kind, number) => {
    const taken = written(kind).map(([n]) => Number(n) + 1);
    return String(Math.max(form.data.free[number] ?? 1, ...taken));
  };
})((globalThis.bbForm ??= {}));
