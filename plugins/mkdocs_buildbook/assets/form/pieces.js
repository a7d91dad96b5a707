/* Parts and pieces of a piece of work: ticked off, part by part of the chosen step. */
"use strict";
((form) => {
  const { el } = form;

  const listed = (work) => (Array.isArray(work.parts) ? work.parts : []);
  const marks = (work, number) => {
    const known = form.data.parts[number]?.pieces ?? [];
    return (work.pieces?.[number] ?? []).filter((mark) => known.includes(mark)); // a draft may be older than the book
  };

  /** The parts offered: those of the step, and others that were added. */
  function offered(work) {
    const there = [...(form.step(work.step)?.parts ?? []), ...listed(work), ...Object.keys(work.pieces ?? {})];
    return [...new Set(there)].filter((number) => number in form.data.parts);
  }

  /** The parts worked on: those ticked, and those of which a piece is. */
  form.partsOf = (work) => {
    const named = [...listed(work), ...Object.keys(work.pieces ?? {}).filter((n) => marks(work, n).length)];
    return offered(work).filter((number) => named.includes(number));
  };

  const isDone = (number, operation, at) => form.data.parts[number].done[operation]?.[at] === "1";

  /** Write the ticked pieces of a part as few words: `all`, runs, single pieces. */
  function words(number, ticked) {
    const part = form.data.parts[number];
    const fitted = part.pieces.filter((_, at) => part.states[at] === "f");
    const some = part.pieces.filter((mark) => ticked.includes(mark));
    // What is scrapped or replaced later would change what `all` meant on the day.
    if (!part.states.includes("x") && some.length > 1 && some.length === fitted.length && fitted.every((m) => some.includes(m))) return ["all"];
    const found = [];
    for (let i = 0; i < some.length; ) {
      let last = i;
      while (last + 1 < some.length && some[last + 1] === after(some[last], some[i])) last++;
      if (last - i > 1) found.push(`${some[i]} to ${some[last]}`);
      else found.push(...some.slice(i, last + 1));
      i = last + 1;
    }
    return found;
  }

  /** The mark that follows in a run; the first one says how many digits there are. */
  function after(mark, first) {
    const [, stem, digits] = mark.match(/^(.*?)(\d+)$/) ?? [];
    if (!digits) return null;
    const width = first.match(/(\d+)$/)[1].length;
    return stem + String(Number(digits) + 1).padStart(width, "0");
  }

  /** What a record says of pieces: words of the one part, or words by part number. */
  form.pieceWords = (work) => {
    const parts = form.partsOf(work);
    const ticked = parts.filter((number) => marks(work, number).length);
    if (!ticked.length) return undefined;
    if (parts.length === 1) return words(parts[0], marks(work, parts[0]));
    return Object.fromEntries(ticked.map((number) => [number, words(number, marks(work, number))]));
  };

  /** Say what is unlikely about the pieces ticked. */
  form.pieceProblems = function* (work, path) {
    const ticked = Object.keys(work.pieces ?? {}).filter((n) => n in form.data.parts && marks(work, n).length);
    if (ticked.length && !work.operation) {
      yield { path, words: form.say("choose the operation that was done on the pieces") };
    }
    if (work.knowingly?.trim()) return;
    for (const number of ticked) {
      const part = form.data.parts[number];
      const at = (mark) => part.pieces.indexOf(mark);
      const again = marks(work, number).filter((mark) => isDone(number, work.operation, at(mark)));
      const scrapped = marks(work, number).filter((mark) => part.states[at(mark)] === "x");
      const why = form.say("if it is meant, write the reason in “Knowingly”");
      if (again.length) yield { path, words: `${number}: ${form.say("%(pieces)s was done already", { pieces: again.join(", ") })}; ${why}` };
      if (scrapped.length) yield { path, words: `${number}: ${form.say("%(pieces)s was scrapped", { pieces: scrapped.join(", ") })}; ${why}` };
    }
  };

  function write(work, number, ticked, path) {
    work.pieces = { ...(work.pieces ?? {}), [number]: ticked };
    if (!ticked.length) delete work.pieces[number];
    form.changed(path);
  }

  /** The pieces of a part on which the operation has yet to be done. */
  function left(work, number) {
    const part = form.data.parts[number];
    return part.pieces.filter((_, at) => part.states[at] === "f" && !isDone(number, work.operation, at));
  }

  /** Draw the parts of a piece of work, each with its pieces to tick. */
  form.pieces = (work, path) => {
    const at = path ? `${path}.pieces` : "pieces";
    if (!work.step && !listed(work).length) return null;
    const ready = Boolean(work.operation);
    const isOver = (n) => ready && !form.partsOf(work).includes(n) && form.data.parts[n].pieces.length > 0 && !left(work, n).length;
    const [over, ahead] = [true, false].map((is) => offered(work).filter((number) => isOver(number) === is));
    return el("div", { class: "bb-field bb-parts-worked", id: form.id(at) },
      el("p", { class: "bb-hint" }, ready
        ? form.say("Tick the pieces that are finished in this operation, or only the part where they are not.")
        : form.say("Choose the operation to tick pieces; a part that was worked on can be ticked now.")),
      ahead.map((number) => onePart(work, number, ready, at)),
      over.length > 0 && form.folded(`${form.id(at)}-over`, over.length > 1 ? form.say("Done already: %(count)s parts", { count: over.length }) : form.say("Done already: 1 part"), "",
        over.map((number) => onePart(work, number, ready, at))),
      another(work, at),
      el("p", { class: "bb-error", id: `${form.id(at)}-error`, "data-path": at, hidden: true }));
  };

  function onePart(work, number, ready, path) {
    const part = form.data.parts[number];
    const worked = el("input", {
      type: "checkbox", checked: form.partsOf(work).includes(number),
      onchange: (event) => {
        work.parts = event.target.checked ? [...new Set([...listed(work), number])] : listed(work).filter((n) => n !== number);
        if (!event.target.checked) write(work, number, [], path);
        form.changed(path);
        form.draw(event.target.id);
      },
      id: `${form.id(path)}-${form.id(number)}`,
    });
    const boxes = ready ? part.pieces.map((mark, at) => piece(work, number, mark, at, path, worked)) : [];
    const some = left(work, number);
    const all = el("button", {
      type: "button", class: "bb-small", id: `${form.id(path)}-${form.id(number)}-all`,
      onclick: (event) => {
        write(work, number, some, path);
        form.draw(event.currentTarget.id);
      },
    }, form.say("All %(count)s that are left", { count: some.length }));
    return el("fieldset", { class: "bb-part" },
      el("legend", {}, `${number} ${part.name}`),
      el("div", { class: "bb-row" },
        el("label", { class: "bb-chip" }, worked, el("span", {}, form.say("worked on"))),
        ready && some.length > 1 && all, boxes));
  }

  function piece(work, number, mark, at, path, worked) {
    const part = form.data.parts[number];
    const held = part.held?.[at];
    const done = isDone(number, work.operation, at);
    const state = done ? form.say("done") : part.states[at] === "x" ? form.say("scrapped")
      : held ? form.say("squawk %(number)s", { number: held.join(", ") }) : part.states[at] === "s" ? form.say("spare") : "";
    const input = el("input", {
      type: "checkbox", value: mark, checked: marks(work, number).includes(mark),
      onchange: () => {
        const others = marks(work, number).filter((m) => m !== mark);
        write(work, number, input.checked ? [...others, mark] : others, path);
        worked.checked = form.partsOf(work).includes(number);
      },
    });
    const place = [part.places?.[at], state].filter(Boolean).join(", ");
    return el("label", { class: `bb-chip${done ? " bb-done" : ""}` }, input,
      el("span", {}, el("span", { class: "bb-unseen" }, `${number} `), mark, place && el("small", {}, ` ${place}`)));
  }

  function another(work, path) {
    const others = form.known("parts").filter(([number]) => !offered(work).includes(number));
    if (!others.length) return null;
    const id = `${form.id(path)}-another`;
    const input = el("input", { id, type: "text", list: `${id}-list`, autocomplete: "off", autocapitalize: "none" });
    const error = el("p", { class: "bb-error", hidden: true, role: "alert" });
    const add = () => {
      const number = input.value.trim();
      if (!number) return;
      error.hidden = number in form.data.parts;
      error.textContent = error.hidden ? "" : form.say("the book has no part “%(part)s”", { part: number });
      if (!error.hidden) return;
      work.parts = [...new Set([...listed(work), number])];
      form.changed(path);
      form.draw(id);
    };
    input.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      add();
    });
    return el("div", { class: "bb-field" },
      el("label", { for: id }, form.say("Another part")),
      el("div", { class: "bb-row" }, input,
        el("datalist", { id: `${id}-list` }, others.map(([number, name]) => el("option", { value: number }, name))),
        el("button", { type: "button", class: "bb-small", onclick: add }, form.say("Add"))),
      error);
  }
})((globalThis.bbForm ??= {}));
