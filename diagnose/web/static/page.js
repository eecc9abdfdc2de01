"use strict";
// Everything works without this. It keeps one answer from being sent twice, and shows that it is on its way.
document.addEventListener("submit", function (event) {
  var form = event.target, sender = event.submitter;
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "yes";
  if (sender) { sender.setAttribute("aria-busy", "true"); sender.textContent = sender.textContent + " \u2026"; }
});
window.addEventListener("pageshow", function (event) {
  if (event.persisted) { location.reload(); }
});
