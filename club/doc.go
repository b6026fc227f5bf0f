// Package club is the people of a club whose teachers share one server: who they are, how they come in, what each may do, and a list
// of what was done about them.
//
// Nobody has a password. The owner begins with a link that is printed where the server was started; everybody else comes by an
// invitation, which lasts seven days and lets one person in once. Whoever comes makes a passkey on a device of their own, and gets
// eight recovery codes on paper for the day on which that is lost. What a passkey is, and how a browser is asked for one, is the
// face's business: here it is a name and bytes.
//
// [May] alone says who may do what. Package store/sql keeps all of it; secrets are kept as their hashes.
package club
