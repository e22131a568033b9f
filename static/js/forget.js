// Nothing of a forgotten student stays on this phone: over plain http no browser heeds the answer's own header.
(() => {
  for (const name of ["localStorage", "sessionStorage"]) try { window[name].clear(); } catch { /* blocked: nothing was kept */ }
  try { indexedDB.deleteDatabase("photos"); } catch { /* blocked as well */ }
})();
