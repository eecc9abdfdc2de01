"use strict";
// Walks the trees of the page. What was answered stands in the address behind #, a step between two
// slashes, so that a reload keeps it and the browser's own Back takes one step back.
const D = JSON.parse(document.getElementById("data").textContent);
const main = document.getElementById("page"), figure = document.getElementById("drawing");
const T = (name, put = {}) => D.said[name].replace(/\{(\w+)\}/g, (all, key) => put[key] ?? all);
const text = (number) => D.texts[number];
let steps = [], doubted = "";

function make(kind, words, more = {}, ...inside) {
  const one = document.createElement(kind);
  if (words) one.textContent = words;
  for (const [key, value] of Object.entries(more)) one.setAttribute(key, value);
  one.append(...inside);
  return one;
}
const para = (words, kind) => make("p", words, kind ? { class: kind } : {});
function list(texts, kind = "ul") {
  return make(kind, "", {}, ...texts.map((words) => make("li", words)));
}
function button(words, step, told) {
  const one = make("button", "", { type: "button", "data-step": step });
  one.append(make(told ? "b" : "span", words));
  if (told) one.append(make("span", told));
  one.addEventListener("click", () => take(step));
  return one;
}
function fold(title, ...inside) {
  return make("details", "", {}, make("summary", title), ...inside);
}

// -- the steps: m means, g group, c complaint, o option, r reading, u cannot tell, s and n of a stop

function kindOf(node) {
  if (typeof node === "number") return "end";
  if (!Array.isArray(node)) return "stop";
  return node[1] === 1 ? "end" : "ask";
}
const more = (node) => (typeof node === "number" ? {} : Array.isArray(node) ? node[2] || {} : node);

function valueOf(question, typed) {
  if (question.open && typed === "OL") return question.most;
  const found = /^(-?\d+(?:\.\d+)?)([^\d].*)$/.exec(typed);
  const unit = found && question.units.find((one) => one[1] === found[2]);
  return unit ? Number(found[1]) * unit[2] + unit[3] : NaN;
}

// Where some steps lead; null where one of them leads nowhere, as in an address of another page.
function follow(taken) {
  const at = { means: -1, group: -1, complaint: -1, node: null, path: [] };
  for (const step of taken) if (!one(at, step)) return null;
  return at;
}
function one(at, step) {
  const kind = step[0], rest = step.slice(1), number = Number(rest);
  if (at.means < 0) return kind === "m" && D.means[number] !== undefined && ((at.means = number), true);
  if (at.node === null) {
    if (kind === "g" && D.groups[number] && at.group < 0) return (at.group = number), true;
    if (kind !== "c" || !D.complaints[number]) return false;
    at.complaint = number;
    at.node = D.trees[at.means][number];
    return true;
  }
  const node = at.node, what = kindOf(node);
  if (what === "end") return false;
  if (what === "stop") {
    const stop = D.stops[node.h], way = kind === "s" && !stop.endless ? 0 : node.n.length - 1;
    if (kind !== "s" && kind !== "n") return false;
    if (kind === "s" && stop.endless) return false;
    at.path.push({ stop, safe: kind === "s" });
    at.node = node.n[way];
    return true;
  }
  const question = D.questions[node[0]], ways = node[1];
  let way = -1, answer = { question };
  if (kind === "u") {
    way = ways.length - 1;
    answer.unknown = true;
  } else if (kind === "o" && question.options && number < ways.length - 1) {
    way = number;
    answer.option = question.options[number];
  } else if (kind === "r" && question.units) {
    const value = valueOf(question, rest), edges = more(node).e || [];
    if (Number.isNaN(value)) return false;
    way = edges.filter((edge) => value >= edge).length;
    answer.typed = rest;
    answer.value = text(more(node).v[way]);
  }
  if (!(way >= 0 && way < ways.length)) return false;
  at.path.push(answer);
  at.node = ways[way];
  return true;
}
function doubtOf(step) {
  const at = follow(steps), node = at && at.node;
  if (!Array.isArray(node) || kindOf(node) !== "ask") return "";
  const question = D.questions[node[0]], doubts = more(node).d || {};
  const edges = more(node).e || [];
  const way = step[0] === "o" ? step.slice(1)
    : step[0] === "r" ? edges.filter((edge) => valueOf(question, step.slice(1)) >= edge).length : "";
  return way in doubts ? text(doubts[way]) : "";
}

// -- what was answered, and where it is kept

const address = () => "#" + steps.map(encodeURIComponent).join("/");
function kept() {
  try {
    return location.hash.slice(1).split("/").filter(Boolean).map(decodeURIComponent);
  } catch {
    return [];
  }
}
function go(next) {
  steps = next;
  doubted = "";
  try {
    if (location.hash !== address()) location.hash = address();
  } catch { /* a reader without an address: the steps are kept as long as the page is open */ }
  show();
}
function take(step) {
  const doubt = doubtOf(step);
  if (doubt && doubted !== step) {
    doubted = step;
    say(T("doubt", { why: doubt }));
    return;
  }
  if (follow([...steps, step])) go([...steps, step]);
}
const back = () => go(steps.slice(0, -1));
function say(words) {
  const place = document.getElementById("said");
  if (!place) return;
  place.textContent = words;
  place.scrollIntoView({ block: "nearest" });
}
