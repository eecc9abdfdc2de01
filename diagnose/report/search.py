"""Search inside a page, without a network: a few lines of script over what stands there anyway.

Without scripts the page is whole; the box only appears where it works.
"""

SCRIPT = """
'use strict';
(function () {
  var entries = Array.prototype.slice.call(document.querySelectorAll('.entry'));
  var parts = Array.prototype.slice.call(document.querySelectorAll('.part'));
  var texts = entries.map(function (one) { return one.textContent.toLowerCase(); });
  var place = document.getElementById('search');
  var label = document.createElement('label');
  var box = document.createElement('input');
  var count = document.createElement('span');
  label.textContent = 'Search ';
  box.type = 'search';
  box.placeholder = 'such as: chatters fuse holder';
  count.setAttribute('role', 'status');
  label.appendChild(box);
  place.appendChild(label);
  place.appendChild(count);
  function look() {
    var words = box.value.toLowerCase().split(/\\s+/).filter(Boolean), found = 0;
    entries.forEach(function (one, n) {
      one.hidden = !words.every(function (word) { return texts[n].indexOf(word) >= 0; });
      if (!one.hidden) { found += 1; }
    });
    parts.forEach(function (part) {
      part.hidden = words.length > 0 && !part.querySelector('.entry:not([hidden])');
    });
    document.getElementById('contents').hidden = words.length > 0;
    count.textContent = words.length ? ' ' + found + ' of ' + entries.length : '';
  }
  box.addEventListener('input', look);
  window.addEventListener('hashchange', function () {
    var aim = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (aim && aim.closest('[hidden]')) { box.value = ''; look(); aim.scrollIntoView(); }
  });
}());
"""
"""Hides every `.entry` that has not all the words typed, and every `.part` left without entries."""
