// Package reader is what happens in the page of a reader elsewhere: an exercise that somebody has sent as one file is walked, looked
// at and judged in the reader's browser, without a server and a store.
//
// A [Book] answers what forms and links of the page ask, with the same views and templates as the workbook; [Book.Judge] says
// what a decision is worth. The command in face/reader/engine is built for the browser and joins both to the page's script;
// face/reader/onefile writes the file. Nothing here knows of either.
package reader
