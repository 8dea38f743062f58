// Words of the page, from the one file that holds them: say("shelf.title"), say("check.cells", { n }).

let all = {};
let plural = new Intl.PluralRules("en");
let number = new Intl.NumberFormat("en");

export function learn(words, language) {
  all = words;
  plural = new Intl.PluralRules(language);
  number = new Intl.NumberFormat(language);
}

export function say(key, values = {}) {
  const [section, name] = key.split(".");
  let text = all[section]?.[name];
  if (text === undefined) throw new Error(`no words for ${key}`);
  if (typeof text === "object") text = plural.select(values.n) === "one" ? text.one : text.other;
  return text.replace(/\{(\w+)\}/g, (_, one) =>
    typeof values[one] === "number" ? number.format(values[one]) : values[one]);
}
