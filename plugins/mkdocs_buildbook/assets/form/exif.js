/* When a picture was taken. Layout and tags after JEITA CP-3451 (Exif), 4.5.4 and 4.6. */
"use strict";
((form) => {
  const EXIF_IFD = 0x8769, TAKEN = 0x9003, OFFSET = 0x9011;
  const ASCII = 2, LONG = 4;
  const MOST = 4 * 1024 * 1024; // bytes looked at; cameras write it near the beginning

  /** Find where the TIFF data begins: in a JPEG's APP1 segment, else by its prefix (HEIC). */
  function tiffStart(view) {
    if (view.byteLength < 4) return -1;
    if (view.getUint16(0) !== 0xffd8) return searched(view);
    for (let at = 2; at + 10 <= view.byteLength; ) {
      const marker = view.getUint16(at), size = view.getUint16(at + 2);
      if (marker >> 8 !== 0xff || marker === 0xffda || size < 2) return -1;
      if (marker === 0xffe1 && isExif(view, at + 4)) return at + 10;
      at += 2 + size;
    }
    return -1;
  }

  const isExif = (view, at) =>
    at + 8 <= view.byteLength && view.getUint32(at) === 0x45786966 && view.getUint16(at + 4) === 0;

  function searched(view) {
    for (let at = 0; at + 12 <= view.byteLength; at++) {
      if (view.getUint8(at) !== 0x45 || !isExif(view, at)) continue;
      const order = view.getUint32(at + 6);
      if (order === 0x49492a00 || order === 0x4d4d002a) return at + 6;
    }
    return -1;
  }

  function entries(view, start, little) {
    const found = new Map();
    const count = view.getUint16(start, little);
    for (let i = 0, at = start + 2; i < count && at + 12 <= view.byteLength; i++, at += 12) {
      const [type, size] = [view.getUint16(at + 2, little), view.getUint32(at + 4, little)];
      found.set(view.getUint16(at, little), { type, size, value: view.getUint32(at + 8, little), here: at + 8 });
    }
    return found;
  }

  function text(view, entry) {
    if (!entry || entry.type !== ASCII) return "";
    const start = entry.size <= 4 ? entry.here : entry.value;
    let read = "";
    for (let at = start; at < Math.min(start + Math.min(entry.size, 64), view.byteLength); at++) {
      if (!view.getUint8(at)) break;
      read += String.fromCharCode(view.getUint8(at));
    }
    return read.trim();
  }

  /** Read the camera's time, as `{date, time, offset}`; null where it is not there or was not set. */
  form.exifTime = (buffer) => {
    try {
      const whole = new DataView(buffer);
      const start = tiffStart(whole);
      if (start < 0) return null;
      const view = new DataView(buffer, start);
      const little = view.getUint16(0) === 0x4949;
      const exif = entries(view, view.getUint32(4, little), little).get(EXIF_IFD);
      if (!exif || exif.type !== LONG) return null;
      const found = entries(view, exif.value, little);
      const taken = text(view, found.get(TAKEN)).match(/^(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)$/);
      if (!taken || !isReal(taken.slice(1).map(Number))) return null;
      const offset = text(view, found.get(OFFSET)).match(/^[+-](?:0\d|1[0-4]):[0-5]\d$/)?.[0] ?? "";
      return { date: taken.slice(1, 4).join("-"), time: taken.slice(4, 7).join(":"), offset };
    } catch {
      return null; // cut short, or pointing outside of itself
    }
  };

  function isReal([year, month, day, hour, minute, second]) {
    const date = new Date(Date.UTC(year, month - 1, day));
    return year >= 1900 && date.getUTCMonth() === month - 1 && date.getUTCDate() === day && hour < 24 && minute < 60 && second < 60;
  }

  /** Show a moment on the clock of the book's time zone, as `{date, time}`. */
  function inZone(moment) {
    const options = { dateStyle: "short", timeStyle: "medium", hourCycle: "h23" };
    let said;
    try {
      said = new Intl.DateTimeFormat("sv-SE", { ...options, timeZone: form.data.zone }).format(moment);
    } catch {
      said = new Intl.DateTimeFormat("sv-SE", options).format(moment); // a zone this browser lacks
    }
    const [date, time] = said.split(" ");
    return { date, time };
  }

  /** Say when a picture or clip was taken, in the book's time zone, and how that is known. */
  form.takenAt = async (file) => {
    const film = /\.(?:mp4|m4v|mov)$/i.test(file.name) && (await form.filmTime(file));
    if (film) return { ...inZone(film), from: "camera" };
    const exif = form.exifTime(await file.slice(0, MOST).arrayBuffer());
    if (!exif) return { ...inZone(new Date(file.lastModified)), from: "file" };
    if (!exif.offset) return { date: exif.date, time: exif.time, from: "camera" };
    return { ...inZone(new Date(`${exif.date}T${exif.time}${exif.offset}`)), from: "camera" };
  };
})((globalThis.bbForm ??= {}));
