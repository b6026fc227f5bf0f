// Package findings is how findings are shown: the results of experiments and card reports as charts, as documents for paper, and
// as rows for other programs. Pages, files and the command line share it.
//
// It formats what package experiment and package report have found and computes nothing. Every chart has the number of deals or
// games, the interval and the seed in its caption.
package findings
