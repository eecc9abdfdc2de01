// -- the views

function show() {
  let at;
  while (!(at = follow(steps))) steps = steps.slice(0, -1);
  figure.hidden = true;
  document.body.append(figure);
  main.replaceChildren(...view(at), make("p", "", { id: "said", class: "wrong", role: "alert" }), nav());
  const head = main.querySelector("h1");
  head.tabIndex = -1;
  head.focus();
  scrollTo(0, 0);
}
function nav() {
  const inside = [];
  if (steps.length) {
    const one = make("button", T("back"), { type: "button", id: "back" });
    one.addEventListener("click", back);
    const two = make("button", T("again"), { type: "button", id: "again" });
    two.addEventListener("click", () => go([]));
    inside.push(one, two);
  }
  return make("nav", "", {}, ...inside);
}
function view(at) {
  if (at.means < 0) return meansView();
  if (at.node === null) return at.group < 0 ? groupsView() : groupView(at.group);
  const kind = kindOf(at.node);
  return kind === "stop" ? stopView(at) : kind === "end" ? endView(at) : askView(at);
}
function meansView() {
  return [
    make("h1", document.title),
    para(D.rig, "soft"),
    make("h2", T("first")),
    ...D.safety.map((words) => para(words, "caution")),
    para(T("no-network"), "soft"),
    make("h2", T("meter-ask")),
    button(T("meter-yes"), "m0"),
    button(T("meter-no"), "m1"),
  ];
}
function groupsView() {
  const groups = D.groups.map(([title], number) => button(title, "g" + number));
  return [make("h1", T("matter")), ...groups, para(T("none-fits"), "soft")];
}
function groupView(group) {
  const [title, items] = D.groups[group];
  const found = items.map((number) => button(D.complaints[number][1], "c" + number));
  return [make("h1", title), para(T("matter-more")), ...found, para(T("none-fits"), "soft")];
}
function alerts(node) {
  const { a = [], b = [] } = more(node);
  const full = a.map((number) => make("p", "", { class: "caution" }, make("b", T("caution") + ": "), text(number)));
  return b.length ? [...full, fold(T("cautions-before"), list(b.map(text)))] : full;
}
function standing(node) {
  return (more(node).p || []).map((number) => {
    const { title, ends } = D.stops[number];
    return para(T("stop-stands", { title, ends }), "wrong");
  });
}
function stopBox(stop, words) {
  return make("div", "", { class: "stop" }, make("h2", T("stop", { title: stop.title })),
    list(stop.do, "ol"), para(words), para(stop.ends, "wrong"));
}
function stopView(at) {
  const node = at.node, stop = D.stops[node.h];
  const found = [make("h1", T("stop", { title: stop.title })), ...alerts(node)];
  if (node.w) found.push(para(T("stop-waiting")));
  const box = stopBox(stop, text(node.x));
  box.firstChild.remove();
  found.push(box);
  if (stop.endless) return [...found, button(T("stop-over"), "n")];
  return [...found, button(T("stop-safe"), "s"), button(T(node.w ? "stop-end" : "stop-later"), "n")];
}
function askView(at) {
  const node = at.node, question = D.questions[node[0]];
  const number = at.path.filter((one) => one.question).length + 1;
  const found = [...standing(node), para(T("question", { number }), "soft"), ...alerts(node)];
  if (more(node).g) found.push(para(T("once-more"), "wrong"));
  found.push(make("h1", question.ask));
  if (question.state) found.push(para(question.state));
  if (question.takes) found.push(para(T("takes", { things: question.takes })));
  for (const danger of question.unsafe || []) found.push(para(T("not-when", { danger }), "caution"));
  found.push(para(question.how));
  if (question.units) found.push(...readingView(question));
  else for (const [number, [, name, told]] of question.options.entries()) {
    found.push(button(name, "o" + number, told));
  }
  return [...found, button(T("cannot-tell"), "u"), fold(T("why"), para(question.why))];
}
function readingView(question) {
  const [first, second] = question.points, [own, book] = question.sound;
  const found = [fold(T("how"), para(question.meter))];
  if (second) {
    found.push(para(T("red-on", { point: first[0], words: first[1] })));
    found.push(para(T("black-on", { point: second[0], words: second[1] })));
    if (mark("red", first[0]) && mark("black", second[0])) {
      figure.hidden = false;
      figure.dataset.point = first[0];
      found.push(figure, para(T("drawing-probes"), "soft"), sizeButton());
    }
  } else if (first) found.push(para(T("read-at", { point: first[0], words: first[1] })));
  found.push(para(book ? T("sound-own", { own, book }) : T("sound", { band: own })));
  const box = make("input", "", { type: "text", inputmode: "decimal", id: "value", autocomplete: "off" });
  const unit = make("select", "", { "aria-label": T("unit"), id: "unit" },
    ...question.units.map(([name, code]) => make("option", name, { value: code })));
  const form = make("form", "", {}, make("label", T("reading"), { for: "value" }),
    make("div", "", { class: "row" }, box, unit), make("button", T("take-reading"), { id: "read" }));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    typed(question, box.value, unit.value);
  });
  found.push(form);
  if (question.open) found.push(button(T("open-line"), "rOL"));
  return found;
}
function typed(question, words, unit) {
  const digits = words.trim().replace(/\s/g, "").replace(",", ".").replace(/^[\u2212\u2013]/, "-")
    .replace(/^\+/, "").replace(/^(-?)\./, "$10.").replace(/\.$/, "");
  if (!/^-?\d{1,9}(\.\d{1,9})?$/.test(digits)) return say(T("no-number"));
  const value = valueOf(question, digits + unit);
  if (value < question.least || value > question.most) return say(T("impossible", { why: question.limits }));
  take("r" + digits + unit);
}
function sizeButton() {
  const one = make("button", T("drawing-large"), { type: "button", "aria-pressed": "false" });
  figure.classList.remove("large");
  one.addEventListener("click", () => {
    one.setAttribute("aria-pressed", String(figure.classList.toggle("large")));
    inView();
  });
  return one;
}
function inView() {
  const svg = document.getElementById("circuit"), box = svg.viewBox.baseVal;
  const x = D.places[figure.dataset.point][0];
  figure.scrollLeft = ((x - box.x) / box.width) * figure.scrollWidth - figure.clientWidth / 2;
}
function mark(probe, point) {
  const place = D.places[point], one = document.getElementById(probe);
  one.classList.toggle("here", Boolean(place));
  if (place) one.setAttribute("transform", "translate(" + place.join(" ") + ")");
  return place;
}

// -- the end

function endView(at) {
  const node = at.node, number = typeof node === "number" ? node : node[0];
  const [head, chance, share, settled, whole, causes, steps_, mends, proof, avoid] = D.endings[number];
  const lines = (list_) => D.lists[list_].map(text);
  const found = [make("h1", T(whole ? "result" : "known-so-far")), para(T("codes"), "caution")];
  found.push(...standing(node), ...alerts(node), make("p", "", {}, make("b", text(head))));
  found.push(para(T("how-sure") + ": " + T("sure", { words: text(chance), share: text(share) })));
  if (!whole) found.push(para(T("so-far")));
  const likely = [];
  for (let i = 0; i < causes.length; i += 2) likely.push(text(causes[i]) + ": " + T(text(causes[i + 1])));
  found.push(make("h2", T("causes")), list(likely), make("h2", T("do-first")));
  if (!settled) found.push(para(T("not-yet"), "wrong"));
  found.push(list(lines(steps_), "ol"));
  if (lines(mends).length) found.push(make("h2", T("brought-about")), list(lines(mends)));
  if (text(proof)) found.push(make("h2", T("proof")), para(text(proof)));
  found.push(make("h2", T("do-not")), list(lines(avoid)));
  found.push(make("h2", T("call")), list([T("call-danger"), T("call-licensed"), T("call-unsure")]));
  const stood = at.path.filter((one) => one.typed && one.typed !== "OL");
  if (stood.length) {
    const readings = stood.map((one) => T("stood-for-one",
      { test: one.question.ask, typed: shown(one), value: one.value })).join("; ");
    found.push(para(T("stood-for", { readings }), "soft"));
  }
  return [...found, ...sendView(at, text(head))];
}
function shown({ question, typed }) {
  const unit = question.units.find((one) => typed.endsWith(one[1]) && Number.isFinite(Number(typed.slice(0, -one[1].length))));
  return unit ? typed.slice(0, -unit[1].length) + " " + unit[0] : typed;
}
function sendView(at, result) {
  const box = make("textarea", "", { readonly: "", id: "message", "aria-label": T("send") });
  box.value = message(at, result);
  const told = make("p", "", { role: "status" });
  const copy = make("button", T("copy"), { type: "button", id: "copy" });
  copy.addEventListener("click", async () => {
    box.focus();
    box.select();
    let done = false;
    try {
      await navigator.clipboard.writeText(box.value);
      done = true;
    } catch {
      try { done = document.execCommand("copy"); } catch { /* by hand then */ }
    }
    told.textContent = T(done ? "copied" : "copy-by-hand");
  });
  return [make("h2", T("send")), para(T("send-how")), box, copy, told];
}
function message(at, result) {
  const found = [T("text-rig", { rig: D.rig }), T(at.means ? "text-without-meter" : "text-with-meter")];
  found.push(T("text-matter", { complaint: D.complaints[at.complaint][1] }));
  for (const one of at.path) {
    if (one.stop) {
      if (one.safe) found.push(T("text-made-safe", { stop: one.stop.title }));
      continue;
    }
    const answer = one.unknown ? T("cannot-tell") : one.option ? one.option[1] : shown(one);
    found.push(T("text-answer", { question: one.question.ask, answer }));
  }
  found.push(T("text-result", { result }), T("text-code"), code(at));
  return found.join("\n");
}
function code(at) {
  const parts = [D.means[at.means], D.complaints[at.complaint][0]];
  for (const one of at.path) {
    if (one.stop) {
      if (one.safe) parts.push("!" + one.stop.id);
    } else {
      parts.push(one.question.id + "=" + (one.unknown ? "?" : one.option ? one.option[0] : one.typed));
    }
  }
  const whole = D.opening + parts.join(";");
  return whole + "#" + checksum(whole);
}
function checksum(words) {
  let found = 0xffffffff;
  for (let i = 0; i < words.length; i++) {
    found ^= words.charCodeAt(i);
    for (let bit = 0; bit < 8; bit++) found = found & 1 ? (found >>> 1) ^ 0xedb88320 : found >>> 1;
  }
  let left = ((found ^ 0xffffffff) >>> 0) % 0x40000000, signs = "";
  for (let i = 0; i < 6; i++) {
    signs = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"[left % 32] + signs;
    left = Math.floor(left / 32);
  }
  return signs;
}

addEventListener("hashchange", () => {
  if (location.hash === address()) return;
  steps = kept();
  doubted = "";
  show();
});
steps = kept();
show();
