# Exact chances of deals and mock passes, worked out by R for the tests of package exercise.
# One line per case: name|inputs|outputs. The set has 152 tiles: 8 jokers, 8 flowers, 4 of the rest.

row <- function(name, inputs, outputs) {
  text <- function(x) paste(sprintf("%.17g", as.numeric(x)), collapse = " ")
  cat(name, "|", text(inputs), "|", text(outputs), "\n", sep = "")
}

# share of deals of n tiles with low to high jokers
for (x in list(c(0, 0, 13), c(0, 0, 14), c(1, 2, 13), c(3, 8, 13), c(8, 8, 13), c(5, 5, 14)))
  row("jokers", x, sum(dhyper(x[1]:x[2], 8, 144, x[3])))

# share of deals of n tiles with at least two 4b
for (n in c(13, 14)) row("pair", n, phyper(1, 4, 148, n, lower.tail = FALSE))

# share with at least two 4b, one flower at least and no joker: a sum over the joint counts
joint <- function(n) {
  total <- 0
  for (b in 2:4) for (f in 1:8) total <- total + choose(4, b) * choose(8, f) * choose(132, n - b - f)
  total / choose(152, n)
}
for (n in c(13, 14)) row("pair-flower-no-joker", n, joint(n))

# jokers in a deal of 13, given one at least: chances of 1 to 8
row("jokers-given-one", 13, dhyper(1:8, 8, 144, 13) / phyper(0, 8, 144, 13, lower.tail = FALSE))

# copies of 4b in a deal of 13, given two at least and one or two jokers
given <- sapply(2:4, function(b) sum(sapply(1:2, function(j) choose(4, b) * choose(8, j) * choose(140, 13 - b - j))))
row("copies-given", 13, given / sum(given))

# jokers and flowers in a random deal of 13
row("jokers-dealt", 13, dhyper(0:8, 8, 144, 13))
row("flowers-dealt", 13, dhyper(0:8, 8, 144, 13))

# flowers among the 21 mock tiles when a rack of 13 with two flowers and one joker is dealt:
# 6 of the 132 naturals left are flowers
row("mock-flowers", 21, dhyper(0:6, 6, 126, 21))
