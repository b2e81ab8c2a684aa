// Words in the language of the page, and what is made of them, for every script of the page. A page
// that is written over another one brings this file again.
"use strict";
globalThis.words = (() => {
  const spoken = JSON.parse(document.querySelector("meta[name=words]")?.content || "{}");
  const say = (words, ...values) =>
    values.reduce((said, it) => said.replace("{}", () => it), spoken[words] || words);
  const made = (tag, words, more) =>
    Object.assign(document.createElement(tag), { textContent: words }, more);
  return { say, made };
})();
