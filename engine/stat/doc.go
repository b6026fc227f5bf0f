// Package stat holds the statistics of the project: interval estimates and
// tests, each with the source of its method. It knows nothing of tiles, cards
// or games; it takes counts and sums and gives back numbers.
//
// Which one to use:
//
//   - a share of games, counted once at the end: [Wilson];
//     [ClopperPearsonLow] where the level must hold for certain; [Clusters] where what is counted hangs together within a game
//   - a mean of points or spares, counted once at the end: [MeanT]
//   - two candidates on the same deals, win or not: [PairedProportions]
//   - two candidates on the same deals, points: add each deal's difference to
//     an [IntMoments] and ask [MeanT]
//   - two groups that share no deals: [DifferenceOfShares], [DifferenceOfMeans]; [Independent] while it still runs
//   - how many times as often or as much: [Lift], [RatioOfMeans]
//   - anything looked at while it still runs and stopped at will:
//     [BernoulliCS] for a share, [AsymptoticCS] for a mean or a difference
//   - does a score tell single cases apart: [AUC]
//
// Every interval is at the level [Level]. A difference whose interval holds 0
// is "no difference shown"; ask [Interval.Holds].
//
// Counts are gathered in [IntMoments] and [Histogram], which hold whole numbers
// only: however the games are split over workers and in whatever order the
// parts are merged, the result is the same to the last bit. [Moments] is for
// data that are not whole numbers and does not give that.
//
// Nothing here panics except where a comment says so. Counts that cannot be
// (a negative number, more successes than trials) give the interval of no data,
// whose N is 0, or NaN where a bare number is returned.
package stat
