# Exact chances of what 13 tiles out of 152 hold: prints name|value|chance.
# dhyper and choose are R's own.
size <- 13
row <- function(name, value, chance) cat(sprintf("%s|%d|%.17g\n", name, value, chance))

# 8 jokers, 8 flowers, 4 white dragons among 152 tiles: hypergeometric.
for (k in 0:8) {
  row("dealt J", k, dhyper(k, 8, 144, size))
  row("dealt F", k, dhyper(k, 8, 144, size))
}
for (k in 0:4) row("dealt 0", k, dhyper(k, 4, 148, size))

# A deal as tiles of every kind: ways[t+1, v+1] is the number of ways to hold t tiles with the value v so far.
extend <- function(ways, copies, value) {
  out <- matrix(0, nrow(ways), ncol(ways))
  for (t in 0:size) for (v in 0:(ncol(ways) - 1)) if (ways[t + 1, v + 1] > 0)
    for (x in 0:min(copies, size - t)) {
      w <- v + value(x)
      if (w < ncol(ways)) out[t + x + 1, w + 1] <- out[t + x + 1, w + 1] + ways[t + 1, v + 1] * choose(copies, x)
    }
  out
}
none <- matrix(0, size + 1, 15); none[1, 1] <- 1

# Pairs: of each natural kind half the tiles, rounded down; jokers make none.
ways <- none
for (kind in 1:34) ways <- extend(ways, 4, function(x) x %/% 2)
ways <- extend(ways, 8, function(x) x %/% 2)
ways <- extend(ways, 8, function(x) 0)
for (v in 0:6) row("dealt pairs", v, ways[size + 1, v + 1] / choose(152, size))

# Away of the one hand FFF 22b 444c 66d 8888b, no alternatives: matched naturals of the pairs 2b 6d, and of the groups
# F 4c 8b; jokers fill what the groups lack. away = 14 - matched pairs - matched groups - min(jokers, lacking in groups).
single <- none
for (need in c(2, 2)) single <- extend(single, 4, function(x) min(x, need))
group <- extend(none, 8, function(x) min(x, 3))
for (need in c(3, 4)) group <- extend(group, 4, function(x) min(x, need))
rest <- 152 - 8 - 8 - 4 * 4
chance <- rep(0, 15)
for (s in 0:4) for (g in 0:10) for (j in 0:8) {
  away <- 14 - s - g - min(j, 10 - g)
  total <- 0
  for (ts in 0:size) for (tg in 0:(size - ts)) {
    left <- size - ts - tg - j
    if (left >= 0) total <- total + single[ts + 1, s + 1] * group[tg + 1, g + 1] * choose(8, j) * choose(rest, left)
  }
  chance[away + 1] <- chance[away + 1] + total / choose(152, size)
}
for (a in 0:14) row("away dealt", a, chance[a + 1])
