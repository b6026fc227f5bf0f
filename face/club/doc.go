// Package club serves a club in the browser: it signs people in with passkeys, hands each request to the workbook of its teacher
// (package web), and has the pages about people and accounts.
//
// A request comes by the door that fits it. Style sheets, the way into a class and a student's room need no account: a code, a link or
// a token leads to its teacher, and where it leads nowhere the lobby answers, which is the workbook of nobody. All else needs a
// session; it says whose workbook is meant, so that an address cannot name another teacher's. Before a request reaches a page the club
// is asked by the page's route ([secondpass/club.May]); a route that is not known to be for all is not.
//
// Who asks is known by the address that trusted proxies name. What is logged and counted holds routes, never names, addresses of pages
// or tokens.
package club
