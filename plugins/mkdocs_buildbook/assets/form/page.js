/* The page: the fields in their places, what was typed, and the file that comes of it. */
"use strict";
((form) => {
  const { el } = form;
  const at = (id) => document.getElementById(id);
  form.open = {};
  const touched = new Set(); // where something was entered; only there a mistake is told at once
  let asked = false; // the file was asked for: now everything is told
  let shareAs = ""; // an ending this browser shares

  const fields = (name) => form.data.fields[name];
  const named = (record, name) => fields(record).find((field) => field.name === name);
  const isOfWork = (name) => name !== "private" && Boolean(named("Work", name)); // that is of all

  /** Draw all fields anew from what was entered; give the focus to `id`. */
  form.draw = (id) => {
    const scrolled = globalThis.scrollY;
    const many = form.state.work?.length > 0;
    const drawn = [...(many ? manyWorks() : oneWork()), ...others()];
    at("bb-fields").replaceChildren(...drawn.flat(Infinity).filter(Boolean));
    for (const input of at("bb-fields").querySelectorAll("textarea")) grow(input);
    refresh();
    globalThis.scrollTo(0, scrolled);
    const target = id && at(id);
    if (target) (target.matches("fieldset") ? target.querySelector("input, select, textarea") ?? target : target).focus();
  };

  const control = (record, name, holder, path) => form.control(named(record, name), holder, path ? `${path}.${name}` : name);

  /** What nearly every session says, of one piece of work. */
  function basics(record, work, path) {
    const pieces = el("div", {}, form.pieces(work, path));
    // Only these are drawn anew: a list that is being chosen from by its letters stays as it is.
    const chosen = () => {
      pieces.replaceChildren(...[form.pieces(work, path)].filter(Boolean));
      refresh();
    };
    return form.data.basics.filter((name) => named(record, name)).map((name) => {
      if (name === "parts") return pieces;
      if (named(record, name).kind === "pieces") return null; // with their parts
      const drawn = control(record, name, work, path);
      if (name !== "step" && name !== "operation") return drawn;
      drawn.querySelector("select, input").addEventListener("change", chosen);
      return name === "step" ? [latest(work, path), drawn] : drawn;
    });
  }

  /** The steps worked on last, at one touch. */
  function latest(work, path) {
    const steps = form.data.latest.filter(form.step);
    if (!steps.length || work.step) return null;
    const choose = (name) => () => {
      work.step = name;
      form.changed(path ? `${path}.step` : "step");
      form.draw(form.id(path ? `${path}.operation` : "operation"));
    };
    const button = (name) => el("button", { type: "button", onclick: choose(name) }, `${form.step(name).section}: ${form.step(name).title}`);
    return el("div", { class: "bb-field" }, el("p", { class: "bb-label", id: "bb-latest" }, form.say("Worked on last")),
      el("div", { class: "bb-row", role: "group", "aria-labelledby": "bb-latest" }, steps.map(button)));
  }

  function more(record, holder, path, without, id, title) {
    const rest = fields(record).filter((f) => (record === "Work" || isOfWork(f.name)) && !form.data.basics.includes(f.name) && !without.includes(f.name));
    const count = rest.filter((f) => !form.isEmpty(holder[f.name])).length;
    return form.folded(id, title, count || "", rest.map((f) => control(record, f.name, holder, path)));
  }

  function oneWork() {
    return [
      control("Session", "date", form.state, ""),
      ...basics("Session", form.state, ""),
      more("Session", form.state, "", [], "bb-more", form.say("More about this work")),
      el("button", { type: "button", id: "bb-add-work", onclick: split }, form.say("Add another piece of work")),
    ];
  }

  function manyWorks() {
    const works = form.state.work.map((work, i) => {
      const path = `work.${i}`;
      return el("fieldset", { class: "bb-entry", id: form.id(path), tabindex: "-1" },
        el("legend", {}, form.say("Piece of work %(number)s", { number: i + 1 })),
        basics("Work", work, path),
        more("Work", work, path, [], `bb-more-${i}`, form.say("More about this piece of work")),
        el("button", { type: "button", class: "bb-small bb-remove", onclick: () => join(i) }, form.say("Remove piece of work %(number)s", { number: i + 1 })));
    });
    const whole = form.folded("bb-more", form.say("For the whole session"), "",
      el("p", { class: "bb-hint" }, form.say("What holds for all of it. Hours stand here or with each piece of work.")),
      fields("Session").filter((f) => isOfWork(f.name) && !form.data.short.includes(f.name)).map((f) => control("Session", f.name, form.state, "")));
    return [
      control("Session", "date", form.state, ""), ...works,
      el("button", { type: "button", id: "bb-add-work", onclick: split }, form.say("Add another piece of work")), whole,
    ];
  }

  /** Begin another piece of work; what was said of the one so far moves into the first. */
  function split() {
    const { state } = form;
    if (!state.work?.length) {
      const first = {};
      for (const name of [...form.data.short, "knowingly", "notes"]) {
        if (name in state) first[name] = state[name];
        delete state[name];
      }
      state.work = [first];
      form.open["bb-more"] = !form.isEmpty(state.hours) || !form.isEmpty(state.from);
    }
    state.work.push({});
    form.changed("work");
    form.draw(form.id(`work.${state.work.length - 1}`));
  }

  /** Take a piece of work away; a single one that is left is the session's own again. */
  function join(i) {
    const { state } = form;
    state.work.splice(i, 1);
    if (state.work.length === 1) {
      const [last] = state.work;
      delete state.work;
      for (const [name, value] of Object.entries(last)) if (!form.isEmpty(value)) state[name] = value;
    }
    form.changed("work");
    form.draw("bb-add-work");
  }

  /** What only a session has, in the order of its schema. */
  function others() {
    const own = fields("Session").filter((f) => f.name !== "date" && f.name !== "work" && !isOfWork(f.name));
    const [texts, records] = [own.filter((f) => f.kind !== "record"), own.filter((f) => f.kind === "record")];
    return [...records.map((f) => control("Session", f.name, form.state, "")), ...texts.map((f) => control("Session", f.name, form.state, ""))];
  }

  function grow(input) {
    const fit = () => {
      input.style.height = "auto";
      input.style.height = `${input.scrollHeight + 4}px`;
    };
    input.addEventListener("input", fit);
    if (input.value) fit();
  }

  let waiting = 0;
  /** Something was entered: tell what is wrong there, write the file anew, keep the draft. */
  form.changed = (path) => {
    touched.add(path);
    refresh();
    clearTimeout(waiting);
    waiting = setTimeout(keep, 300);
  };

  function keep() {
    clearTimeout(waiting);
    if (!form.isEmpty(form.state)) at("bb-draft").textContent = form.keep()
      ? form.say("A draft is kept in this browser.")
      : form.say("This browser keeps no draft: save the file before you leave this page.");
  }

  function refresh() {
    const problems = form.problems(form.state);
    const first = new Map();
    for (const { path, words } of problems) if (!first.has(path)) first.set(path, words);
    for (const error of document.querySelectorAll(".bb-error[data-path]")) {
      const { path } = error.dataset;
      const words = asked || touched.has(path) ? first.get(path) ?? inside(first, path, error) : "";
      error.hidden = !words;
      error.textContent = words ?? "";
      const control = at(form.id(path));
      if (control?.matches("input, select, textarea")) control.setAttribute("aria-invalid", String(Boolean(words)));
    }
    at("bb-yaml").textContent = form.text();
    at("bb-file-name").textContent = `${form.folder(form.state)}/${form.fileName(form.state)}`;
    tell(problems);
  }

  /** An entry of a plain list has no place of its own for its mistake: the list tells it. */
  function inside(first, path, error) {
    for (const [other, words] of first) {
      if (other.startsWith(`${path}.`) && /^\d+$/.test(other.slice(path.length + 1)) && !at(`${form.id(other)}-error`)) return words;
    }
    return error.hidden ? "" : undefined;
  }

  function tell(problems) {
    const list = at("bb-problems");
    list.hidden = !asked || !problems.length;
    if (list.hidden) return;
    const go = (path) => (event) => {
      event.preventDefault();
      show(path);
    };
    const line = ({ path, words }) => el("li", {}, el("a", { href: `#${form.id(path)}`, onclick: go(path) }, place(path)), `: ${words}`);
    list.replaceChildren(
      el("p", {}, problems.length === 1
        ? form.say("One thing to mend. You may have the file as it is and mend it later.")
        : form.say("%(count)s things to mend. You may have the file as it is and mend it later.", { count: problems.length })),
      el("ul", {}, problems.map(line)));
  }

  /** Say in words where something is: `Readings 2, values`. */
  const place = (path) =>
    form.words(path.split(".").map((word, i) => (/^\d+$/.test(word) ? ` ${Number(word) + 1}` : `${i ? ", " : ""}${word}`)).join(""));

  function show(path) {
    let id = form.id(path);
    while (id.includes("-") && !at(id)) id = id.slice(0, id.lastIndexOf("-"));
    const target = at(id);
    for (let e = target; e; e = e.parentElement) if (e.matches("details")) e.open = true;
    target?.scrollIntoView({ block: "center" });
    (target?.matches("input, select, textarea") ? target : target?.querySelector("input, select, textarea"))?.focus();
  }

  /** The session as a file. */
  form.text = () => {
    const { date, title, ...rest } = form.tidy("Session", form.state);
    return form.yaml({ date, title, ...rest });
  };

  const file = (ending = "") => new File([form.text()], form.fileName(form.state) + ending, { type: ending ? "text/plain" : "application/yaml" });

  function say(words, problems = []) {
    at("bb-status").replaceChildren(words, ...(problems.length ? [el("ul", {}, problems.map((p) => el("li", {}, p)))] : []));
  }

  /** The file is wanted: keep the draft first, then tell all that is wrong. */
  function wanted(act) {
    return async () => {
      asked = true;
      keep();
      refresh();
      await act();
    };
  }

  function download() {
    const address = URL.createObjectURL(file());
    const link = el("a", { href: address, download: form.fileName(form.state) });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60_000);
    say(form.say("%(file)s is with this device's downloads. Put it into the folder %(folder)s of the book.", { file: form.fileName(form.state), folder: form.folder(form.state) }));
  }

  async function share() {
    try {
      await navigator.share({ files: [file(shareAs)], title: form.fileName(form.state) });
      say(shareAs ? form.say("Shared. Take the .txt off its name when you put it into the book.") : form.say("Shared."));
    } catch (error) {
      if (error.name === "AbortError") return say(form.say("Not shared."));
      if (shareAs) return say(form.say("This browser does not share it. Download or copy it."));
      shareAs = ".txt"; // some browsers share no files that end in .yml
      say(form.say("This browser shares no .yml files. Press Share again to send it as %(file)s.txt.", { file: form.fileName(form.state) }));
    }
  }

  async function copy() {
    try {
      await navigator.clipboard.writeText(form.text());
    } catch {
      const range = document.createRange();
      range.selectNodeContents(at("bb-yaml"));
      globalThis.getSelection().removeAllRanges();
      globalThis.getSelection().addRange(range);
      if (!document.execCommand("copy")) return say(form.say("This browser copies nothing by itself. The text is marked: copy it by hand."));
    }
    say(form.say("Copied. Paste it into a new file, %(file)s.", { file: `${form.folder(form.state)}/${form.fileName(form.state)}` }));
  }

  /** Save into the book, where the page comes from the builder's own computer. */
  const saving = document.querySelector("meta[name=buildbook-saving]");
  async function save() {
    say(form.say("Saving…"));
    let answer, said;
    try {
      answer = await fetch(saving.dataset.to, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Buildbook-Token": saving.content },
        body: JSON.stringify({ text: form.text() }),
      });
      said = await answer.json();
    } catch {
      return say(form.say("Not saved: buildbook serve does not answer. The draft is kept; start it again, or download the file."));
    }
    const problems = (said.problems ?? []).map((p) => `${p.line ? `${form.say("line %(line)s", { line: p.line })}: ` : ""}${p.message}${p.advice ? `: ${p.advice}` : ""}`);
    if (!answer.ok) return say(form.say("Not saved: %(error)s.", { error: said.error }), problems);
    form.putAside();
    const words = [form.say("Saved as %(file)s.", { file: said.saved }), ...(problems.length ? [form.say("The book says of it:")] : [])].join(" ");
    form.remember(JSON.stringify({ words, problems })); // the page is loaded anew when the book is
    begin({});
    say(words, problems);
  }

  function another() {
    form.putAside();
    begin({});
    say("");
    form.draw("bb-date");
  }

  function back() {
    const former = form.former();
    if (!former) return;
    begin(former);
    keep();
    form.draw("bb-date");
  }

  function begin(state) {
    form.state = state;
    form.state.date ??= form.today();
    touched.clear();
    asked = false;
    at("bb-former").hidden = !form.former();
    form.draw();
  }

  function start() {
    if (!at("bb-form-data")) return;
    form.data = JSON.parse(at("bb-form-data").textContent);
    const draft = form.draft();
    at("bb-draft").textContent = draft ? form.say("This is the draft that was kept in this browser.") : "";
    try {
      begin(draft ?? {});
    } catch {
      begin({}); // kept by another version of this page
      at("bb-draft").textContent = form.say("The draft that was kept in this browser cannot be read here.");
    }
    try {
      const { words, problems } = JSON.parse(form.remembered() || "{}");
      if (words) say(words, problems);
    } catch {
      // what was remembered cannot be read, and nothing depends on it
    }
    at("bb-download").addEventListener("click", wanted(download));
    at("bb-copy").addEventListener("click", wanted(copy));
    at("bb-share").addEventListener("click", wanted(share));
    at("bb-share").hidden = !navigator.canShare?.({ files: [file()] });
    at("bb-save").hidden = !saving;
    if (saving) at("bb-save").addEventListener("click", wanted(save));
    document.querySelector(".bb-result button:not([hidden])").classList.add("bb-first");
    at("bb-another").addEventListener("click", another);
    at("bb-former").addEventListener("click", back);
    at("bb-session").addEventListener("submit", (event) => event.preventDefault());
    globalThis.addEventListener("pagehide", keep);
    at("bb-session").hidden = false;
    at("bb-no-scripts").hidden = true;
  }

  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start);
  else start();
})((globalThis.bbForm ??= {}));
