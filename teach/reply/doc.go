// Package reply is what readers send back: the decisions of a route as a short code that can be read aloud or put into any
// remark, found again in whatever text it comes in, and what a room of such routes chose, step by step.
//
// A code proves that the rules allow its route, not who walked it. It does not carry the exercise: whoever reads it has
// that. The package knows exercises and the rules; pages, files and students are its callers' business.
package reply
