/* Fields on the page, made from what the records' schema says of them. */
"use strict";
((form) => {
  const FEW = 8; // so many names are shown as boxes to tick
  const MANY = 150; // more names than these are typed, with completion, and not listed

  /** Make an element. Texts become text nodes: nothing that was entered is read as HTML. */
  form.el = (tag, attributes = {}, ...children) => {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
      else if (typeof value === "boolean") made[name] = value;
      else if (value !== undefined) made.setAttribute(name, value);
    }
    made.append(...children.flat(Infinity).filter((child) => child || child === 0));
    return made;
  };
  const el = form.el;

  form.words = (name) => name.charAt(0).toUpperCase() + name.slice(1);
  form.id = (path) => `bb-${path.replace(/[^A-Za-z0-9]+/g, "-")}`;

  /** Show a description; what stands in backquotes is code. */
  const described = (text) => text.split("`").map((piece, i) => (i % 2 ? el("code", {}, piece) : piece));

  const errorFor = (path) => el("p", { class: "bb-error", id: `${form.id(path)}-error`, "data-path": path, hidden: true });
  const hintFor = (field, path) => field.description && el("p", { class: "bb-hint", id: `${form.id(path)}-hint` }, described(field.description));
  const describes = (field, path) => `${form.id(path)}-error${field.description ? ` ${form.id(path)}-hint` : ""}`;

  /** Draw one field of a record that stands at a path. */
  form.control = (field, holder, path) => {
    if (field.kind === "record") return field.several ? records(field, holder, path) : oneRecord(field, holder, path);
    if (field.several) return several(field, holder, path);
    if (field.kind === "yes-no") return tick(field, holder, path);
    const [input, names] = single(field, holder[field.name] ?? "", form.id(path), path, (value) => {
      holder[field.name] = value;
      form.changed(path);
    });
    input.setAttribute("aria-describedby", describes(field, path));
    if (field.needed) input.setAttribute("aria-required", "true");
    const drawn = field.kind === "time" ? el("div", { class: "bb-row" }, input, now(input)) : input;
    return el("div", { class: "bb-field" },
      el("label", { for: form.id(path) }, form.words(field.name)),
      hintFor(field, path), drawn, names, field.name === "hours" && usual(input), errorFor(path));
  };

  function tick(field, holder, path) {
    const box = el("input", {
      type: "checkbox", id: form.id(path), checked: holder[field.name] === true, "aria-describedby": describes(field, path),
      onchange: (event) => {
        holder[field.name] = event.target.checked;
        form.changed(path);
      },
    });
    return el("div", { class: "bb-field" },
      el("label", { class: "bb-tick", for: form.id(path) }, box, el("span", {}, form.words(field.name))),
      hintFor(field, path), errorFor(path));
  }

  /** Make the input of one text, and the names it completes where there are any. */
  function single(field, value, id, path, write) {
    const oninput = (event) => write(event.target.value);
    if (field.kind === "choice") return [chosen(field.choices.map((c) => [c, "", ""]), value, id, oninput)];
    if (field.kind === "prose") return [el("textarea", { id, rows: "4", oninput }, value)];
    const known = field.refers ? form.known(field.refers) : [];
    if (known.length && known.length <= MANY && !form.isFile(field.refers)) return [chosen(known, value, id, oninput)];
    const types = { date: "date", time: "time" };
    const input = el("input", { id, type: types[field.kind] ?? "text", oninput, autocomplete: "off" });
    if (field.kind === "number") input.inputMode = "numeric";
    if (field.refers || field.pattern) input.autocapitalize = "none";
    if (field.example && !field.refers) input.placeholder = field.example;
    input.value = value;
    return completed(input, form.suggested(field, path) ?? known, id);
  }

  /** Names to complete: those of the kind cited; for a photo asked for, those of its step. */
  form.suggested = (field, path) => {
    if (field.name !== "shows" || !path.startsWith("photos.")) return null;
    return form.works().flatMap((work) => form.step(work.step)?.photos ?? []).map((words) => [words, "", ""]);
  };

  function completed(input, known, id) {
    if (!known.length) return [input];
    input.setAttribute("list", `${id}-list`);
    const options = known.map(([name, title]) => el("option", { value: name }, title));
    return [input, el("datalist", { id: `${id}-list` }, options)];
  }

  const option = ([name, title, state], value) =>
    el("option", { value: name, selected: name === value }, title ? `${/^\d+$/.test(name) ? `${name} ` : ""}${title}${state && state !== "new" ? ` (${state})` : ""}` : name);

  function chosen(known, value, id, oninput) {
    const all = value && !known.some(([name]) => name === value) ? [[value, "", ""], ...known] : known;
    const groups = new Map();
    for (const one of all) groups.set(one[3] ?? "", [...(groups.get(one[3] ?? "") ?? []), option(one, value)]);
    const options = [...groups].flatMap(([title, some]) => (title ? [el("optgroup", { label: title }, some)] : some));
    return el("select", { id, oninput }, el("option", { value: "" }, form.say("not chosen")), options);
  }

  function set(input, value) {
    input.value = value;
    input.dispatchEvent(new Event("input"));
  }

  function now(input) {
    const time = () => new Date().toTimeString().slice(0, 5);
    return el("button", { type: "button", class: "bb-small", onclick: () => set(input, time()) }, form.say("Now"));
  }

  function usual(input) {
    const button = (text) => el("button", { type: "button", class: "bb-small", onclick: () => set(input, text) }, text);
    return el("div", { class: "bb-row" }, ["1h", "1h30", "2h", "2h30", "3h"].map(button));
  }

  /** A list of names or texts: boxes to tick where there are few, else one after the other. */
  function several(field, holder, path) {
    const known = field.refers ? form.known(field.refers) : [];
    const here = holder[field.name] ?? [];
    const few = known.length && known.length <= FEW && here.every((v) => known.some(([name]) => name === v));
    return few ? boxes(field, holder, path, known) : entries(field, holder, path, known);
  }

  function group(field, path, ...children) {
    return el("fieldset", { class: "bb-field", id: form.id(path), "aria-describedby": describes(field, path) },
      el("legend", {}, form.words(field.name)), hintFor(field, path), children, errorFor(path));
  }

  function boxes(field, holder, path, known) {
    const box = ([name, title]) => {
      const input = el("input", {
        type: "checkbox", value: name, checked: (holder[field.name] ?? []).includes(name),
        onchange: () => {
          const there = new Set(holder[field.name] ?? []);
          input.checked ? there.add(name) : there.delete(name);
          holder[field.name] = [...there];
          form.changed(path);
        },
      });
      return el("label", { class: "bb-chip" }, input, el("span", {}, title || name));
    };
    return group(field, path, el("div", { class: "bb-row" }, known.map(box)));
  }

  function entries(field, holder, path, known) {
    const list = el("ul", { class: "bb-entries" });
    const id = `${form.id(path)}-new`;
    let typed = "";
    const one = { ...field, several: false };
    const [box, names] = single(one, "", id, path, (value) => (typed = value));
    const add = () => {
      if (!typed.trim()) return;
      holder[field.name] = [...(holder[field.name] ?? []), typed];
      set(box, "");
      refresh();
      form.changed(path);
    };
    box.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      add();
    });
    if (box.matches("input")) box.addEventListener("change", add); // what was typed is not lost
    const refresh = () => {
      const title = (value) => known.find(([name]) => name === value)?.[1];
      list.replaceChildren(...(holder[field.name] ?? []).map((value, i) =>
        el("li", {}, el("span", {}, title(value) ? `${value} ${title(value)}` : value),
          el("button", {
            type: "button", class: "bb-small", "aria-label": form.say("Take %(name)s out", { name: value }),
            onclick: () => {
              holder[field.name] = holder[field.name].filter((_, at) => at !== i);
              refresh();
              box.focus();
              form.changed(path);
            },
          }, form.say("Remove")))));
    };
    refresh();
    return group(field, path, list,
      el("div", { class: "bb-row" },
        el("label", { class: "bb-unseen", for: id }, form.say("%(field)s: one more", { field: form.words(field.name) })), box, names,
        el("button", { type: "button", class: "bb-small", onclick: add }, form.say("Add"))));
  }

  /** Make a part of the page that is unfolded; it stays as it was left. */
  form.folded = (id, title, count, ...children) => {
    const details = el("details", { class: "bb-fold", id, ontoggle: () => (form.open[id] = details.open) },
      el("summary", {}, title, count && el("span", { class: "bb-count" }, ` ${count}`)), children);
    details.open = form.open[id] ?? Boolean(count);
    return details;
  };

  function oneRecord(field, holder, path) {
    holder[field.name] ??= {};
    const count = form.isEmpty(holder[field.name]) ? "" : form.say("written");
    return form.folded(form.id(path), form.words(field.name), count,
      hintFor(field, path), form.data.fields[field.record].map((inner) => form.control(inner, holder[field.name], `${path}.${inner.name}`)));
  }

  const NAMES = { Work: "piece of work" };
  form.recordName = (record) => NAMES[record] ?? record.replace(/(?<=[a-z])(?=[A-Z])/g, " ").toLowerCase();

  function records(field, holder, path) {
    const list = (holder[field.name] ??= []);
    const name = form.recordName(field.record);
    const add = () => {
      list.push(form.fresh(field));
      form.open[form.id(path)] = true;
      form.changed(path);
      form.draw(`${form.id(`${path}.${list.length - 1}`)}`);
    };
    return form.folded(form.id(path), form.words(field.name), list.length || "",
      hintFor(field, path),
      form.picked(field, holder, path),
      list.map((entry, i) => (typeof entry === "object" ? written(field, list, i, path) : cited(field, list, i, path))),
      el("div", { class: "bb-row" },
        el("button", { type: "button", id: `${form.id(path)}-add`, onclick: add }, form.say("Add a %(record)s", { record: name }))),
      field.numbered && citing(field, list, path),
      errorFor(path));
  }

  /** Begin a record: one that bears a number gets the next free one. */
  form.fresh = (field) => {
    if (!field.numbered) return {};
    const number = form.data.fields[field.record][0].name;
    return { [number]: form.free(field.refers, number) };
  };

  function remove(list, i, path, words) {
    return el("button", {
      type: "button", class: "bb-small bb-remove",
      onclick: () => {
        list.splice(i, 1);
        form.changed(path);
        form.draw(`${form.id(path)}-add`);
      },
    }, words);
  }

  function written(field, list, i, path) {
    const at = `${path}.${i}`;
    const title = `${form.words(form.recordName(field.record))} ${i + 1}`;
    return el("fieldset", { class: "bb-entry", id: form.id(at), tabindex: "-1" },
      el("legend", {}, title), form.beside(field, list[i]),
      inEntry(field.record, list[i], at),
      remove(list, i, path, form.say("Remove %(record)s", { record: title.toLowerCase() })));
  }

  /** What an entry must say and its text first; the rest is to be unfolded. */
  function inEntry(name, entry, path) {
    const fields = form.data.fields[name];
    const first = fields.filter((field) => field.needed || field.kind === "prose");
    const rest = fields.filter((field) => !first.includes(field));
    const draw = (field) => form.control(field, entry, `${path}.${field.name}`);
    if (!first.length || rest.length < 3) return fields.map(draw);
    const count = rest.filter((field) => !form.isEmpty(entry[field.name])).length;
    return [...first.map(draw), form.folded(`${form.id(path)}-more`, form.say("More about this %(record)s", { record: form.recordName(name) }), count || "", rest.map(draw))];
  }

  function cited(field, list, i, path) {
    const title = form.known(field.refers).find(([name]) => name === list[i])?.[1] ?? "";
    return el("p", { class: "bb-cited" }, `${form.words(form.recordName(field.record))} ${list[i]} ${title} `,
      remove(list, i, path, form.say("Remove %(record)s", { record: `${form.recordName(field.record)} ${list[i]}` })), errorFor(`${path}.${i}`));
  }

  function citing(field, list, path) {
    const known = form.data.names[field.refers] ?? [];
    if (!known.length) return null;
    const id = `${form.id(path)}-cite`;
    let typed = "";
    const [input, names] = single({ kind: "text", refers: field.refers }, "", id, path, (value) => (typed = value));
    const cite = () => {
      if (!typed) return;
      list.push(typed);
      form.changed(path);
      form.draw(id);
    };
    return el("div", { class: "bb-field" },
      el("label", { for: id }, form.say("Name a %(record)s that is in the book", { record: form.recordName(field.record) })),
      el("div", { class: "bb-row" }, input, names, el("button", { type: "button", class: "bb-small", onclick: cite }, form.say("Name it"))));
  }
})((globalThis.bbForm ??= {}));
