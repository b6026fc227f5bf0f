// Package experiments is the pages of experiments: those that were run, a question of one's own, a result as its figures
// tighten, and what can be taken away of it.
//
// What an experiment is and how it is played stands in research/experiment; results are kept in the store. Only face/web
// makes an [Area] and routes to it.
package experiments
