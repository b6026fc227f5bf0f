// Package experiment puts a question to the test on many deals: two or more ways of deciding, the same deals and walls for
// each, and one outcome.
//
// A [Experiment] is the question. It is read from a short text file ([Read], docs/experiment-files.md) or put together in code and
// checked with [Experiment.Check]. [Start] makes a [Result] of it, [Result.Run] plays deals into the result on all cores and can
// be stopped and gone on with at any time, and [Result.Findings] says what it shows. A result holds everything that it
// depends on, so that [Result.Again], played, gives the same bytes anywhere.
//
// # What is compared
//
// One seat, the studied one, is played by the way; the other three are played by the others. On deal number n every way
// meets the same racks, the same wall and the same lots, so that luck falls out of the differences (common random
// numbers, see sim.Stream). Every way is compared with the first.
//
// # Verdicts
//
// The claim is one-sided: a way has more (or less) of the outcome than the first by at least an effect that matters. Let d
// be the difference in the claimed direction and (low, high) its interval, which is valid however often one looks
// (stat.AsymptoticCSOf, at 95 % over all comparisons together by Bonferroni's inequality):
//
//   - holds: low is at least the effect;
//   - does not hold: high is less than the effect;
//   - not shown: neither yet.
//
// So each of the first two is said wrongly in at most 5 % of experiments, whenever one stops. A true difference that equals
// the effect is never decided; one that is there and smaller than the effect ends in "does not hold", and
// [Comparison.Note] says that it is there.
package experiment
