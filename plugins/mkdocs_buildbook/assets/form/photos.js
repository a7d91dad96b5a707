/* Pictures and clips picked from the phone: their names and times, never the files themselves. */
"use strict";
((form) => {
  const { el } = form;
  const KINDS = { photos: "image/*", clips: "video/*,.mp4,.m4v,.mov" };
  const shown = new WeakMap(); // entries to the address of their picture, while this page is open

  const holds = (field) => form.data.fields[field.record].find((f) => f.name === "file" && f.refers in KINDS);

  /** The name a file gets in the book when it is brought in: its time, then its own name. */
  function pathOf(file, taken) {
    const [, stem, ending] = file.name.match(/^(.*?)(\.[^.]*)?$/s);
    const words = form.slug(stem).slice(0, 40).replace(/^-+|-+$/g, "") || "photo";
    const [year, month] = taken.date.split("-");
    const when = taken.from === "camera"
      ? `${year}/${month}/${taken.date}-${taken.time.replaceAll(":", "")}`
      : "undated/undated";
    return `${when}-${words}${(ending ?? "").toLowerCase()}`;
  }

  /** Offer to pick files for a list of records that name a file. */
  form.picked = (field, holder, path) => {
    const file = holds(field);
    if (!file) return null;
    const id = `${form.id(path)}-files`;
    const status = el("p", { class: "bb-hint", role: "status" });
    const input = el("input", {
      id, type: "file", multiple: true, accept: KINDS[file.refers],
      onchange: async () => {
        status.textContent = form.say("Reading the times…");
        for (const one of input.files) await add(holder[field.name], one);
        form.open[form.id(path)] = true;
        form.changed(path);
        form.draw(id);
      },
    });
    return el("div", { class: "bb-field" },
      el("label", { for: id }, form.say("Pick from this device")),
      el("p", { class: "bb-hint" }, form.say("Only names and times are taken. Copy the files themselves into the book with"), " ", el("code", {}, "buildbook photos add"), form.say("; the names written here are those it gives them.")),
      input, status, times(holder[field.name]));
  };

  async function add(list, file) {
    const taken = await form.takenAt(file);
    const entry = { file: pathOf(file, taken), "~taken": taken, "~name": file.name };
    if (list.some((other) => other.file === entry.file)) return; // picked twice
    shown.set(entry, URL.createObjectURL(file));
    list.push(entry);
  }

  /** Beside an entry: the picture while it is at hand, its name, and when it was taken. */
  form.beside = (field, entry) => {
    if (!entry["~taken"]) return null;
    const { date, time, from } = entry["~taken"];
    const source = from === "camera" ? form.say("by the camera's clock") : form.say("the file's own time, as the camera's is not in it");
    const image = shown.get(entry);
    return el("div", { class: "bb-beside" },
      image && holds(field).refers === "photos" && el("img", { src: image, alt: "" }),
      el("p", { class: "bb-hint" }, `${entry["~name"]}: ${date} ${time.slice(0, 5)}, ${source}.`));
  };

  /** Offer the times of the pictures as those of the session. */
  function times(list) {
    const moments = list.map((entry) => entry["~taken"]).filter((t) => t?.from === "camera").map((t) => `${t.date} ${t.time.slice(0, 5)}`).sort();
    if (moments.length < 2 || moments[0] === moments.at(-1)) return null;
    const [[date, first], [end, last]] = [moments[0].split(" "), moments.at(-1).split(" ")];
    if (date !== end) return null;
    const take = (event) => {
      Object.assign(form.state, { date, from: first, to: last });
      form.open["bb-more"] = true;
      form.changed("date");
      form.draw(event.currentTarget.id);
    };
    return el("button", { type: "button", class: "bb-small", id: "bb-photo-times", onclick: take }, form.say("Work began and ended with these: %(date)s, %(first)s to %(last)s", { date, first, last }));
  }
})((globalThis.bbForm ??= {}));
