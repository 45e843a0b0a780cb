(function () {
  'use strict';
  var tools = document.getElementById('tools'), words = document.getElementById('words'), order = document.getElementById('order');
  var told = document.getElementById('told'), all = document.getElementById('all'), list = document.querySelector('#all > ul');
  var found = Array.prototype.map.call(document.querySelectorAll('[data-find]'), function (e) {
    return { e: e, text: e.textContent.toLowerCase(), home: e.parentNode, group: e.closest('section[data-group]'), shelf: !!e.closest('#shelf') };
  });
  var shelf = found.filter(function (f) { return f.shelf; });
  var groups = Array.prototype.slice.call(document.querySelectorAll('section[data-group]'));
  var compare = new Intl.Collator(undefined, { numeric: true, sensitivity: 'base' }).compare;
  var keys = {
    tag: function (a, b) { return compare(a.e.dataset.find, b.e.dataset.find); },
    yarn: function (a, b) { return compare(a.e.dataset.yarn, b.e.dataset.yarn) || keys.tag(a, b); },
    most: function (a, b) { return b.e.dataset.mg - a.e.dataset.mg; },
    least: function (a, b) { return a.e.dataset.mg - b.e.dataset.mg; },
    moved: function (a, b) { return compare(a.e.dataset.moved, b.e.dataset.moved); }
  };
  function search() {
    var asked = words.value.toLowerCase().split(/\s+/).filter(Boolean), seen = new Map(), n = 0;
    found.forEach(function (f) {
      var hit = asked.every(function (w) { return f.text.indexOf(w) >= 0; });
      f.e.hidden = !hit;
      if (hit) { seen.set(f.group, true); if (f.shelf) { n++; } }
    });
    groups.forEach(function (g) { g.hidden = asked.length > 0 && !seen.has(g); });
    told.textContent = asked.length ? n + ' of ' + shelf.length + ' items' : '';
  }
  function sort() {
    var by = keys[order.value];
    all.hidden = !by;
    document.getElementById('bins').hidden = !!by;
    if (by) {
      shelf.slice().sort(by).forEach(function (f) { list.appendChild(f.e); });
    } else {
      shelf.forEach(function (f) { f.home.appendChild(f.e); });
    }
  }
  var wait;
  words.addEventListener('input', function () { clearTimeout(wait); wait = setTimeout(search, 120); });
  order.addEventListener('change', sort);
  tools.addEventListener('submit', function (e) { e.preventDefault(); search(); });
  tools.hidden = false;
})();
