// Stands for "three" in the bundles of the pages: what three.js (built from three_used.js) has put there before them.
module.exports = globalThis.three;
