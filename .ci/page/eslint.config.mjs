// What the page's modules are linted by. Types are tsc's subject, so unused names are too.
import js from "@eslint/js";
import globals from "globals";

export default [
  { ignores: ["service/page/lit-html.js"] },
  js.configs.recommended,
  {
    files: ["service/page/*.js"],
    languageOptions: { ecmaVersion: 2022, sourceType: "module", globals: globals.browser },
    linterOptions: { reportUnusedDisableDirectives: "error" },
    rules: {
      "eqeqeq": "error",
      "no-var": "error",
      "prefer-const": ["error", { destructuring: "all" }],
      "no-eval": "error",
      "no-implied-eval": "error",
      "no-new-func": "error",
      "no-script-url": "error",
      "no-shadow": "error",
      "no-throw-literal": "error",
      "no-unused-vars": ["error", { argsIgnorePattern: "^_", ignoreRestSiblings: true }],
      "no-use-before-define": ["error", { functions: false, variables: false }],
      "no-implicit-globals": "error",
      "no-promise-executor-return": "error",
      "no-return-assign": "error",
      "no-self-compare": "error",
      "no-unmodified-loop-condition": "error",
      // A text of the catalogue is not broken; prettier folds whatever else it can.
      "max-len": ["error", { code: 120, ignorePattern: '^\\s*"[^"]*",?$' }],
      "no-restricted-properties": ["error",
        { property: "innerHTML", message: "Write templates: text from the service is never markup." },
        { property: "outerHTML", message: "Write templates: text from the service is never markup." }],
    },
  },
];
