/* When a clip was recorded. Layout after ISO/IEC 14496-12, 4.2 (boxes) and 8.2.2 (mvhd). */
"use strict";
((form) => {
  const MOST_BOXES = 1000;
  const MOST_BYTES = 16 * 1024 * 1024; // of the box that describes the film: it holds no pictures
  const EPOCH = Date.UTC(1904, 0, 1); // where its clock begins
  const FIRST = Date.UTC(1990, 0, 1); // what is older was never set

  async function view(file, from, to) {
    return new DataView(await file.slice(from, to).arrayBuffer());
  }

  /** Read a box's length, kind and the length of its head, which ends 16 bytes on at most. */
  function head(bytes, at, room) {
    const size = bytes.getUint32(at);
    const kind = String.fromCharCode(...[4, 5, 6, 7].map((i) => bytes.getUint8(at + i)));
    if (size === 1) return { kind, size: Number(bytes.getBigUint64(at + 8)), head: 16 };
    return { kind, size: size || room, head: 8 }; // without a length it reaches to the end
  }

  /** Find the box that describes the film; it may stand after the pictures, at the very end. */
  async function described(file) {
    for (let at = 0, n = 0; at + 8 <= file.size && n < MOST_BOXES; n++) {
      const box = head(await view(file, at, at + 16), 0, file.size - at);
      if (box.size < box.head) return null;
      if (box.kind === "moov") return view(file, at + box.head, at + Math.min(box.size, MOST_BYTES));
      at += box.size;
    }
    return null;
  }

  /** The camera's own time with its offset, where it wrote one. */
  function local(bytes) {
    const text = new TextDecoder("latin1").decode(bytes);
    if (!text.includes("com.apple.quicktime.creationdate")) return null;
    const found = text.match(/(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d)([+-]\d\d):?(\d\d)/);
    return found && new Date(`${found[1]}${found[2]}:${found[3]}`);
  }

  function created(bytes) {
    for (let at = 0, n = 0; at + 16 <= bytes.byteLength && n < MOST_BOXES; n++) {
      const box = head(bytes, at, bytes.byteLength - at);
      if (box.size < box.head) return null;
      if (box.kind === "mvhd") {
        const start = at + box.head;
        const seconds = bytes.getUint8(start) ? Number(bytes.getBigUint64(start + 4)) : bytes.getUint32(start + 4);
        return new Date(EPOCH + seconds * 1000);
      }
      at += box.size;
    }
    return null;
  }

  /** Read the moment a clip was recorded; null where it does not say. */
  form.filmTime = async (file) => {
    try {
      const bytes = await described(file);
      const moment = bytes && (local(bytes) ?? created(bytes));
      return moment && moment.getTime() >= FIRST ? moment : null;
    } catch {
      return null; // cut short
    }
  };
})((globalThis.bbForm ??= {}));
