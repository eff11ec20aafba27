// The rule of domain/readbacks.py, for a page that works without the registry. A test holds both to the same answers.
"use strict";

const LEAST = 3;
const FIGURE = /^[+-]?\d{1,15}(\.\d{1,9})?$/;
const plain = (text) => text.toLowerCase().split(/\s+/).filter(Boolean).join(" ");

// Figures as whole billionths: no digit is lost, and 0.1 is 0.1.
const billionths = (text) => {
  const sign = text.startsWith("-") ? -1n : 1n;
  const [whole, part = ""] = text.replace(/^[+-]/, "").split(".");
  return sign * (BigInt(whole) * 1000000000n + BigInt(part.padEnd(9, "0")));
};

const agree = (read, value, unit) => {
  let shown = read.trim().replaceAll("\u2212", "-").replace(/°$/, "").trim();
  if (unit && shown.toLowerCase().endsWith(unit.toLowerCase())) shown = shown.slice(0, -unit.length).trim();
  if (!FIGURE.test(shown) || !FIGURE.test(value)) return plain(shown) === plain(value);
  const seen = billionths(shown), wanted = billionths(value), places = (shown.split(".")[1] || "").length;
  if (seen === wanted || places < 2) return seen === wanted;
  const off = seen > wanted ? seen - wanted : wanted - seen;
  return 2n * off <= 10n ** BigInt(9 - places);
};

const valuesOf = (sheet) => new Map(sheet.values.map((one) => [plain(one.name), one]));
const say = (sheet) => `${sheet.said}, version ${sheet.version} (${sheet.checksum.slice(0, 4)} ${sheet.checksum.slice(4, 8)})`;
const apart = (one, other) => {
  const mine = valuesOf(one), theirs = valuesOf(other);
  return [...new Set([...mine.keys(), ...theirs.keys()])]
    .filter((name) => mine.get(name)?.value !== theirs.get(name)?.value || mine.get(name)?.unit !== theirs.get(name)?.unit)
    .map((name) => (mine.get(name) || theirs.get(name)).name);
};

// `read` is a list of [setting, value]; `wanted` is the id of the sheet the unit ought to hold.
const compare = (read, sheets, wanted) => {
  const known = new Set(sheets.flatMap((sheet) => [...valuesOf(sheet).keys()]));
  const told = read.filter(([name, value]) => known.has(plain(name)) && value.trim());
  if (told.length < LEAST) return { verdict: "too_few", told: `${LEAST} values or more that stand on a sheet: ${told.length} so far.` };
  const fits = sheets.filter((sheet) => {
    const mine = valuesOf(sheet);
    return told.every(([name, value]) => mine.has(plain(name)) && agree(value, mine.get(plain(name)).value, mine.get(plain(name)).unit));
  });
  const own = sheets.find((sheet) => sheet.id === wanted);
  if (own && fits.includes(own)) {
    const alike = fits.filter((sheet) => apart(own, sheet).length);
    if (!alike.length) return { verdict: "agrees", told: `These are the values of ${say(own)}, and of no other sheet.` };
    const names = [...new Set(alike.map((sheet) => apart(own, sheet)[0]))];
    return { verdict: "cannot_tell", told: `They fit ${say(own)}, but ${alike.map(say).join(", ")}, too. Read ${names.join(", ")} as well.` };
  }
  if (!fits.length) return { verdict: "no_sheet", told: `No sheet we know has these ${told.length} values together.` };
  const here = fits.filter((sheet) => own && sheet.bay === own.bay).sort((a, b) => b.version - a.version);
  return { verdict: here.length ? "other_version" : "other_bay", told: `This is ${say(here[0] || fits[0])}.` };
};

if (typeof document !== "undefined") {
  const sheets = JSON.parse(document.getElementById("sheets").textContent);
  const chosen = document.getElementById("bay"), list = document.getElementById("values"), answer = document.getElementById("answer");
  const heads = { agrees: "Agrees.", cannot_tell: "Fits more than one sheet.", other_version: "Another version.", other_bay: "Another bay’s sheet.", no_sheet: "No sheet we know.", too_few: "Read more." };
  const show = () => {
    const own = sheets.find((sheet) => sheet.id === chosen.value);
    list.replaceChildren(...own.values.filter((one) => !/, carries$/.test(one.name)).map((one, number) => {
      const row = document.createElement("p"), label = document.createElement("label"), field = document.createElement("input");
      label.textContent = one.name + (one.unit ? ` (${one.unit})` : "");
      label.htmlFor = field.id = `v${number}`;
      field.dataset.name = one.name;
      field.autocomplete = "off";
      field.addEventListener("input", tell);
      row.append(label, field);
      return row;
    }));
    tell();
  };
  const tell = () => {
    const read = [...list.querySelectorAll("input")].map((field) => [field.dataset.name, field.value]);
    const found = compare(read, sheets, chosen.value);
    answer.dataset.verdict = found.verdict;
    answer.querySelector("strong").textContent = heads[found.verdict];
    answer.querySelector("span").textContent = found.told;
  };
  chosen.addEventListener("change", show);
  show();
}
