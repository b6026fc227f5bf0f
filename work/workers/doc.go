// Package workers sends long work to other machines: a queue of River (github.com/riverqueue/river) in a PostgreSQL database hands
// parts of it out, whoever has joined does them, and who asked takes the results in their order.
//
// A part is a stretch of the pieces of a run (see package work). What a worker makes of it, and that its job is over, are one
// transaction, and a result has the part as its key: a part counts once, however often it was done. So nothing has to be known of who
// lives: a part that does not come, because its worker died, is sent once more. What comes out has the bytes of one process alone.
//
// Who asks and who works must compute alike: a worker plays a proof of some deals before it is given parts, and is given those
// of programs with the same version, build and proof alone.
//
// All of it is in tables of a schema of their own, so that workers need a role that sees nothing else of the database.
package workers
