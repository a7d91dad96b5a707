/* What was entered, tidied to what a record says; and what is wrong with it, in words. */
"use strict";
((form) => {
  const isEmpty = (v) =>
    v === undefined || v === null || v === false || (typeof v === "string" && !v.trim()) ||
    (typeof v === "object" && Object.keys(v).every((k) => k.startsWith("~") || isEmpty(v[k])));

  /** Leave out what says nothing. Names are written without blanks around them. */
  form.tidy = (name, value) => {
    const said = {};
    const fields = form.data.fields[name];
    const ticked = fields.some((field) => field.kind === "pieces");
    for (const field of fields) {
      const written = ticked && field.name === "parts" ? form.partsOf(value) : tidyField(field, value);
      if (!isEmpty(written)) said[field.name] = written;
    }
    return said;
  };

  function tidyField(field, holder) {
    const value = holder[field.name];
    if (field.kind === "pieces") return form.pieceWords(holder);
    if (isEmpty(value)) return undefined;
    if (Array.isArray(value)) {
      return value.filter((v) => !isEmpty(v)).map((v) => (typeof v === "string" ? one(field, v) : form.tidy(field.record, v)));
    }
    if (field.kind === "record") return form.tidy(field.record, value);
    return typeof value === "string" ? one(field, value) : value;
  }

  function one(field, text) {
    const isName = field.pattern || field.refers || field.numbered || field.kind === "number";
    if (field.kind === "number" || field.numbered) return text.trim().replace(/^0+(?=\d)/, "");
    return isName && field.kind !== "prose" ? text.trim() : text;
  }

  const DURATION = /^(?:(\d{1,6}(?:\.\d{1,6})?)\s*(?:h|hr|hrs|hour|hours)\.?)?\s*(?:(\d{1,6}(?:\.\d{1,6})?)\s*(?:m|min|mins|minute|minutes)?\.?)?$/i;
  const ISO = /^P(?:\d+W|(?:\d+D)?(?:T(?=\d)(?:\d+H)?(?:\d+M)?)?)$/i;
  const DAY = 24 * 60;

  /** Give a duration's minutes; a sentence where it cannot be read. */
  form.minutes = (written) => {
    const text = written.trim();
    const comma = text.match(/^\d+,\d+/);
    if (comma) return form.say("write “%(text)s” with a point", { text: text.replace(",", ".") });
    if (ISO.test(text) && /\d/.test(text)) return isoMinutes(text.toUpperCase());
    const clock = text.match(/^(\d{1,6}):(\d{2})$/);
    const two = text.match(/^(\d{1,2})\.([0-5]\d)$/);
    if (two && Number(two[2]) % 25) return form.say("“%(text)s” could be read two ways; write %(time)s", { text, time: `${two[1]}h${two[2]}` });
    const bare = /^\d{1,6}(\.\d{1,6})?$/.test(text);
    const found = clock ?? (bare ? [text, text, "0"] : text.match(DURATION));
    if (!found || !(found[1] || found[2])) return form.say("“%(text)s” is not a length of time; write it as 2h30 or 150 min", { text });
    const [hours, minutes] = [Number(found[1] ?? 0), Number(found[2] ?? 0)];
    if (hours && minutes >= 60) return form.say("“%(text)s” has %(minutes)s minutes after the hours; an hour has 60", { text, minutes });
    return Math.round(hours * 60 + minutes);
  };

  function isoMinutes(text) {
    const n = (unit) => Number(text.match(new RegExp(`(\\d+)${unit}`))?.[1] ?? 0);
    const [, time = ""] = text.split("T");
    const inTime = (unit) => Number(time.match(new RegExp(`(\\d+)${unit}`))?.[1] ?? 0);
    return (n("W") * 7 + n("D")) * DAY + inTime("H") * 60 + inTime("M");
  }

  function today() {
    const now = new Date();
    return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => String(n).padStart(2, "0")).join("-");
  }
  form.today = today;

  /** Say what is wrong with one text; nothing where nothing is. */
  function wrong(field, text, path) {
    const value = text.trim();
    const is = (pattern) => new RegExp(pattern, "u").test(value);
    if (field.kind === "date") {
      if (!is(field.pattern)) return form.say("write year-month-day, as 2025-03-08");
      if (value < "1900" || value > "2200") return form.say("“%(text)s” is in an unlikely year", { text: value });
      if (path === "date" && value > today()) return form.say("this date is still to come");
      return "";
    }
    if (field.kind === "duration") {
      const minutes = form.minutes(value);
      if (typeof minutes === "string") return minutes;
      if (field.name === "hours" && !minutes) return form.say("no time at all is given; write how long it took");
      return minutes > DAY ? form.say("this does not fit into one day; minutes are written as 150 min") : "";
    }
    if (field.kind === "number" || field.numbered) {
      if (!/^0*[1-9]\d{0,5}$/.test(value)) return form.say("write a whole number, as 12");
    } else if (field.pattern && !is(field.pattern)) {
      const said = form.say("“%(text)s” is not written as it should be", { text: value });
      return field.example ? `${said}; ${form.say("write it as %(example)s", { example: field.example })}` : said;
    }
    if (field.longest && text.length > field.longest) return form.say("this is longer than %(count)s letters", { count: field.longest });
    return unknown(field, value);
  }

  function unknown(field, value) {
    if (!field.refers || form.isFile(field.refers)) return "";
    const number = field.kind === "number" || field.numbered;
    const name = number ? String(Number(value)) : value.replace(/\s*\/\s*/g, "/");
    if (form.known(field.refers).some(([known]) => known === name)) return "";
    return form.say("the book has nothing called “%(text)s” here; choose what is there", { text: value });
  }

  function* inField(field, value, path) {
    if (Array.isArray(value)) {
      for (const [i, v] of value.entries()) {
        if (isEmpty(v)) continue;
        if (typeof v === "string") yield* said(`${path}.${i}`, wrong(field, v, path));
        else yield* inRecord(field.record, v, `${path}.${i}`);
      }
    } else if (field.kind === "record") yield* inRecord(field.record, value, path);
    else if (typeof value === "string") yield* said(path, wrong(field, value, path));
  }

  function* said(path, words) {
    if (words) yield { path, words };
  }

  function* inRecord(name, value, path) {
    const at = (field) => (path ? `${path}.${field}` : field);
    for (const field of form.data.fields[name]) {
      const written = value[field.name];
      if (field.kind !== "pieces" && !isEmpty(written)) yield* inField(field, written, at(field.name));
      else if (field.needed) yield { path: at(field.name), words: form.say("“%(field)s” is needed here", { field: form.words(field.name) }) };
    }
    if (name !== "Session" && name !== "Work") return;
    for (const [field, other] of Object.entries(form.data.together)) {
      if (!isEmpty(value[field]) && isEmpty(value[other])) {
        yield { path: at(field), words: form.say("this needs “%(field)s” as well", { field: form.words(other) }) };
      }
    }
    yield* form.pieceProblems(value, at("pieces"));
  }

  const isTimed = (work) => !isEmpty(work.hours) || !isEmpty(work.from);

  /** List everything that is wrong: where, and what in words. */
  form.problems = (session) => {
    const found = [...inRecord("Session", session, "")];
    const works = session.work ?? [];
    if (!works.length && isEmpty(session.step)) found.push({ path: "step", words: form.say("choose what was worked on") });
    for (const [i, work] of works.entries()) {
      if (isEmpty(work.step)) found.push({ path: `work.${i}.step`, words: form.say("choose what was worked on") });
      if (!isTimed(session) && !isTimed(work)) found.push({ path: `work.${i}.hours`, words: form.say("write how long it took") });
    }
    if (!works.length && !isTimed(session)) found.push({ path: "hours", words: form.say("write how long it took, or from when to when") });
    const slug = form.sessionSlug(session);
    if (form.data.sessions.includes(slug)) {
      found.push({ path: "title", words: form.say("there is a session of this date and title already; give this one another title") });
    }
    return found;
  };

  /** The name of a session's page: the date, and the title where it has one. */
  form.sessionSlug = (session) => [session.date, form.slug(session.title ?? "").slice(0, 60).replace(/-+$/, "")].filter(Boolean).join("-");

  /** The name its file is given, as `buildbook write` gives it. */
  form.fileName = (session) => `${form.sessionSlug({ ...session, date: dateOf(session) })}.yml`;

  /** The folder it belongs into: one for each year where the book has such. */
  form.folder = (session) => `sessions${form.data.byYear ? `/${dateOf(session).slice(0, 4)}` : ""}`;

  const dateOf = (session) => (/^\d{4}-\d{2}-\d{2}$/.test(session.date ?? "") ? session.date : today());

  form.isEmpty = isEmpty;
})((globalThis.bbForm ??= {}));
