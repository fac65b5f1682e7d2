// The form of the page's modules and styles; templates in them are folded as well.
export default { printWidth: 120 };
