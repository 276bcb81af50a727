// The browser's own database with promises: https://github.com/jakearchibald/idb, ISC.
export * from "idb";
