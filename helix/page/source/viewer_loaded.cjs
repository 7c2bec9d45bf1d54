// Stands for "viewer" in the page of `helix page`: what viewer.js (built from index.js) has put there before it.
module.exports = globalThis.helix;
