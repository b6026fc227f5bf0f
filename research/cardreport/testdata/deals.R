# Exact chances for a deal of 13 tiles from the usual 152, from R's choose and dhyper alone.
# A row is name|numbers that go in|chances.

# away: one hand with fixed tiles, by enumeration of how many of each kind are held. single and group are
# what is needed of each kind in singles and pairs and in groups of three and more, jokers say whether
# those of the set may stand in groups. The chances are of 0, 1, ... 14 tiles away. Naturals fill singles and
# pairs first, then groups; jokers fill what is lacking in groups (the measures).
away <- function(name, single, group, copies, jokers) {
  counts <- expand.grid(lapply(c(copies, 8), function(c) 0:c))
  k <- length(single)
  held <- rowSums(counts)
  counts <- counts[held <= 13, , drop = FALSE]
  rest <- 152 - sum(copies) - 8
  ways <- choose(rest, 13 - rowSums(counts))
  for (i in 1:k) ways <- ways * choose(copies[i], counts[, i])
  ways <- ways * choose(8, counts[, k + 1])
  lackSingle <- lackGroup <- rep(0, nrow(counts))
  for (i in 1:k) {
    have <- counts[, i]
    lackSingle <- lackSingle + pmax(single[i] - have, 0)
    lackGroup <- lackGroup + group[i] - pmin(pmax(have - single[i], 0), group[i])
  }
  used <- if (jokers) pmin(counts[, k + 1], lackGroup) else 0
  d <- lackSingle + lackGroup - used
  p <- tapply(ways, factor(d, levels = 0:14), sum)
  p[is.na(p)] <- 0
  cat(name, "|13|", paste(format(p / choose(152, 13), digits = 15), collapse = " "), "\n", sep = "")
}
away("away", c(0, 0, 0, 0, 2), c(3, 3, 3, 3, 0), rep(4, 5), TRUE)
away("away-no-jokers", c(3, 3, 3, 3, 2), rep(0, 5), rep(4, 5), FALSE)
away("away-shared-kind", c(2, 0, 0), c(5, 3, 4), c(8, 4, 4), TRUE)
away("away-flowers", c(0, 0, 2, 2), c(6, 4, 0, 0), c(8, 4, 4, 4), TRUE)

# least: chances of at least so many of the tiles of a kind.
for (n in 1:3) cat("jokers-least|", n, "|", format(phyper(n - 1, 8, 144, 13, lower.tail = FALSE), digits = 15), "\n", sep = "")
for (n in 1:3) cat("flowers-least|", n, "|", format(phyper(n - 1, 8, 144, 13, lower.tail = FALSE), digits = 15), "\n", sep = "")
for (n in 2:3) cat("kind-least|", n, "|", format(phyper(n - 1, 4, 148, 13, lower.tail = FALSE), digits = 15), "\n", sep = "")
for (n in 3:5) cat("winds-least|", n, "|", format(phyper(n - 1, 16, 136, 13, lower.tail = FALSE), digits = 15), "\n", sep = "")
# The greatest of the numbers of three kinds, or of three suits, is n or more unless each is less: multivariate hypergeometric.
most <- function(name, each, n) {
  less <- expand.grid(a = 0:(n - 1), b = 0:(n - 1), c = 0:(n - 1))
  less <- less[rowSums(less) <= 13, ]
  ways <- choose(each, less$a) * choose(each, less$b) * choose(each, less$c) * choose(152 - 3 * each, 13 - rowSums(less))
  cat(name, "|", n, "|", format(1 - sum(ways) / choose(152, 13), digits = 15), "\n", sep = "")
}
for (n in 2:3) most("rank-least", 4, n)
for (n in 6:8) most("suit-least", 36, n)
