// Sets the theme before anything is painted, so that a dark page does not flash white.
(function () {
  var kept = null;
  try {
    kept = localStorage.getItem('lobewright-theme');
  } catch (_) {
    // A browser that keeps nothing follows the system.
  }
  if (kept === 'light' || kept === 'dark') document.documentElement.dataset.theme = kept;
})();
