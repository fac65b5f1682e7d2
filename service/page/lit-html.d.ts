// What the page uses of lit-html.
export declare const html: (strings: TemplateStringsArray, ...values: unknown[]) => unknown;
export declare const svg: (strings: TemplateStringsArray, ...values: unknown[]) => unknown;
export declare const nothing: symbol;
export declare function render(value: unknown, container: HTMLElement): unknown;
